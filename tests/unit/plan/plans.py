"""A small sound plan to break in tests, and what breaking it leads to."""

from pathlib import Path

import pytest

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.read import read_plan, read_plan_text
from cagewright.plan.types import Plan

SOUND = """\
cagewright: 1
title: Test cage
tubes:
  hoop: {od: 45, wall: 2.5, steel: E355+N, clr: 135}
  bar: {od: 38, wall: 2.5, steel: E355+N}
points:
  arch: {at: [2000, -420, 620], mirror: arch_right}
  sill: [1450, -560, 180]
members:
  main:
    role: main rollbar
    tube: hoop
    path:
      - {foot: base}
      - [1450, -430, 1120]
      - [1450, 430, 1120]
      - [1450, 560, 180]
  stay:
    role: backstay
    tube: bar
    mirror: stay_right
    path: [{on: main, across: -300}, arch]
feet:
  base: {at: sill, on: sill, plate: [130, 110, 3]}
"""


def problems(text: str, folder: Path | None = None) -> list[Problem]:
    """The problems of the plan in the text."""
    with pytest.raises(ProblemsFound) as caught:
        read_plan_text(text, file="plan.yaml", folder=folder)
    return list(caught.value.problems)


def sound(text: str) -> Plan:
    """The plan in the text, which has no problems."""
    return read_plan_text(text, file="plan.yaml")


def file_problems(path: Path) -> list[Problem]:
    """The problems of the plan in the file."""
    with pytest.raises(ProblemsFound) as caught:
        read_plan(path)
    return list(caught.value.problems)


def only(text: str, folder: Path | None = None) -> Problem:
    """The one problem of the plan in the text."""
    found = problems(text, folder)
    assert len(found) == 1, [str(p) for p in found]
    return found[0]


def broken(old: str, new: str, text: str = SOUND) -> str:
    """The sound plan with one spot of it changed."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
    return text.replace(old, new)


def spot(text: str, mark: str) -> tuple[int, int]:
    """Line and column of the mark in the text, both from 1."""
    at = text.index(mark)
    return text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
