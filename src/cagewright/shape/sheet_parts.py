"""Which parts of a cage are cut from sheet, each laid flat: plates, gussets, flanges, lugs and caps."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import cross, unit
from cagewright.shape.coupling_parts import coupling_flats
from cagewright.shape.flat_parts import BendLine, FlatPart, Hole, anticlockwise, counted, other_way_round
from cagewright.shape.folds import foot_axes, pattern
from cagewright.shape.gussets import gusset_shape
from cagewright.shape.laid_flat import laid_flat
from cagewright.shape.mesh import Mesh, Whole
from cagewright.shape.trims import shared
from cagewright.shape.types import Array, Cage, Foot, Gusset, Plate
from cagewright.stock.folding import fold_of
from cagewright.stock.shop import Shop

MIDDLE = 0.01
"""A part this near the centre plane is for neither side, mm."""
COVERED = 0.97
"""A scan that covers less of a plate's area than this, or folds over it by more, is not whole under it."""
STRETCHES = 0.05
"""Sheet that has to stretch by more than this at an edge wants relief cuts (common practice, no source)."""
OFF_PLANE = 0.5
"""Corners of a plate this far off one plane make it a bent one, mm."""


def flat_parts(cage: Cage, shop: Shop, scan: Mesh | None = None) -> tuple[FlatPart, ...]:
    """Every part that is cut from sheet, those that are alike made one; a part's order is the plan's.

    Args:
        cage: what is built.
        shop: how its folder takes sheet.
        scan: the shell as scanned, for feet that are shaped to it.
    """
    return counted((
        *(
            shaped_part(foot, scan, cage.units) if foot.shaped else foot_part(foot, shop, cage.units)
            for foot in cage.feet
        ),
        *(plate_part(plate, cage.units) for plate in cage.plates),
        *(gusset_part(cage, gusset, shop) for gusset in cage.gussets),
        *coupling_flats(cage),
    ))


def foot_part(foot: Foot, shop: Shop, units: LengthUnit) -> FlatPart:
    """A foot's plate, its length along the pattern's x; folded by the shop's figures."""
    fold = fold_of(foot.plate[2], shop.folds)
    outline, bends, short = pattern(foot.plate[:2], foot.folds, fold)
    notes = _short(max(short, default=0.0), units)
    return _handed(FlatPart(
        name=foot.name, kind="foot plate", outline=outline, thickness=foot.plate[2], names=(foot.name,),
        bends=bends, of=foot.members, notes=(*notes, *((f"folded with {fold.source}",) if bends else ())),
        sound=not notes,
    ), float(foot.point[1]))  # fmt: skip


def shaped_part(foot: Foot, scan: Mesh | None, units: LengthUnit) -> FlatPart:
    """A foot's plate shaped to the shell: the scan's surface under it laid flat; flat where none is known."""
    part = FlatPart(name=foot.name, kind="foot plate", outline=_rectangle(foot.plate), names=(foot.name,),
                    thickness=foot.plate[2], of=foot.members)  # fmt: skip
    piece = None if scan is None else under_plate(scan, foot)
    if piece is None:
        why = "there is no scan" if scan is None else "the scan has no whole surface under it"
        return replace(part, notes=(f"cannot tell its shape: {why}; shown flat",), sound=False)
    flat = laid_flat(*piece, seen_from=foot.point + 200.0 * foot.normal)
    x = foot_axes(foot.normal)[0] @ flat.ways  # its length along the pattern's x, as a flat one's
    x, outline = x / np.hypot(*x), flat.loops[0] - flat.loops[0].mean(axis=0)
    outline = anticlockwise(outline @ np.array([[x[0], -x[1]], [x[1], x[0]]]))
    if not flat.bent:
        return replace(part, outline=outline)
    off = say_length(float(np.abs((piece[0] - foot.point) @ foot.normal).max()), units)
    notes = (f"shaped to the scan, up to {off} off flat; its edges stretch by up to {flat.stretch:.1%}",
             *(("more than sheet takes without relief cuts: shape it from pieces",)
               if flat.stretch > STRETCHES else ()))  # fmt: skip
    return replace(part, outline=outline, notes=notes, sound=flat.stretch <= STRETCHES)


def under_plate(scan: Mesh, foot: Foot) -> tuple[Array, Whole] | None:
    """The scan's surface under a foot's plate: corners (n, 3) mm and faces (m, 3); None where it has gaps.

    What lies within half the plate's shorter side of its plane counts, cut at the plate's edges.
    """
    axes, half = foot_axes(foot.normal), np.array(foot.plate[:2]) / 2.0
    every = scan.corners[scan.faces] - foot.point
    local = every @ axes.T
    near = (np.abs(local[..., 2]) < half.min()).all(axis=1)
    for k in (0, 1):
        near &= (local[..., k].min(axis=1) < half[k]) & (local[..., k].max(axis=1) > -half[k])
    parts = list(local[near])
    for k in (0, 1):
        for side in (1.0, -1.0):
            parts = [t for triangle in parts for t in _cut(triangle, k, side, float(half[k]))]
    if not parts:
        return None
    flat = np.array(parts)
    edges = flat[:, 1:, :2] - flat[:, :1, :2]
    covered = 0.5 * float(np.abs(edges[:, 0, 0] * edges[:, 1, 1] - edges[:, 0, 1] * edges[:, 1, 0]).sum())
    if not COVERED * 4.0 * half.prod() < covered < 4.0 * half.prod() / COVERED:
        return None
    corners, faces = shared(flat)
    return corners @ axes + foot.point, faces


