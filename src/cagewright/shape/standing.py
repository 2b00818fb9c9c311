"""Which tubes do what in a cage, told from feet, joints and where they run: never from their roles."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from cagewright.base.curves import sample
from cagewright.shape.shell import LineKind
from cagewright.shape.types import Array, Cage, Member, bodies_of

HIGH = 0.6
"""A tube that comes up to this part of the cage's height reaches its roof (ours)."""
LOW = 0.72
"""A bar beside a door lies under this part of the cage's height (ours: a door's opening is half as high)."""
ALONG = 0.7
"""A tube that has this part of its run in one direction runs that way."""
STRAIGHT_BACK = 0.95
"""A bar under the roof that has this part of its run along the car lies along a roof rail (ours)."""
LEVEL = 0.25
"""A tube that rises by less than this part of its run lies under a roof rather than stands (ours)."""
MAIN: frozenset[LineKind] = frozenset({"roof rail", "roof", "section"})
SCREEN: frozenset[LineKind] = frozenset({"pillar", "roof rail"})
HEADER: frozenset[LineKind] = frozenset({"header"})
RAIL: frozenset[LineKind] = frozenset({"roof rail"})
ROOF: frozenset[LineKind] = frozenset({"roof"})
SILL: frozenset[LineKind] = frozenset({"sill"})
AHEAD = 150.0
"""A foot this far ahead of the main frame stands ahead of it, mm (ours)."""


def main_frame(cage: Cage) -> tuple[Member, ...]:
    """The tube that stands behind the seats from one side of the shell over the roof to the other.

    Of several such the rearmost; where none stands so (two lateral rollbars), the rearmost tube across under
    the roof. Nothing where there is neither.
    """
    floor, top = _heights(cage)
    line = floor + HIGH * (top - floor)
    feet = _feet(cage)
    high = [m for m in cage.members if float(sample(m.path)[:, 2].max()) > line]
    over = [m for m in high if len(feet[m.name]) == 2 and feet[m.name][0][1] * feet[m.name][1][1] < 0.0]
    across = [
        m for m in high if _share(m, 1) > ALONG and not feet[m.name] and m.path.length > 0.5 * _width(cage)
    ]
    level = [m for m in across if float(np.ptp(sample(m.path)[:, 2])) < 0.25 * (top - floor)]
    found = over or [m for m in level if float(sample(m.path)[:, 2].min()) > line]
    return (max(found, key=_back),) if found else ()


def main_legs(cage: Cage) -> int:
    """In how many places the main frame stands on the shell: itself, or the tubes that carry it."""
    main, feet = main_frame(cage), _feet(cage)
    if not main:
        return 0
    carrying = {n for j in cage.joints if j.branch == main[0].name for n in j.mains}
    behind = _back(main[0]) - AHEAD
    return len(feet[main[0].name]) or sum(p[0] > behind for n in carrying for p in feet[n])


def followed(cage: Cage) -> Mapping[str, frozenset[LineKind]]:
    """Which structures of the body each tube is laid along: those of the frames, the roof and the sills.

    A sill is followed by what runs along the car and stands on it with both ends, or is welded to it.
    """
    feet = _feet(cage)
    found = {m.name: MAIN for m in main_frame(cage)}
    found |= {m.name: HEADER for m in front_frame(cage) if _share(m, 1) > ALONG and _roofward(cage, m)}
    found |= {m.name: SCREEN | HEADER if _both_sides(m) else SCREEN for m in screen_legs(cage)}
    found |= {m.name: RAIL if runs_back(m) else ROOF for m in roof_bars(cage)}
    along = [m for m in cage.members if _share(m, 0) > ALONG and (m.runs or len(feet[m.name]) == 2)]
    return {m.name: SILL for m in along if m.name not in _seated(cage)} | found


def front_frame(cage: Cage) -> tuple[Member, ...]:
    """What stands ahead of the main frame, what it carries there, and the tubes between the two sides."""
    main = main_frame(cage)
    if not main:
        return ()
    floor, top = _heights(cage)
    ahead = _back(main[0]) - AHEAD
    feet = _feet(cage)
    line = floor + HIGH * (top - floor)
    high = {m.name for m in cage.members if float(sample(m.path)[:, 2].max()) > line} - {main[0].name}
    legs = {name for name in high if any(p[0] < ahead for p in feet[name])}
    mains = {m.name: [set(j.mains) for j in cage.joints if j.branch == m.name] for m in cage.members}
    carried = {n for leg in legs for on in mains[leg] for n in on} - {main[0].name}
    legs |= {m.name for m in cage.members if m.name in carried and _back(m) < ahead and not m.runs}
    across = {
        n
        for n, on in mains.items()
        if len(on) == 2 and all(found & legs for found in on) and n != main[0].name
    }
    return tuple(m for m in cage.members if m.name in legs | across)


