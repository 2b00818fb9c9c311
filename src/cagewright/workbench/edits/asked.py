"""What an edit asks for, read from plain values, and what it is asked of."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any, cast

import numpy as np

from cagewright.base.curves import Chain
from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.vectors import Vector
from cagewright.change.named import told
from cagewright.plan.places import Entry, Place
from cagewright.plan.read import checked, plan_or_problems, reading_of_source
from cagewright.plan.text import parse
from cagewright.plan.types import Plan, where_of
from cagewright.plan.write import Document
from cagewright.shape.drafts import points_of
from cagewright.shape.located import AlreadyRefused, Refused, in_plan
from cagewright.shape.places import Ground, spot
from cagewright.shape.resolve import laid_out
from cagewright.shape.types import Cage, Foot
from cagewright.workbench.edits.vocabulary import EDITS, Nothing

Keys = tuple[str | int, ...]


@dataclass(frozen=True, kw_only=True)
class Standing:
    """What an edit is made on.

    Attributes:
        document: the plan's text.
        plan: as read from it.
        cage: what it makes; None where the plan can be read and cannot be built.
    """

    document: Document
    plan: Plan
    cage: Cage | None

    def where(self, keys: Keys = ()) -> Where:
        """Where a value of the plan stands; the file itself for none."""
        return where_of(self.plan, keys) if keys else Where(file=self.document.source.file)

    def at(self, place: Place) -> Vector:
        """Where the place is (3,), mm.

        Raises:
            ProblemsFound: there is no such place, or it rests on a member that cannot be built.
        """
        try:
            return spot(place, self.ground, ())
        except Refused as wrong:
            raise ProblemsFound([replace(wrong.problem, where=self.where())]) from None
        except AlreadyRefused:
            found, wanted = "it rests on a member that cannot be built", "wanted that one mended first"
            raise ProblemsFound(told("rests-on-problem", self.where(), found, wanted)) from None

    @cached_property
    def ground(self) -> Ground:
        """What places may refer to: as resolved, or as far as the centre lines can be laid out."""
        if self.cage is None:
            return laid_out(self.plan, in_plan)[0].ground
        feet: dict[str, Foot] = {foot.name: foot for foot in self.cage.feet}
        paths: dict[str, Chain | None] = {member.name: member.path for member in self.cage.members}
        return Ground(
            points=points_of(self.plan), feet=feet, paths=paths, where=in_plan, units=self.plan.units
        )


def standing(document: Document, plan: Plan | None, cage: Cage | None) -> Standing:
    """What the edit is made on; the plan is read from the document where it is not given.

    Raises:
        ProblemsFound: the text has problems, so that nothing but the text can be edited.
    """
    if plan is None:
        folder = Path(document.source.file).parent
        plan, cage = plan_or_problems(reading_of_source(document.source, folder)), None
    return Standing(document=document, plan=plan, cage=cage)


def asked_of(edit: Mapping[str, Any], stand: Standing) -> Entry:
    """The edit as one of the vocabulary's.

    Raises:
        ProblemsFound: it is none, or a value of it is not as it should be.
    """
    where = stand.where()
    kind = edit.get("do")
    model = EDITS.get(kind) if isinstance(kind, str) else None
    if model is None:
        raise ProblemsFound([_no_edit(kind, where)])
    data = {key: value for key, value in edit.items() if key not in ("do", "trial") and value is not None}
    data |= _put_onto(data.get("path")) if kind == "add" else {}
    try:
        source = parse(json.dumps(data, ensure_ascii=False), file=where.file)
    except (TypeError, ValueError, RecursionError):
        raise ProblemsFound(
            told("bad-edit", where, "the edit cannot be read", "wanted plain values")
        ) from None
    if not source.readable or source.problems:
        raise ProblemsFound(replace(p, where=where) for p in source.problems)
    entry, problems = checked(source.data, source, model, Nothing, units=stand.plan.units)
    if problems:
        raise ProblemsFound(_of_the_edit(p, where) for p in problems)
    return entry


def _put_onto(path: object) -> dict[str, Any]:
    """The path with ``{on: member, at: [x, y, z]}`` as bare places, and which go onto which member."""
    if not isinstance(path, list):
        return {}
    places = cast("list[Any]", path)
    onto = [[i, place["on"]] for i, place in enumerate(places) if _is_picked(place)]
    return {"path": [place["at"] if _is_picked(place) else place for place in places], "onto": onto}


def _is_picked(place: object) -> bool:
    return isinstance(place, dict) and {*cast("dict[str, Any]", place)} == {"on", "at"}


def _of_the_edit(problem: Problem, where: Where) -> Problem:
    return replace(problem, where=where, found=problem.found.replace("the file has", "the edit has"))


def _no_edit(kind: object, where: Where) -> Problem:
    word = kind if isinstance(kind, str) else ""
    known = [*EDITS, "text"]
    return Problem(
        code="unknown-edit",
        where=where,
        found=f"there is no edit '{word[:40]}'",
        wanted=f"wanted one of {', '.join(known)}",
        nearest=nearest_word(word[:40], known),
    )


def on_the_tape(values: tuple[float, ...], units: str) -> tuple[float, ...]:
    """Lengths in mm at the nearest 0.1 mm, or the nearest 64th of an inch."""
    mark = 0.1 if units == "mm" else 25.4 / 64.0
    return tuple(float(np.round(round(value / mark) * mark, 6)) + 0.0 for value in values)
