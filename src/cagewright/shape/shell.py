"""What is known of the body: measured lines, which side of them is the cabin, and the surfaces they span."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

import numpy as np

from cagewright.base.curves import evenly
from cagewright.base.vectors import dot, length
from cagewright.plan.types import LineFace
from cagewright.shape.closest import Mask, closest_on_segments
from cagewright.shape.feet import foot_plate
from cagewright.shape.mesh import Mesh, Whole, mesh_of, nearest
from cagewright.shape.scan import Scan
from cagewright.shape.trims import metal_known, trimmed
from cagewright.shape.types import Array, Cage, Foot

LineKind = Literal[
    "outer edge",
    "door opening",
    "header",
    "roof rail",
    "roof",
    "pillar",
    "sill",
    "floor",
    "bulkhead",
    "section",
    "other",
]

KIND_WORDS: tuple[tuple[LineKind, tuple[str, ...]], ...] = (
    ("outer edge", ("outer",)),
    ("door opening", ("door",)),
    ("header", ("header",)),
    ("roof rail", ("cant", "roof_rail", "roof rail")),
    ("roof", ("roof",)),
    ("pillar", ("pillar",)),
    ("sill", ("sill", "rocker")),
    ("floor", ("floor", "tunnel")),
    ("bulkhead", ("bulkhead",)),
    ("section", ("section",)),
)
"""Words in a line's name, else in its note, that say what it is; the first that fits."""
SKIN: frozenset[LineKind] = frozenset({"header", "roof rail", "roof", "pillar", "section"})
"""Kinds with bodywork behind them: a tube beyond such a line is through the body, not clear of it."""
CORNERS: frozenset[LineKind] = frozenset({"roof rail", "pillar"})
"""Kinds that are the corner between two panels, one of them upright along the car."""
UPRIGHT = 0.3
"""A corner's line that runs back by less than this share of its length has no panel over it (ours)."""
BEYOND = 0.5
"""Sine of the least angle, over the plane square to the inward way, at which a tube is beyond a line and not
beside it: a line says nothing of the body further to its side (ours)."""
SECTION_DEPTH = 60.0
"""How deep a pillar or rail is taken behind its measured line, mm (assumed, no source)."""
ASTRAY = 40.0
"""A scan from which half the measured lines lie further than this does not stand in the car, mm (ours)."""
BETWEEN = 3.0
"""How far the body may stand off a line between two of its marks, as a standard deviation, mm (computed on
made-up bodies, docs/survey.md: without braces and steps that no mark tells of)."""
STATIONS = 25
ACROSS = 6
"""Strips of the roof between two of its lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyLine:
    """A measured line with what it is.

    ``points`` (n, 3) in order, mm; ``inward`` unit (n, 3), square to the line, into the cabin; ``spread`` is
    how far a point of it may be out, as a standard deviation, mm.
    """

    name: str
    kind: LineKind
    points: Array
    inward: Array
    spread: float = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """Everything known of the body.

    Attributes:
        lines: that were measured.
        scan: in its place, without what is trimmed; None where there is none or it stands wrongly.
        refused: why a scan that is there is not used, in words.
    """

    lines: tuple[BodyLine, ...]
    scan: Scan | None
    refused: str = ""


def line_kind(name: str, note: str) -> LineKind:
    """What a body line is, by the words in its name, else in its note."""
    for text in (name.lower(), note.lower()):
        for kind, words in KIND_WORDS:
            if any(word in text for word in words):
                return kind
    return "other"


def metal_of(cage: Cage) -> Array:
    """Measured places (k, 3) on the body's metal: the lines on its skin, mm; a section is only reckoned."""
    kinds = [(line_kind(line.name, line.note), line.points) for line in cage.lines]
    return np.concatenate([
        np.zeros((0, 3)),
        *(points for kind, points in kinds if kind in SKIN and kind != "section"),
    ])


def shell_of(cage: Cage, scan: Scan | None) -> Shell:
    """What is known of the body round the cage."""
    heights = [float(z) for line in cage.lines for z in line.points[:, 2]]
    middle = (min(heights) + max(heights)) / 2.0 if heights else 0.0
    lines = tuple(
        replace(
            body_line(line.name, line_kind(line.name, line.note), line.points, middle=middle, face=line.face),
            spread=line.spread,
        )
        for line in cage.lines
    )
    if scan is None:
        return Shell(lines=lines, scan=None)
    away = [off for _, off in misfits(lines, scan)]
    if len(away) > 1 and float(np.median(away)) > ASTRAY:
        words = (f"the scan does not stand in the car: half of the {len(away)} measured lines lie "
                 f"{np.median(away):.0f} mm and more from it")  # fmt: skip
        return Shell(lines=lines, scan=None, refused=words)
    return Shell(lines=lines, scan=trimmed(scan, cage, metal_known(cage)))


def lines_give(spread: float) -> float:
    """How far a gap to a measured line may be out either way, two standard deviations, mm.

    The ``spread`` of its points, mm, and what the body does between two of them.
    """
    return 2.0 * float(np.hypot(spread, BETWEEN))


