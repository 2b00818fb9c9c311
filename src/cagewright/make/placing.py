"""Finding room for a label: the first of several places that covers nothing that is already there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import Points, Stroke, label_corners
from cagewright.make.strokes import Ink

_LINE = 0.35
"""Half the width a thin line keeps free, mm."""


class AreasInUse:
    """Convex areas of the paper that are in use, labels told from the rest; grows as labels are placed."""

    def __init__(self, areas: Iterable[Points] = ()) -> None:
        self._areas: list[Points] = []
        self._low: NDArray[np.float64] = np.empty((0, 2))
        self._high: NDArray[np.float64] = np.empty((0, 2))
        self._label: NDArray[np.bool_] = np.empty(0, dtype=bool)
        self.add(areas)

    def add(self, areas: Iterable[Points], *, labels: bool = False) -> None:
        """Marks the convex polygons (n, 2) as in use."""
        new = list(areas)
        if new:
            self._areas += new
            self._low = np.vstack([self._low, *(a.min(axis=0) for a in new)])
            self._high = np.vstack([self._high, *(a.max(axis=0) for a in new)])
            self._label = np.concatenate([self._label, np.full(len(new), labels)])

    def add_ink(self, ink: Ink) -> None:
        """Marks the ink's labels and a thin band along its open lines as in use."""
        self.add((label_corners(label) for label in ink.labels), labels=True)
        self.add(band for stroke in ink.strokes for band in _bands(stroke))

    def clashes(self, area: Points, *, labels_only: bool = False) -> int:
        """How many of the areas in use the convex polygon overlaps."""
        near = (self._low < area.max(axis=0)).all(axis=1) & (self._high > area.min(axis=0)).all(axis=1)
        if labels_only:
            near &= self._label
        return sum(overlap(self._areas[i], area) for i in np.flatnonzero(near))

    def box(self) -> tuple[Points, Points]:
        """The lowest and the highest corner (2,) of all that is in use."""
        return self._low.min(axis=0), self._high.max(axis=0)


def overlap(a: Points, b: Points) -> bool:
    """Whether two convex polygons (n, 2) overlap (separating axis theorem)."""
    for shape in (a, b):
        side = np.roll(shape, -1, axis=0) - shape
        normals = np.column_stack([-side[:, 1], side[:, 0]])
        pa, pb = a @ normals.T, b @ normals.T
        if ((pa.max(axis=0) <= pb.min(axis=0)) | (pb.max(axis=0) <= pa.min(axis=0))).any():
            return False
    return True


def _bands(stroke: Stroke) -> list[Points]:
    return [] if stroke.closed else ribbon(stroke.points, _LINE)


def placed(candidates: Sequence[Ink], taken: AreasInUse) -> Ink:
    """The first candidate with the fewest clashes; what it takes up is added to ``taken``.

    A label on anything is a clash, and so is a line through a label.

    Raises:
        ValueError: no candidates.
    """
    if not candidates:
        raise ValueError("a label needs at least one place to go")
    best, least = candidates[0], float("inf")
    for candidate in candidates:
        count = _cost(candidate, taken)
        if count < least:
            best, least = candidate, count
        if count == 0:
            break
    taken.add_ink(best)
    return best


def _cost(ink: Ink, taken: AreasInUse) -> int:
    words = sum(taken.clashes(label_corners(label)) for label in ink.labels)
    bands = (band for stroke in ink.strokes for band in _bands(stroke))
    return words + sum(taken.clashes(band, labels_only=True) for band in bands)


def ribbon(centre: Points, half: float) -> list[Points]:
    """Quads (4, 2) that cover a band ``half`` mm either side of the line (n, 2)."""
    quads: list[Points] = []
    for p, q in pairwise(centre):
        way = q - p
        size = float(np.hypot(way[0], way[1]))
        if size > 1e-9:
            off = np.array([-way[1], way[0]]) / size * half
            quads.append(np.array([p + off, p - off, q - off, q + off]))
    return quads
