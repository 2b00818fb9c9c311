"""Does every push of the demo end, however thin or thick its tubes are?"""

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import push_named, push_names
from cagewright.frame.respond import marks_of, solve
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage
from pushed import demo

SEED = 0  # nothing is drawn by lot
SMALL, FULL, WHOLE = 2, 26, 200
"""Walls, of the whole sweep's between 1.2 and 4.0 mm, that every tube of the cage is given."""
SHELL = ("seat",)
"""Pushes that the shell under a foot carries: their energy hardly hangs on the tubes."""
THICKER = 0.5
"""mm; a wall is set beside one that is so much thicker."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a push of the cage with tubes of one wall ended.

    ``energy`` J is what it took up until 40 mm, if it came there, ``open_end`` what the audit leaves open.
    """

    joints: str
    push: str
    how: str
    energy: float | None
    open_end: float


def figures(size: int, seed: int) -> dict[str, float]:
    """How the pushes of that many walls ended, and the least growth of energy to a thicker one."""
    every = walls(size)
    return figures_of({float(w): list(pushed(float(w), coarse=size == SMALL)) for w in every})


def walls(size: int) -> np.ndarray:
    """So many of the whole sweep's walls, mm, in an order whose every beginning is spread over all."""
    order = sorted(range(WHOLE), key=lambda k: f"{k:08b}"[::-1])
    return np.linspace(1.2, 4.0, WHOLE)[order[:size]]


def figures_of(found: dict[float, list[Ended]]) -> dict[str, float]:
    """The study's figures from the pushes of each wall."""
    ends = [e for each in found.values() for e in each]
    count = {how: sum(e.how == how for e in ends) for how in ("reached", "stalled", "otherwise")}
    return {
        "walls": len(found), "pushes": len(ends), **count, "least_growth": round(min(_grown(found)), 3),
        "worst_audit": round(max(e.open_end for e in ends), 4),
    }  # fmt: skip


def _grown(found: dict[float, list[Ended]]) -> Iterator[float]:
    """What each push takes up over what it does on the next wall that is enough thinner."""
    for wall, thin in found.items():
        thick = next((found[w] for w in sorted(found) if w >= wall + THICKER), [])
        more = {(e.joints, e.push): e.energy for e in thick if e.push not in SHELL}
        yield from (after / e.energy for e in thin if e.energy and (after := more.get((e.joints, e.push))))


def pushed(wall: float, *, coarse: bool) -> Iterator[Ended]:
    """Every push of the cage with tubes of that wall, joints reported on and joints that give."""
    plan, _, _ = demo()
    tubes = {name: tube.model_copy(update={"wall": wall}) for name, tube in plan.tubes.items()}
    cage = resolve(plan.model_copy(update={"tubes": tubes}))
    for joints in ("report", "yield"):
        for name in ("front-corner-left", "shoulder-belts") if coarse else _one_sided(cage):
            push = push_named(cage, name)
            choices = Choices(joints=joints, mesh=150.0 if coarse else 80.0)
            got = solve(idealise(cage, choices, marks_of([push])), push)
            how = "reached" if got.reached else "stalled" if got.end.startswith("stalled") else "otherwise"
            gap = np.abs(got.work - got.stored - got.dissipated).max() / got.work.max()
            at = float(np.interp(40.0, got.travel, got.work)) if got.travel[-1] >= 40.0 else None
            yield Ended(joints=joints, push=name, how=how, energy=at, open_end=float(gap))


def _one_sided(cage: Cage) -> list[str]:
    """Every push of the cage but the mirror images of others."""
    return [name for name in push_names(cage) if not name.endswith("-right")]


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    assert found["pushes"] == found["reached"] + found["stalled"]
    assert found["stalled"] <= 0.01 * found["pushes"]  # so many may end in 'cannot tell', and say so
    assert found["least_growth"] > 1.0  # half a millimetre more takes up more by the same travel
    assert found["worst_audit"] < 0.01  # every joule of every push is accounted for