def screen_legs(cage: Cage) -> tuple[Member, ...]:
    """The tubes of the front frame that follow the screen pillars: they stand on the shell, or carry such."""
    feet, front = _feet(cage), front_frame(cage)
    held = {j.branch for j in cage.joints if j.branch in names_of(front) and names_of(front) & {*j.mains}}
    return tuple(m for m in front if feet[m.name] or (m.bends and m.name not in held))


def roof_bars(cage: Cage) -> tuple[Member, ...]:
    """The tubes that lie under the roof, held by others at both ends, and belong to no frame."""
    frames, feet = names_of((*main_frame(cage), *front_frame(cage))), _feet(cage)
    floor, top = _heights(cage)
    line = floor + HIGH * (top - floor)
    return tuple(
        m for m in cage.members
        if m.name not in frames and not feet[m.name] and _share(m, 2) < LEVEL
        and float(sample(m.path)[:, 2].min()) > line
    )  # fmt: skip


def runs_back(member: Member) -> bool:
    """Whether it runs along the car, within 18 degrees (ours)."""
    return _share(member, 0) > STRAIGHT_BACK


def door_bars(cage: Cage, sign: float) -> tuple[Member, ...]:
    """The tubes along the car beside a door of one side (-1 left, 1 right), ahead of the main frame."""
    floor, top = _heights(cage)
    main = main_frame(cage)
    rear = _back(main[0]) if main else np.inf
    held = {j.branch for j in cage.joints}
    return tuple(
        m for m in cage.members
        if m.name in held and _share(m, 0) > ALONG and sign * float(sample(m.path)[:, 1].mean()) > 0.0
        and float(sample(m.path)[:, 2].max()) < floor + LOW * (top - floor)
        and float(sample(m.path)[:, 0].mean()) < rear and m.name not in _seated(cage)
    )  # fmt: skip


def seat_tubes(cage: Cage) -> tuple[Member, ...]:
    """Tubes that carry a seat and nothing else, and straight ones from foot to foot under somebody's hips."""
    carrying = {main for j in cage.joints for main in j.mains}
    feet, seated = _feet(cage), _seated(cage)
    hips = [person.hip[2] for _, person in bodies_of(cage)]
    return tuple(
        m for m in cage.members
        if m.name not in carrying
        and (
            m.name in seated
            or (len(feet[m.name]) == 2 and not m.bends and any(_top(m) < hip for hip in hips))
        )
    )  # fmt: skip


def _roofward(cage: Cage, member: Member) -> bool:
    """Whether all of it lies as high as the roof's tubes."""
    floor, top = _heights(cage)
    return float(sample(member.path)[:, 2].min()) > floor + HIGH * (top - floor)


def _both_sides(member: Member) -> bool:
    across = sample(member.path)[:, 1]
    return bool(across.min() < 0.0 < across.max())


def _top(member: Member) -> float:
    return float(sample(member.path)[:, 2].max())


def _seated(cage: Cage) -> frozenset[str]:
    mounts = (mount for p in cage.people if p.seat for mount in p.seat.mounts)
    return frozenset(mount.member for mount in mounts if mount.member is not None)


def _feet(cage: Cage) -> dict[str, list[Array]]:
    """Where each tube stands on the shell (3,), mm: on feet, and on rails that are welded to it."""
    welded = {m.name for m in cage.members if m.runs}
    found = {m.name: [f.point for f in cage.feet if m.name in f.members] for m in cage.members}
    for joint in cage.joints:
        if welded & {*joint.mains}:
            found[joint.branch].append(joint.point)
    return found


def _heights(cage: Cage) -> tuple[float, float]:
    """Lowest and highest centre line, mm."""
    every = np.concatenate([sample(m.path)[:, 2] for m in cage.members])
    return float(every.min()), float(every.max())


def _width(cage: Cage) -> float:
    return float(np.ptp(np.concatenate([sample(m.path)[:, 1] for m in cage.members])))


def _share(member: Member, axis: int) -> float:
    """The part of the straight from end to end that runs along an axis."""
    points = sample(member.path)
    run = points[-1] - points[0]
    return abs(float(run[axis])) / max(float(np.linalg.norm(run)), 1e-9)


def _back(member: Member) -> float:
    """How far back the member's highest part lies, mm."""
    points = sample(member.path)
    return float(points[points[:, 2] > points[:, 2].max() - 100.0][:, 0].mean())


def names_of(members: Sequence[Member]) -> frozenset[str]:
    """Their names."""
    return frozenset(m.name for m in members)