def misfits(lines: tuple[BodyLine, ...], scan: Scan) -> tuple[tuple[str, float], ...]:
    """Each line on the skin and how far it lies from the scan, mm.

    It is the median of the line's points, so that no hole in the scan rules it.
    """
    return tuple(
        (line.name, float(np.median(nearest(scan.mesh, line.points).away)))
        for line in lines
        if line.kind in SKIN
    )


def body_line(
    name: str, kind: LineKind, points: Array, *, middle: float, face: LineFace = "corner"
) -> BodyLine:
    """A body line with its way into the cabin.

    Under the roof that is down; from a roof rail or a pillar half way between the two panels that meet there,
    or square to the one face of a box that was marked; from any other line toward the cabin's middle axis.

    ``points`` (n, 3) in order and the height of the cabin's ``middle`` axis, mm.
    """
    along = np.gradient(points, axis=0)
    along = along / np.maximum(length(along), 1e-9)[:, None]
    if kind in ("roof", "header"):
        toward = np.tile([0.0, 0.0, -1.0], (len(points), 1))
    else:
        toward = np.stack([np.zeros(len(points)), -points[:, 1], middle - points[:, 2]], axis=1)
    toward = toward - dot(toward, along)[:, None] * along
    if kind in CORNERS:
        toward = _between_panels(points, toward, face)
    return BodyLine(
        name=name, kind=kind, points=points, inward=toward / np.maximum(length(toward), 1e-9)[:, None]
    )


def _between_panels(points: Array, toward: Array, face: LineFace) -> Array:
    """(n, 3) into the cabin between the panel over the line, level across the car, and the one beside it.

    Where the line runs up and not along the car no panel lies over it: there it is ``toward`` (n, 3).
    """
    way = np.diff(points, axis=0)
    way = way / np.maximum(length(way), 1e-9)[:, None]
    way = np.where(way[:, :1] < 0.0, -way, way)  # to the back, so that the panel's underside is known
    beside = np.zeros_like(way)
    beside[:, 1] = np.where(points[:-1, 1] + points[1:, 1] < 0.0, 1.0, -1.0)
    under = np.stack([way[:, 2], np.zeros(len(way)), -way[:, 0]], axis=1)
    under = under / np.maximum(length(under), 1e-9)[:, None]
    between = beside if face == "inner face" else under if face == "rear face" else beside + under
    between = between - dot(between, way)[:, None] * way
    between = between / np.maximum(length(between), 1e-9)[:, None]
    at = np.concatenate([between[:1], between[:-1] + between[1:], between[-1:]])
    back = np.concatenate([way[:1, 0], np.minimum(way[:-1, 0], way[1:, 0]), way[-1:, 0]])
    return np.where(back[:, None] > UPRIGHT, at, toward)


@dataclass(frozen=True, slots=True, kw_only=True)
class OnLine:
    """The nearest point of a body line to each of n points.

    Attributes:
        on: (n, 3) mm.
        away: (n,) mm.
        part: (n,) where along the line, in segments from its start.
        beside: (n,) whether it lies between the line's ends.
        inward: (n, 3) unit, the line's way into the cabin there.
        inside: (n,) mm the point stands toward the cabin from there; negative beyond the line.
        through: (n,) whether the point is beyond the line, in or behind the bodywork.
    """

    on: Array
    away: Array
    part: Array
    beside: Mask
    inward: Array
    inside: Array
    through: Mask


def nearest_on_line(line: BodyLine, points: Array) -> OnLine:
    """The nearest point of the line to each of the points (n, 3), mm."""
    a, b = line.points[:-1], line.points[1:]
    n, m = len(points), len(a)
    shape = (n * m, 3)
    on = closest_on_segments(
        np.broadcast_to(points[:, None], (n, m, 3)).reshape(shape),
        np.broadcast_to(a, (n, m, 3)).reshape(shape),
        np.broadcast_to(b, (n, m, 3)).reshape(shape),
    ).reshape(n, m, 3)
    away = length(on - points[:, None])
    pick = np.argmin(away, axis=1)
    rows = np.arange(n)
    on, away = on[rows, pick], away[rows, pick]
    share = length(on - a[pick]) / np.maximum(length(b[pick] - a[pick]), 1e-9)
    inward = (1.0 - share)[:, None] * line.inward[pick] + share[:, None] * line.inward[pick + 1]
    inward = inward / np.maximum(length(inward), 1e-9)[:, None]
    part, inside = pick + share, dot(points - on, inward)
    beside = (part > 1e-6) & (part < m - 1e-6)
    through = beside & (inside < -BEYOND * away) & (line.kind in SKIN)
    return OnLine(on=on, away=away, part=part, beside=beside, inward=inward, inside=inside, through=through)


