"""Where a belt's tab stands best, and turned how, for everybody who sits there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import point_at, tangent_at
from cagewright.base.vectors import ACROSS, Vector, cross, dot, length, unit
from cagewright.check.belts.harness import runs_of
from cagewright.check.postures import Posture, belt_readings, weighed
from cagewright.shape.types import BeltMount, Cage, Member, member_named

ALONG = 100.0
"""How far along its tube a tab is moved to look for a better place, mm (ours)."""
ABOUT = 60.0
"""How far back and up of where it is one on the shell is moved, mm (ours)."""
STEP = 10.0
WORTH = 0.05
"""Places whose least margins differ by less than this are alike, in spans: the nearest is taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TabPlace:
    """The best place of one tab.

    Attributes:
        mount: its name.
        moved: (3,) how far from where the plan has it, mm.
        along: how far along its tube, mm; None on the shell.
        before: least margin over every posture as planned, in spans.
        after: the same there.
        pull: unit (3,) that the tab points along: half way between the pulls that lie furthest apart.
        spread: how far a pull then lies off it at most, rad.
        at_edge: no place further off was looked at.
        wrapped: the belt goes round its tube and has no tab.
    """

    mount: str
    moved: Vector
    along: float | None
    before: float
    after: float
    pull: Vector
    spread: float
    at_edge: bool
    wrapped: bool


def best_place(cage: Cage, every: Sequence[Posture], mount: BeltMount) -> TabPlace | None:
    """The place of that mount with the most margin at its worst; None where no row limits its belts."""
    tried = [
        (_least(cage, every, m), float(length(off)), off, along) for m, off, along in _places(cage, mount)
    ]
    known = [t for t in tried if t[0] is not None]
    if not known:
        return None
    best = max(round((t[0] or 0.0) / WORTH) for t in known)
    margin, _, off, along = min(
        (t for t in known if round((t[0] or 0.0) / WORTH) == best), key=lambda t: t[1]
    )
    before = next(t[0] for t in known if t[1] == 0.0)
    pulls = _pulls(cage, every, moved(cage, mount, off, along))
    pull, spread = between(pulls, _turns_about(cage, mount))
    return TabPlace(
        mount=mount.mount.name, moved=off, along=along, before=float(before or 0.0),
        after=float(margin or 0.0), pull=pull, spread=spread, wrapped=mount.wrap,
        at_edge=float(np.abs(off).max()) >= ABOUT - 0.5 if along is None else abs(along) >= ALONG - 0.5,
    )  # fmt: skip


def moved(cage: Cage, mount: BeltMount, off: Vector, along: float | None) -> BeltMount:
    """The mount moved by (3,) mm, or by ``along`` mm along its tube."""
    new = replace(mount.mount, point=mount.mount.point + off)
    if along is not None:
        new = replace(new, along=mount.mount.along + along)
    return replace(mount, mount=new)


def _places(cage: Cage, mount: BeltMount) -> list[tuple[BeltMount, Vector, float | None]]:
    if mount.mount.member is None:
        steps = np.arange(-ABOUT, ABOUT + 1.0, STEP)
        offs = [np.array([x, 0.0, z]) for x in steps for z in steps]
        return [(moved(cage, mount, off, None), off, None) for off in offs]
    path, at = member_named(cage, mount.mount.member).path, mount.mount.along
    found: list[tuple[BeltMount, Vector, float | None]] = []
    for by in np.arange(-ALONG, ALONG + 1.0, STEP):
        if 0.0 < at + by < path.length:
            off = point_at(path, at + float(by)) - point_at(path, at)
            found.append((moved(cage, mount, off, float(by)), off, float(by)))
    return found


def _with(posture: Posture, mount: BeltMount) -> Posture:
    belts = posture.person.belts
    assert belts is not None
    mounts = tuple(mount if m.mount.name == mount.mount.name else m for m in belts.mounts)
    return replace(posture, person=replace(posture.person, belts=replace(belts, mounts=mounts)))


def _least(cage: Cage, every: Sequence[Posture], mount: BeltMount) -> float | None:
    """The least margin of that mount's belts over every posture, in spans; None where nothing limits them."""
    margins = [
        weighed(r)
        for posture in every
        for r in belt_readings(cage, _with(posture, mount))
        if r.label == mount.mount.name
    ]
    told = [m for m in margins if m is not None]
    return min(told) if told else None


def _pulls(cage: Cage, every: Sequence[Posture], mount: BeltMount) -> np.ndarray:
    runs = [run for p in every for run in runs_of(cage, _with(p, mount).person)]
    return np.array([run.pull for run in runs if run.mount.mount.name == mount.mount.name])


def _turns_about(cage: Cage, mount: BeltMount) -> Vector:
    """Unit (3,) that a tab can be turned about: its tube, or on the shell a line across the car."""
    if mount.mount.member is None:
        return ACROSS
    member: Member = member_named(cage, mount.mount.member)
    return tangent_at(member.path, mount.mount.along)


def between(pulls: np.ndarray, about: Vector) -> tuple[Vector, float]:
    """The way half between the two of the pulls (n, 3) furthest apart about that axis, and to either, rad."""
    flat = pulls - np.outer(pulls @ about, about)
    first = unit(flat[0])
    side = cross(about, first)
    turns = np.arctan2(flat @ side, flat @ first)
    middle = (float(turns.max()) + float(turns.min())) / 2.0
    way = np.cos(middle) * first + np.sin(middle) * side
    off = np.arccos(np.clip(dot(pulls, np.broadcast_to(way, pulls.shape)), -1.0, 1.0))
    return way, float(off.max())
