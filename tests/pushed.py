"""A small roll bar and its pushes, and answers made by hand, for tests of comparisons and strength papers."""

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.counted import curve_to
from cagewright.frame.curve_figures import peak_of
from cagewright.frame.pushes import Push
from cagewright.frame.results import Moment, PartRoom, Results, SurvivalSpace
from cagewright.frame.run import run
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
def summary(*names):
    """The roll bar under the named pushes on a coarse mesh."""
    return run(roll_bar()[2], names or ("main-hoop-down",), COARSE)


def push_of(kind="platen", travel=100.0, **more):
    """A push of that kind that presses nothing in particular."""
    return Push(
        name="p", title="a push", kind=kind, press=None, point_loads=(), travel=travel, demands=(),
        source="made up", certainty="shop", **more,
    )  # fmt: skip


@dataclass(frozen=True)
class Curve:
    """As much of a solution as a curve needs: travel mm, load N, work N mm."""

    travel: np.ndarray
    load: np.ndarray
    work: np.ndarray


def answered(
    travel, load, *, stiffness=None, weight=10_000.0, room=None, push=None, joints=(), limit=None, at=None
):
    """Results whose curve runs through the points, mm and N; work by the trapezoid rule.

    They count to ``at`` mm, where ``limit`` stops them; without either to where they end.
    """
    travel, load = np.asarray(travel, float), np.asarray(load, float)
    steps = 0.5 * (load[1:] + load[:-1]) * np.diff(travel)
    push = push or push_of(travel=float(travel[-1]))
    reached = travel[-1] >= push.travel - 1e-9
    made = Curve(travel, load, np.concatenate([[0.0], np.cumsum(steps)]))
    kind, upto = (
        limit or ("end of travel" if reached else "cannot tell"),
        float(travel[-1]) if at is None else at,
    )
    curve = curve_to(made, upto)
    return Results(
        title="t", revision="r", push=push, choices=COARSE, weight=weight, travel=travel, load=load,
        work=made.work * 1e-3, reached=bool(reached),
        end=f"{'reached' if reached else 'stalled at'} {travel[-1]:g} mm", stiffness=stiffness,
        first_yield=None, peak=peak_of(curve, weight), room=room, drop=None,
        moments=(Moment(kind=kind, travel=upto, load=float(curve.load[-1]), energy=float(curve.work[-1]),
                        what="bar" if kind.startswith("first") else "", spot=None),),
        order=(), demands=(), joints=joints,
        feet=(), members=(), shapes=(), notes=(),
    )  # fmt: skip


def room_of(*, touched=None, least=50.0, followed=100.0):
    """The room of a driver whose helmet is touched at ``touched`` mm or not at all."""
    helmet = PartRoom(person="driver", part="helmet", by="bar", rest=80.0, least=least, touched=touched,
                      doubt=0.0, source="made up")  # fmt: skip
    return SurvivalSpace(parts=(helmet,), inside=(), followed=followed)


def renamed(results, name):
    """The same results under another push's name."""
    return replace(results, push=replace(results.push, name=name))
