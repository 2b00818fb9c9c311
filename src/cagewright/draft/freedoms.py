"""Which freedom a tube lacks where it does not come to its gap: one more bend, or more reach."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.draft.tighten import Loose, Surroundings, axis_points, tightened
from cagewright.shape.types import Array

OFF = 5.0
"""A tube whose worst place is no further than this from the gap wanted lacks nothing, mm."""
WORTH = 2.0
"""A freedom that brings the worst place less than this nearer is not told, mm."""
ROUGH = 0.1
"""What is only told is looked for so closely, mm2."""
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth")


def missing_freedom(
    tube: Loose, places: Array, body: Surroundings, *, target: float, least: float, units: LengthUnit
) -> str:
    """What would bring the worst place of the tube nearer, in words; empty where nothing that was tried does.

    Args:
        tube: as it was before it moved.
        places: (n, 3) where it lies now, mm.
        body: what it shall follow and must not touch.
        target: gap wanted, mm.
        least: gap that is kept everywhere, mm.
        units: that it is said in.
    """
    now = replace(tube, places=places)
    worst, where = _worst(now, places, body, target)
    if worst <= OFF:
        return ""
    bends = len(places) - 2
    best, words = WORTH, ""
    for more, what in _more(now, where, tube.reach):
        found = tightened(more, body, target=target, least=least, units=units, rounds=1, close=ROUGH)
        brings = worst - _worst(more, found.places, body, target)[0]
        if brings > best:
            best = brings
            ordinal = ORDINALS[bends] if bends < len(ORDINALS) else f"{bends + 1}th"
            words = f"{what.format(ordinal=ordinal)} would bring {say_length(brings, units, places=0)}"
    return words


def _worst(tube: Loose, places: Array, body: Surroundings, target: float) -> tuple[float, Array]:
    """How far the worst place that follows the body is from the gap wanted, mm, and where it is (3,)."""
    points = axis_points(tube, places)
    seen = body(points)
    if not seen.follows.any():
        return 0.0, points[0]
    off = np.where(seen.follows, np.abs(seen.away - tube.radius - target), 0.0)
    return float(off.max()), points[int(np.argmax(off))]


def _more(tube: Loose, where: Array, reach: float) -> Iterator[tuple[Loose, str]]:
    """The tube with one more bend in the straight beside the worst place; with twice the reach."""
    ends = zip(tube.places[:-1], tube.places[1:], strict=True)
    away = [abs(float(np.linalg.norm(where - a) + np.linalg.norm(where - b) - np.linalg.norm(a - b)))
            for a, b in ends]  # fmt: skip
    i = int(np.argmin(away))
    paired = bool((np.abs(tube.ways).any(axis=2).sum(axis=1) > 1).any())
    one = _bent_at(tube, i)
    if one is not None and paired and 2 * i != len(tube.places) - 2:
        one = _bent_at(one, len(tube.places) - 2 - i + (1 if i < len(tube.places) - 2 - i else 0))
    if one is not None:
        yield replace(one, reach=reach), "a {ordinal} bend" if not paired else "one more bend on each side"
    yield replace(tube, reach=2.0 * reach), "twice the reach"


def _bent_at(tube: Loose, i: int) -> Loose | None:
    """The tube with a place more between places i and i + 1, free as its nearest neighbour is."""
    neighbour = i if i > 0 else i + 1
    own = tube.ways[np.abs(tube.ways[:, neighbour]).any(axis=1), neighbour]
    if not len(own):
        return None
    middle = (tube.places[i] + tube.places[i + 1]) / 2.0
    ways = np.insert(tube.ways, i + 1, 0.0, axis=1)
    new = np.zeros((len(own), ways.shape[1], 3))
    new[:, i + 1] = own
    return replace(
        tube,
        places=np.insert(tube.places, i + 1, middle, axis=0),
        radii=(*tube.radii[: i + 1], tube.radii[neighbour], *tube.radii[i + 1 :]),
        ways=np.concatenate([ways, new]),
    )
