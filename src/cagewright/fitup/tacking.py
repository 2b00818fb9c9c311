"""What is tacked when: after what it is cut on, what holds the most first, few at a time, like with like."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

import numpy as np

from cagewright.base.curves import point_at
from cagewright.shape.types import Cage, Member, member_named

AT_ONCE = 4
"""Tubes tacked before they are measured: common practice, no source."""
FLAT = 150.0
"""What is joined on the bench lies within this of the plane of the tube that lies on it, mm (assumed)."""
ACROSS = 0.7
"""A tube that runs across the car by this part of its length holds the two sides apart."""
Before = Mapping[str, frozenset[str]]
"""For each tube those that stand before it."""


def standing_before(cage: Cage, also: Iterable[tuple[str, str]] = ()) -> Before:
    """For each tube those that it is cut on, and those of ``also`` (first, later) that have to stand before.

    A pair that would turn the order round on itself is left out.
    """
    before = {m.name: set[str]() for m in cage.members}
    for joint in cage.joints:
        before[joint.branch] |= set(joint.mains) - {joint.branch}
    for first, later in also:
        if first != later and later not in _all_before(first, before):
            before[later].add(first)
    return {name: frozenset(names) for name, names in before.items()}


def _all_before(name: str, before: Mapping[str, set[str]]) -> set[str]:
    found, left = set[str](), [name]
    while left:
        for one in before[left.pop()] - found:
            found.add(one)
            left.append(one)
    return found


def bench_group(cage: Cage) -> tuple[str, ...]:
    """The bent tube that carries the most, and the bars that lie in its plane and touch nothing else.

    Nothing where no bar stands on such a tube alone.
    """
    carried = {m.name: sum(m.name in j.mains for j in cage.joints) for m in cage.members}
    whole = [m for m in cage.members if len(m.bends) > 1 and all(e.joint is None for e in m.ends)]
    if not whole:
        return ()
    base = max(whole, key=lambda m: carried[m.name])
    middle, normal = _plane(base)
    names, grown = {base.name}, True
    while grown:
        more = {m.name for m in cage.members if _lies_on(cage, m, names, middle, normal)} - names
        grown = bool(more)
        names |= more
    return tuple(m.name for m in cage.members if m.name in names) if len(names) > 1 else ()


def _plane(member: Member) -> tuple[np.ndarray, np.ndarray]:
    points = _along(member)
    middle = points.mean(axis=0)
    return middle, np.linalg.svd(points - middle)[2][2]


def _along(member: Member) -> np.ndarray:
    return np.array([point_at(member.path, s) for s in np.linspace(0.0, member.path.length, 25)])


def _lies_on(cage: Cage, member: Member, names: set[str], middle: np.ndarray, normal: np.ndarray) -> bool:
    """Whether both ends of the member are cut on those tubes, and it lies in the plane."""
    mains = [set(j.mains) for j in cage.joints if j.branch == member.name]
    on = len(mains) == 2 and all(found <= names for found in mains)
    return on and float(np.abs((_along(member) - middle) @ normal).max()) < FLAT


def tack_steps(cage: Cage, before: Before, bench: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """The tubes that are not joined on the bench, step by step.

    Of those that can stand, first legs and stays that carry others, then what holds the sides apart, then
    what the most will hang on; with each what is cut on the same tubes, and both of a mirrored pair.
    """
    below = {n: set(names) for n, names in before.items()}
    hangs = Counter(main for m in cage.members for main in _all_before(m.name, below))
    place = {m.name: i for i, m in enumerate(cage.members)}
    pairs = {m.name: m.mirror_of for m in cage.members if m.mirror_of}
    twin = pairs | {main: name for name, main in pairs.items()}
    hosts = {
        m.name: frozenset(n for j in cage.joints if j.branch == m.name for n in j.mains) for m in cage.members
    }
    left, there, out = (
        [m.name for m in cage.members if m.name not in bench],
        set(bench),
        list[tuple[str, ...]](),
    )
    while left:
        ready = [n for n in left if before[n] <= there] or left[:1]
        ready.sort(
            key=lambda n: (_turn(cage, member_named(cage, n), hosts[n], hangs[n]), -hangs[n], place[n])
        )
        first = ready[0]
        alike = [n for n in ready if _like(n, hosts, twin) == _like(first, hosts, twin)]
        step = [first, *(n for n in ready if n == twin.get(first))]
        for n in alike:
            both = [m for m in (n, twin.get(n)) if m in ready and m not in step]
            if both and len(step) + len(both) <= AT_ONCE:
                step += both
        out.append(tuple(n for n in sorted(step, key=lambda n: place[n])))
        there |= set(step)
        left = [n for n in left if n not in there]
    return tuple(out)


def _turn(cage: Cage, member: Member, hosts: frozenset[str], hangs: int) -> int:
    """What stands on the shell and carries others, then what holds the sides apart, then the rest."""
    stands = bool(member.runs) or any(member.name in f.members for f in cage.feet)
    if stands and not hangs:
        return 3
    run = point_at(member.path, member.path.length) - point_at(member.path, 0.0)
    across = bool(hosts) and abs(float(run[1])) > ACROSS * float(np.sqrt(run @ run))
    return 0 if stands else 1 if across else 2


def _like(name: str, hosts: Mapping[str, frozenset[str]], twin: Mapping[str, str]) -> frozenset[str]:
    """What the tube is cut on, left and right alike."""
    return frozenset(min(n, twin.get(n, n)) for n in hosts[name])
