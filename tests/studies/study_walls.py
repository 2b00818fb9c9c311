"""Does every push of the demo end, however thin or thick its tubes are?"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.push_names import push_named, push_names
from cagewright.frame.respond import marks_of, solve
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage
from pushed import demo

SEED = 0  # nothing is drawn by lot
SMALL, FULL = 2, 6
"""Walls between 1.2 and 4.0 mm that every tube of the cage is given."""
SHELL = ("seat",)
"""Pushes that the shell under a foot carries: their energy hardly hangs on the tubes."""


def figures(size: int, seed: int) -> dict[str, float]:
    """How the pushes of that many walls ended, and the least growth of energy from a wall to the next."""
    energies: dict[tuple[str, str], list[float | None]] = {}
    ended, worst = {"reached": 0, "stalled": 0, "otherwise": 0}, 0.0
    for wall in np.linspace(1.2, 4.0, size):
        for joints, name, how, energy, open_end in _pushes(float(wall), coarse=size == SMALL):
            ended[how] += 1
            worst = max(worst, open_end)
            energies.setdefault((joints, name), []).append(energy)
    carried = [found for (_, name), found in energies.items() if name not in SHELL]
    grown = [b / a for found in carried for a, b in pairwise(found) if a and b]
    return {
        "walls": size, "pushes": sum(ended.values()), **ended, "least_growth": round(min(grown), 3),
        "worst_audit": round(worst, 4),
    }  # fmt: skip


def _pushes(wall: float, *, coarse: bool) -> Iterator[tuple[str, str, str, float | None, float]]:
    """Joints, push, how it ended, its energy J until 40 mm if it came there, what the audit leaves open."""
    plan, _, _ = demo()
    tubes = {name: tube.model_copy(update={"wall": wall}) for name, tube in plan.tubes.items()}
    cage = resolve(plan.model_copy(update={"tubes": tubes}))
    for joints in ("report", "yield"):
        for name in ("front-corner-left",) if coarse else _one_sided(cage):
            push = push_named(cage, name)
            choices = Choices(joints=joints, mesh=150.0 if coarse else 80.0)
            found = solve(idealise(cage, choices, marks_of([push])), push)
            how = (
                "reached" if found.reached else "stalled" if found.end.startswith("stalled") else "otherwise"
            )
            gap = np.abs(found.work - found.stored - found.dissipated).max() / found.work.max()
            at = float(np.interp(40.0, found.travel, found.work)) if found.travel[-1] >= 40.0 else None
            yield joints, name, how, at, float(gap)


def _one_sided(cage: Cage) -> list[str]:
    """Every push of the cage but the mirror images of others."""
    return [name for name in push_names(cage) if not name.endswith("-right")]


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    assert found["pushes"] == found["reached"] + found["stalled"]
    assert found["reached"] > found["stalled"]
    assert found["least_growth"] > 1.0  # a thicker wall takes up more by the same travel
    assert found["worst_audit"] < 0.01  # every joule of every push is accounted for