def _cut(triangle: Array, axis: int, side: float, limit: float) -> list[Array]:
    """What of a triangle (3, 3) lies within ``limit`` along an axis on one side, as triangles."""
    off = side * triangle[:, axis] - limit
    ring: list[Array] = []
    for i, j in ((0, 1), (1, 2), (2, 0)):
        if off[i] <= 0.0:
            ring.append(triangle[i])
        if (off[i] < 0.0 < off[j]) or (off[j] < 0.0 < off[i]):
            ring.append(triangle[i] + off[i] / (off[i] - off[j]) * (triangle[j] - triangle[i]))
    return [np.array([ring[0], p, q]) for p, q in pairwise(ring[1:])]


def _rectangle(plate: tuple[float, float, float]) -> Array:
    x, y = plate[0] / 2.0, plate[1] / 2.0
    return np.array([[-x, -y], [x, -y], [x, y], [-x, y]])


def plate_part(plate: Plate, units: LengthUnit) -> FlatPart:
    """A plate in the plane that is nearest to its corners, its first edge along x."""
    middle = plate.corners.mean(axis=0)
    off = plate.corners - middle
    normal = unit(np.cross(off, np.roll(off, -1, axis=0)).sum(axis=0))
    first = off[1] - off[0]
    x = unit(first - (first @ normal) * normal)
    axes = np.array([x, cross(normal, x)])
    bent = float(np.abs(off @ normal).max())
    said = f"its corners lie up to {say_length(bent, units)} off one plane: it is sprung or bent to them"
    origin = (off @ axes.T)[0]
    return FlatPart(
        name=plate.name, kind="plate", outline=anticlockwise(off @ axes.T - origin),
        thickness=plate.thickness, names=(plate.name,),
        holes=tuple(Hole(centre=(h.point - middle) @ axes.T - origin, diameter=h.diameter)
                    for h in plate.holes),
        of=plate.members, notes=(said,) if bent > OFF_PLANE else (),
    )  # fmt: skip


def gusset_part(cage: Cage, gusset: Gusset, shop: Shop) -> FlatPart:
    """A gusset between its tubes' outsides; a half tube's wrap."""
    fold = fold_of(gusset.thickness, shop.folds)
    shape = gusset_shape(cage, gusset, fold)
    wrong = shape.room <= 0.0
    notes = [f"no sheet is left between the tubes: its legs are {say_length(-shape.room, cage.units)} short"]
    notes = notes if wrong else []
    tight = min((_room_round(h, shape.outline, shape.bends) for h in shape.holes), default=gusset.thickness)
    if not wrong and tight < gusset.thickness:
        left = say_length(max(tight, 0.0), cage.units)
        notes.append(f"its hole leaves {left} to an edge or fold: make it smaller, or the legs longer")
        wrong = True
    if gusset.kind == "half tube":
        notes.append("half of a tube, or rolled from sheet: the pattern is of its middle layer")
    if shape.bends:
        notes.append(f"folded with {fold.source}")
    return FlatPart(
        name=gusset.name, kind="gusset", outline=anticlockwise(shape.outline), thickness=gusset.thickness,
        names=(gusset.name,), holes=shape.holes, bends=shape.bends, of=gusset.between, notes=tuple(notes),
        sound=not wrong,
    )  # fmt: skip


def _room_round(hole: Hole, outline: Array, bends: tuple[BendLine, ...]) -> float:
    """From a hole's rim to the nearest edge or bend line of the sheet, mm."""
    lines = [*zip(outline, np.roll(outline, -1, axis=0), strict=True), *((b.start, b.stop) for b in bends)]
    away = [_from_line(hole.centre, a, b) for a, b in lines]
    return min(away) - hole.diameter / 2.0


def _from_line(point: Array, a: Array, b: Array) -> float:
    share = float(np.clip((point - a) @ (b - a) / max(float((b - a) @ (b - a)), 1e-12), 0.0, 1.0))
    return float(np.hypot(*(point - a - share * (b - a))))


def _short(by: float, units: LengthUnit) -> tuple[str, ...]:
    told = f"cannot be folded so: a face between its folds is {say_length(by, units)} too short"
    return (told,) if by > 1e-9 else ()


def _handed(part: FlatPart, side: float) -> FlatPart:
    """The part for its side of the car (across, mm), where its mirror is another part."""
    if not part.bends or abs(side) < MIDDLE or other_way_round(part):
        return part
    return replace(part, hand="left" if side < 0.0 else "right")