def line_direction(line: BodyLine, on: OnLine) -> Array:
    """Unit (n, 3) along the line at each of its points found nearest."""
    steps = np.diff(line.points, axis=0)
    which = np.minimum(on.part.astype(np.int64), len(steps) - 1)
    return steps[which] / np.maximum(length(steps[which]), 1e-9)[:, None]


def floor_height(shell: Shell, feet: tuple[Foot, ...]) -> float | None:
    """The height a level floor is taken at, mm: the lowest sill point or plate edge; None with neither."""
    sills = [float(line.points[:, 2].min()) for line in shell.lines if line.kind in ("sill", "floor")]
    plates = [float(foot_plate(foot)[:, 2].min()) for foot in feet if foot.seat != "turret"]
    return min(sills + plates, default=None)


def plain_body(shell: Shell, feet: tuple[Foot, ...], *, floor: bool = True) -> Mesh | None:
    """The body's surfaces where there is no scan, or None where nothing was measured.

    The roof skin is spanned, bowed across, through the roof rails and the lines on the roof; each pillar,
    rail and header is a strip ``SECTION_DEPTH`` mm deep behind its line; a bulkhead fills its outline; the
    floor is level at ``floor_height`` under the lines.

    The assumed floor, where it is wanted, lies under the feet.
    """
    skin = [line for line in shell.lines if line.kind in SKIN and line.kind != "section"]
    strips = [(line.points, line.points - SECTION_DEPTH * line.inward) for line in skin]
    strips += _roof(shell)
    strips += [(b.points, np.tile(b.points.mean(axis=0), (len(b.points), 1))) for b in _bulkheads(shell)]
    strips += _floor(shell, feet) if floor else []
    return _joined(strips) if strips else None


def _bulkheads(shell: Shell) -> list[BodyLine]:
    """Outlines of walls across the car."""
    return [line for line in shell.lines if line.kind == "bulkhead" and len(line.points) > 2]


def roof_skin(shell: Shell) -> Mesh | None:
    """The roof as spanned between the roof rails and the lines on the roof; None with fewer than two."""
    strips = _roof(shell)
    return _joined(strips) if strips else None


def _roof(shell: Shell) -> list[tuple[Array, Array]]:
    """Strips of the roof: its lines side by side, bowed across through them (a parabola through three)."""
    roof = sorted(
        (line for line in shell.lines if line.kind in ("roof", "roof rail")),
        key=lambda line: float(line.points[:, 1].mean()),
    )
    if len(roof) < 2:
        return []
    ways = (p if p[0, 0] <= p[-1, 0] else p[::-1] for p in (line.points for line in roof))
    lines = np.array([evenly(points, STATIONS) for points in ways])  # all from front to back
    at = np.r_[0.0, np.cumsum(length(np.diff(lines.mean(axis=1), axis=0)))]
    between = [np.linspace(a, b, ACROSS + 1)[:-1] for a, b in pairwise(at.tolist())]
    return list(pairwise(bowed_through(at, lines, np.r_[np.concatenate(between), at[-1]])))


def bowed_through(at: Array, lines: Array, where: Array) -> Array:
    """The smooth surface through the lines at those places (k,), as (k, m, 3), mm.

    Cubic pieces of which the first two and the last two are one (not-a-knot), as scipy's ``CubicSpline``,
    whose module takes half a second to load: powers, and one more for each line that is left a knot.

    Args:
        at: (n,) where each line stands across the surface, rising from 0, mm.
        lines: (n, m, 3) mm.
        where: within ``at``, mm.
    """

    def basis(place: Array) -> Array:
        share = place[:, None] / at[-1]
        powers = share ** np.arange(min(len(at), 4))
        return np.hstack([powers, np.maximum(share - at[2:-2] / at[-1], 0.0) ** 3])

    return np.tensordot(np.linalg.solve(basis(at).T, basis(where).T).T, lines, axes=1)


def _floor(shell: Shell, feet: tuple[Foot, ...]) -> list[tuple[Array, Array]]:
    height = floor_height(shell, feet)
    spread = [line.points for line in shell.lines if line.kind == "sill"] + [
        foot.point[None] for foot in feet
    ]
    if height is None or not spread:
        return []
    low, high = np.concatenate(spread).min(axis=0), np.concatenate(spread).max(axis=0)
    left = np.array([[low[0], low[1], height], [high[0], low[1], height]])
    right = np.array([[low[0], high[1], height], [high[0], high[1], height]])
    return [(left, right)] if high[1] - low[1] > 1.0 else []


def _joined(strips: list[tuple[Array, Array]]) -> Mesh:
    """One mesh of the quads between each pair of equally long polylines."""
    corners: list[Array] = []
    faces: list[Whole] = []
    count = 0
    for one, two in strips:
        n = len(one)
        i: Whole = np.arange(n - 1, dtype=np.int64)
        corners += [one, two]
        faces.append(np.stack([i, i + 1, i + n], axis=1) + count)
        faces.append(np.stack([i + 1, i + n + 1, i + n], axis=1) + count)
        count += 2 * n
    return mesh_of(np.concatenate(corners), np.concatenate(faces))
