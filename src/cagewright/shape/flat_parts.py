"""Every part that is cut from sheet, laid flat: what a laser, a plasma table or a pair of shears needs."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from cagewright.shape.types import Array

FlatKind = Literal["foot plate", "plate", "gusset", "flange", "lug", "cap"]
Hand = Literal["either", "left", "right"]
SAME = 0.05
"""Two patterns are one where no place of theirs differs by more, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A round hole: centre (2,) and diameter, mm; ``dimple`` is how deep its rim is pressed in, mm."""

    centre: Array
    diameter: float
    dimple: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class BendLine:
    """The middle of a fold.

    Attributes:
        start: (2,) on one edge of the sheet, mm.
        stop: (2,) on the other, mm.
        angle: rad it is folded by; more than 0 towards whoever looks at the pattern.
        radius: inside, mm.
        allowance: sheet that the fold uses between its two tangent lines, mm.
    """

    start: Array
    stop: Array
    angle: float
    radius: float
    allowance: float


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatPart:
    """One part cut from sheet, laid flat as it is seen from the cage's side.

    Attributes:
        name: as in the plan, with the piece's own word where an entry makes several.
        kind: what it is.
        outline: (n, 2) corners anticlockwise, mm; a round one as a polygon within 0.05 mm.
        holes: round ones.
        bends: in any order.
        thickness: mm.
        steel: the sheet's name; empty where the plan says nothing of it.
        names: of all the parts that are cut and folded alike.
        hand: which side of the car the folds are for; ``either`` where both sides are alike.
        of: members and feet that it is welded to.
        notes: what to know before it is cut: a stretch, what was assumed, what cannot be folded.
        sound: False where it cannot be made as it stands; the first note says why.
    """

    name: str
    kind: FlatKind
    outline: Array
    thickness: float
    names: tuple[str, ...]
    holes: tuple[Hole, ...] = ()
    bends: tuple[BendLine, ...] = ()
    steel: str = ""
    hand: Hand = "either"
    of: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    sound: bool = True

    @property
    def count(self) -> int:
        """How many are made."""
        return len(self.names)

    @property
    def area(self) -> float:
        """Of one, without its holes, mm2."""
        off = sum(np.pi / 4.0 * hole.diameter**2 for hole in self.holes)
        return abs(signed_area(self.outline)) - float(off)

    @property
    def size(self) -> tuple[float, float]:
        """Length and width of the box round it as it is drawn, mm."""
        low, high = self.outline.min(axis=0), self.outline.max(axis=0)
        return float(high[0] - low[0]), float(high[1] - low[1])


def signed_area(outline: Array) -> float:
    """Area of the outline (n, 2), mm2; more than 0 where it runs anticlockwise."""
    x, y = outline.T
    return 0.5 * float(x @ np.roll(y, -1) - y @ np.roll(x, -1))


def anticlockwise(outline: Array) -> Array:
    """The outline (n, 2) run anticlockwise."""
    return outline if signed_area(outline) >= 0.0 else outline[::-1]


def disc(diameter: float, centre: Array | None = None) -> Array:
    """A round outline (n, 2) about the centre, mm: a polygon within 0.05 mm, as much inside as outside."""
    radius = diameter / 2.0
    sides = max(24, int(np.ceil(np.pi / np.arccos(1.0 - min(0.09 / radius, 0.9)))))
    phi = 2.0 * np.pi * np.arange(sides) / sides
    # half of the sagitta outside, half inside: the mean radius of the polygon is the circle's
    out = radius * 2.0 / (1.0 + np.cos(np.pi / sides))
    ring = out * np.column_stack([np.cos(phi), np.sin(phi)])
    return ring if centre is None else ring + centre


def counted(parts: tuple[FlatPart, ...]) -> tuple[FlatPart, ...]:
    """The parts with those that are alike made one, in the order in which the first of each comes."""
    found: list[FlatPart] = []
    for part in parts:
        k = next((k for k, other in enumerate(found) if alike(part, other)), None)
        if k is None:
            found.append(part)
        else:
            found[k] = replace(found[k], names=(*found[k].names, *part.names),
                               of=tuple(dict.fromkeys((*found[k].of, *part.of))))  # fmt: skip
    return tuple(found)


def alike(one: FlatPart, other: FlatPart) -> bool:
    """Whether two parts are cut and folded alike, as they are drawn or turned half round."""
    told = [(p.kind, p.steel, p.hand, p.notes, p.sound, len(p.bends)) for p in (one, other)]
    return told[0] == told[1] and abs(one.thickness - other.thickness) < 1e-6 and one_shape(one, other)


def one_shape(one: FlatPart, other: FlatPart) -> bool:
    """Whether two patterns are one, as they are drawn or turned half round."""
    return any(
        len(mine) == len(theirs)
        and all(float(np.abs(theirs - row).max(axis=1).min()) <= SAME for row in mine)
        for turned in (1.0, -1.0)
        for mine, theirs in [(_figures(one, (1.0, 1.0)), _figures(other, (turned, turned)))]
    )


def other_way_round(part: FlatPart) -> bool:
    """Whether the part's mirror is the part itself, as it is drawn or turned half round."""
    mine, theirs = _figures(part, (1.0, 1.0)), [_figures(part, flip) for flip in ((1.0, -1.0), (-1.0, 1.0))]
    return any(all(float(np.abs(rows - row).max(axis=1).min()) <= SAME for row in mine) for rows in theirs)


def _figures(part: FlatPart, turned: tuple[float, float]) -> Array:
    """Rows of six: corners, holes and both ends of each bend about the middle of the box round the part."""
    middle = 0.5 * (part.outline.min(axis=0) + part.outline.max(axis=0))
    none = np.zeros(4)
    rows = [np.r_[turned * (corner - middle), none] for corner in part.outline]
    rows += [np.r_[turned * (h.centre - middle), h.diameter, h.dimple, 0.0, 0.0] for h in part.holes]
    rows += [
        np.r_[turned * (at - middle), 0.0, 0.0, 100.0 * bend.angle, bend.radius]
        for bend in part.bends
        for at in (bend.start, bend.stop)
    ]
    return np.array(rows)
