"""Does every push of the demo end, however thin or thick its tubes are?"""

from collections.abc import Iterator
from itertools import pairwise

import numpy as np

from cagewright.frame.choices import Choices
from cagewright.frame.run import run
from cagewright.shape.resolve import resolve
from pushed import demo

SEED = 0  # nothing is drawn by lot
SMALL, FULL = 2, 15
"""Walls between 1.2 and 4.0 mm that every tube of the cage is given."""


def figures(size: int, seed: int) -> dict[str, float]:
    """How the pushes of that many walls ended, and the least growth of energy from a wall to the next."""
    energies: dict[tuple[str, str], list[float]] = {}
    ended = {"reached": 0, "stalled": 0, "otherwise": 0}
    for wall in np.linspace(1.2, 4.0, size):
        for joints, name, how, energy in _pushes(float(wall), coarse=size == SMALL):
            ended[how] += 1
            energies.setdefault((joints, name), []).append(energy)
    grown = [b / a for found in energies.values() for a, b in pairwise(found)]
    return {"walls": size, "pushes": sum(ended.values()), **ended, "least_growth": round(min(grown), 3)}


def _pushes(wall: float, *, coarse: bool) -> Iterator[tuple[str, str, str, float]]:
    """Joints, push, how it ended, and its energy until 40 mm or the end, J."""
    plan, _, _ = demo()
    tubes = {name: tube.model_copy(update={"wall": wall}) for name, tube in plan.tubes.items()}
    cage = resolve(plan.model_copy(update={"tubes": tubes}))
    for joints in ("report", "yield"):
        names = ("front-corner-left",) if coarse else ("front-corner-left", "main-hoop-down", "side-left")
        choices = Choices(joints=joints, mesh=150.0 if coarse else 40.0)
        for found in run(cage, names, choices).results:
            how = (
                "reached" if found.reached else "stalled" if found.end.startswith("stalled") else "otherwise"
            )
            yield joints, found.push.name, how, float(np.interp(40.0, found.travel, found.work))


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    assert found["pushes"] == found["reached"] + found["stalled"]
    assert found["reached"] > found["stalled"]
    assert found["least_growth"] > 1.0  # a thicker wall takes up more by the same travel
