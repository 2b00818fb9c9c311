"""Where nodes stand along each member: at joints, bends, weld zones, and no further apart than the mesh."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise

from cagewright.base.curves import Arc, Chain
from cagewright.frame.choices import Choices
from cagewright.shape.types import Cage, Cope, End, Joint, Member, member_named
from cagewright.stock.catalogue import cautious_softening, softening_of
from cagewright.stock.steels import Softening

TOGETHER = 6.0
"""Joints on a member nearer than this share a node, mm; rigid stubs take up the difference."""
LEAST_PART = 0.2
"""At least this part of a member is left between its two stubs."""
TURN = math.radians(15.0)
"""An element in a bend turns no more than this."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MeshStations:
    """Where a member's nodes stand.

    Attributes:
        member: the member.
        along: developed distances of its nodes, mm, rising; the first and last are where the tube starts and
            stops (the surface of its main where it has a stub).
        zone: softened zone beside its welds.
        welds: developed distances of welds on it with half the weld's width, mm.
    """

    member: Member
    along: tuple[float, ...]
    zone: Softening
    welds: tuple[tuple[float, float], ...]


Marks = Mapping[str, tuple[float, ...]]
"""Places that must have a node: mm along each member, by name."""


def stations_of(cage: Cage, choices: Choices, marks: Marks | None = None) -> dict[str, MeshStations]:
    """The stations of every member by name.

    Args:
        cage: what is built.
        choices: which simplifications are made.
        marks: further places that need a node.
    """
    landed: dict[str, list[tuple[Joint, float]]] = defaultdict(list)
    for joint in cage.joints:
        landed[joint.mains[0]].append((joint, joint.along[0]))
    return {m.name: _stations(cage, m, landed[m.name], choices, marks or {}) for m in cage.members}


def stub_length(cage: Cage, end: End) -> float:
    """From a coped end's axis point along the branch to the first main's surface, mm; 0 for other ends."""
    if not isinstance(end.cut, Cope):
        return 0.0
    main = member_named(cage, end.cut.mains[0])
    if main.lie is not None:
        return max(float(end.cut.outside.mean()), 0.0)
    radius = main.tube.radius
    inside = max(radius**2 - end.cut.offset**2, 0.0)
    return math.sqrt(inside) / max(math.sin(end.cut.angle), 0.25)


def limits(cage: Cage, member: Member, choices: Choices) -> tuple[float, float]:
    """Developed distances where the member's tube starts and stops, mm."""
    whole = member.path.length
    if not choices.stubs:
        return 0.0, whole
    first, last = (stub_length(cage, end) for end in member.ends)
    scale = min(1.0, (1.0 - LEAST_PART) * whole / max(first + last, 1e-9))
    return first * scale, whole - last * scale


def _stations(
    cage: Cage, member: Member, landed: list[tuple[Joint, float]], choices: Choices, marks: Marks
) -> MeshStations:
    low, high = limits(cage, member, choices)
    zone = softening(member, choices)
    welds = [(low, 0.0), (high, 0.0), *((s, _half_width(cage, joint)) for joint, s in landed)]
    held = (0.5 * (run.start + run.stop) for run in member.runs)
    coupled = [c.along for c in member.couplings]
    welds += [(c.along, 0.0) for c in member.couplings if not c.parts]
    wanted = [*(s for _, s in landed), *held, *coupled, *marks.get(member.name, ())]
    joints = together(sorted(s for s in wanted if low + TOGETHER < s < high - TOGETHER))
    fixed = [low, *joints, high]
    keys = _with_edges(fixed, _edges(member, welds, zone))
    return MeshStations(
        member=member, along=tuple(_meshed(keys, member.path, choices.mesh)), zone=zone, welds=tuple(welds)
    )


def softening(member: Member, choices: Choices) -> Softening:
    """What welds leave of the member's yield strength beside them, as the choices ask."""
    if choices.softened == "none":
        return Softening(part=1.0, reach=0.0, source="left out", certainty="computed")
    return cautious_softening() if choices.softened == "cautious" else softening_of(member.tube.steel)


def _half_width(cage: Cage, joint: Joint) -> float:
    branch = member_named(cage, joint.branch)
    cut = branch.ends[0 if joint.which == "start" else 1].cut
    angle = cut.angle if isinstance(cut, Cope) else math.pi / 2.0
    return branch.tube.radius / max(math.sin(angle), 0.25)


def together(places: list[float]) -> list[float]:
    """The rising places with those nearer than ``TOGETHER`` to the one before drawn to their middle."""
    groups: list[list[float]] = []
    for s in places:
        if groups and s - groups[-1][0] < TOGETHER:
            groups[-1].append(s)
        else:
            groups.append([s])
    return [sum(g) / len(g) for g in groups]


def _edges(member: Member, welds: Iterable[tuple[float, float]], zone: Softening) -> list[float]:
    bends = [s for b in member.bends for s in (b.start, b.stop)]
    if zone.part >= 1.0:
        return bends
    return bends + [s + side * (half + zone.reach) for s, half in welds for side in (-1.0, 1.0)]


def _with_edges(fixed: list[float], edges: list[float]) -> list[float]:
    """The places in order with every edge that is not within ``TOGETHER`` of one already there."""
    keys = list(fixed)
    for edge in edges:
        if fixed[0] < edge < fixed[-1] and all(abs(edge - key) >= TOGETHER for key in keys):
            keys.append(edge)
    return sorted(keys)


def _meshed(keys: list[float], path: Chain, mesh: float) -> list[float]:
    found = [keys[0]]
    for a, b in pairwise(keys):
        count = max(1, math.ceil((b - a) / mesh - 1e-9), math.ceil(_turned(path, a, b) / TURN - 1e-9))
        found += [a + (b - a) * (i + 1) / count for i in range(count)]
    return found


def _turned(path: Chain, a: float, b: float) -> float:
    """How far the centre line turns between two developed distances, rad."""
    turned = 0.0
    for piece, (start, stop) in zip(path.pieces, pairwise(path.starts), strict=True):
        inside = min(b, stop) - max(a, start)
        if inside > 0.0 and isinstance(piece, Arc):
            turned += inside / piece.radius
    return turned
