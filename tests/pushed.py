"""A small roll bar and its pushes, and answers made by hand, for tests of comparisons and strength papers."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.pushes import Push
from cagewright.frame.respond import run
from cagewright.frame.results import Results, SurvivalSpace
from cagewright.plan.shop import read_job
from cagewright.shape.resolve import resolve

EXAMPLES = Path(__file__).parents[1] / "examples"
COARSE = Choices(mesh=120.0)


@cache
def roll_bar():
    """The four-member roll bar's plan, shop and cage."""
    plan, shop = read_job(EXAMPLES / "roll-bar.yaml")
    return plan, shop, resolve(plan)


@cache
def demo():
    """The demo car's plan, shop and cage."""
    plan, shop = read_job(EXAMPLES / "brackwater.yaml")
    return plan, shop, resolve(plan)


@cache
def summary(*names, band=False):
    """The roll bar under the named pushes on a coarse mesh."""
    return run(roll_bar()[2], names or ("main-hoop-down",), COARSE, band=band)


def push_of(kind="platen", travel=100.0, **more):
    """A push of that kind that presses nothing in particular."""
    return Push(
        name="p", title="a push", kind=kind, press=None, point_loads=(), travel=travel, demands=(),
        source="made up", certainty="shop", **more,
    )  # fmt: skip


def answered(travel, load, *, stiffness=None, weight=10_000.0, room=None, push=None, joints=()):
    """Results whose curve runs through the points, mm and N; work by the trapezoid rule."""
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    steps = 0.5 * (load[1:] + load[:-1]) * np.diff(travel)
    push = push or push_of(travel=float(travel[-1]))
    reached = travel[-1] >= push.travel - 1e-9
    return Results(
        title="t", revision="r", push=push, choices=COARSE, weight=weight, travel=travel, load=load,
        work=np.concatenate([[0.0], np.cumsum(steps)]) * 1e-3, reached=bool(reached),
        end=f"{'reached' if reached else 'stalled at'} {travel[-1]:g} mm", stiffness=stiffness,
        first_yield=None, peak=None, energy=None, room=room, absorbed=None, drop=None,
        order=(), demands=(), joints=joints,
        feet=(), members=(), shapes=(), band=None, notes=(),
    )  # fmt: skip


def room_of(*, touched=None, least=50.0, followed=100.0):
    """A survival space that is touched at ``touched`` mm or not at all."""
    return SurvivalSpace(touched=touched, by="bar", rest=80.0, least=least, doubt=0.0, source="made up",
                followed=followed)  # fmt: skip


def renamed(results, name):
    """The same results under another push's name."""
    return replace(results, push=replace(results.push, name=name))
