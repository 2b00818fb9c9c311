"""What the plan says of the bench work, held to the cage: tubes that hang together, clamps on those tubes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from cagewright.base.curves import nearest, point_at
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.say import say_length
from cagewright.base.vectors import Vector, length
from cagewright.fitup.bench_first import base_first, standing_on
from cagewright.plan.places import OnMember
from cagewright.plan.types import BenchFirstEntry, Plan, where_of
from cagewright.shape.located import AlreadyRefused, Refused
from cagewright.shape.places import ground_of, spot
from cagewright.shape.types import Cage, Member, member_named

OFF = 5.0
"""A clamp may be this far outside a tube and still be on it, mm (ours: a tape's reading of a round tube)."""
KEYS = "bench_first"


@dataclass(frozen=True, slots=True, kw_only=True)
class Clamp:
    """Where the work is clamped to the bench: a tube of it, mm along that, and the place (3,), mm."""

    name: str
    member: str
    along: float
    point: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchSaid:
    """The tubes that the plan joins on the bench, the one they are set to first, and its clamps."""

    tubes: tuple[str, ...]
    clamps: tuple[Clamp, ...]


def bench_said(plan: Plan, cage: Cage) -> BenchSaid | None:
    """What the plan says of the bench work; None where it says nothing.

    Raises:
        ProblemsFound: tubes that do not hang together, or stand on one that is not there, a clamp off them.
    """
    entry = plan.bench_first
    if entry is None:
        return None
    found = [_clamp(plan, cage, entry, name) for name in entry.clamps]
    clamps = [c for c in found if isinstance(c, Clamp)]
    problems = [*_tubes_wrong(plan, cage, entry), *(p for p in found if isinstance(p, Problem))]
    if problems:
        raise ProblemsFound(problems)
    return BenchSaid(tubes=base_first(cage, entry.tubes), clamps=tuple(clamps))


def _problem(plan: Plan, keys: tuple[str | int, ...], code: str, found: str, wanted: str) -> Problem:
    return Problem(code=code, where=where_of(plan, (KEYS, *keys)), found=found, wanted=wanted)


def _tubes_wrong(plan: Plan, cage: Cage, entry: BenchFirstEntry) -> Iterator[Problem]:
    rests, told = standing_on(cage), set[str]()
    for i, name in enumerate(entry.tubes):
        keys = ("tubes", i)
        if name in told:
            yield _problem(plan, keys, "defined-twice", f"'{name}' stands here twice", "wanted it once")
        elif name not in rests:
            found = f"{shown(name)} is a rail, comes out again, or stands on such a tube"
            yield _problem(plan, keys, "not-on-the-bench", found, "wanted tubes that are welded to tubes")
        elif missing := sorted(rests[name] - set(entry.tubes)):
            found = f"{shown(name)} stands on {listed(missing)}: not joined on the bench"
            wanted = f"wanted {listed(missing)} here too, or {shown(name)} left out"
            yield _problem(plan, keys, "bench-apart", found, wanted)
        told.add(name)
    if apart := _apart(cage, entry.tubes):
        found = f"{listed(apart)} touches none of the others"
        yield _problem(plan, ("tubes",), "bench-apart", found, "wanted tubes that hang together")


def _apart(cage: Cage, tubes: Sequence[str]) -> list[str]:
    """Those of the tubes that the first does not hang together with."""
    found, grown = {tubes[0]}, True
    while grown:
        more = {
            n
            for j in cage.joints
            for n in (j.branch, *j.mains)
            if n in tubes and found & {j.branch, *j.mains} and j.branch in tubes
        }
        grown = bool(more - found)
        found |= more
    return [n for n in tubes if n not in found]


def _clamp(plan: Plan, cage: Cage, entry: BenchFirstEntry, name: str) -> Clamp | Problem:
    keys, place = ("clamps", name), entry.clamps[name]
    if isinstance(place, OnMember) and place.on not in entry.tubes:
        found = f"clamp {shown(name)} is on {shown(place.on)}, which is not joined on the bench"
        return _problem(plan, keys, "clamp-off", found, f"wanted a place on {listed(entry.tubes)}")
    try:
        ground = replace(ground_of(plan, cage), where=partial(where_of, plan))
        at = spot(place, ground, (KEYS, *keys))
    except Refused as refused:
        return refused.problem
    except AlreadyRefused:  # pragma: no cover  (the cage is whole)
        return _problem(plan, keys, "clamp-off", f"clamp {shown(name)} is nowhere", "wanted a place")
    off, member, along = min(_to_tube(member_named(cage, n), at) for n in entry.tubes if _is(cage, n))
    if off > OFF:
        away = say_length(off, cage.units, places=0)
        found = f"clamp {shown(name)} is {away} off the nearest tube of the bench work, {shown(member)}"
        return _problem(plan, keys, "clamp-off", found, "wanted a place on one of its tubes")
    return Clamp(
        name=name, member=member, along=along, point=point_at(member_named(cage, member).path, along)
    )


def _is(cage: Cage, name: str) -> bool:
    return any(m.name == name for m in cage.members)


def _to_tube(member: Member, at: Vector) -> tuple[float, str, float]:
    along, away = nearest(member.path, at)
    return float(away) - member.tube.radius, member.name, float(along)


def holds_flat(clamps: Sequence[Clamp]) -> bool:
    """Whether the clamps hold the work against turning: three or more, not all in a line."""
    if len(clamps) < 3:
        return False
    points = np.array([c.point for c in clamps])
    off = points - points.mean(axis=0)
    return float(np.linalg.svd(off)[1][1]) > 0.05 * float(length(off).max())
