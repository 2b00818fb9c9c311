"""What a change is worth at once: weight, tube to buy, gaps."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from cagewright.base.answers import Value, difference, figure
from cagewright.base.names import shown
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.job.buying import Buying, estimate_of, with_change
from cagewright.job.opening import Job
from cagewright.job.scene.gaps import least_gaps
from cagewright.job.scene.member import rounded
from cagewright.job.scene.scene import scene_of
from cagewright.make.weights import sheet_weights
from cagewright.shape.clearance import Gap
from cagewright.shape.seated import BodyGap
from cagewright.shape.types import Cage, Cope

Vec3 = tuple[float, float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFigure:
    """A least gap: mm, below 0 where one is in the other; of which member, in words, and where."""

    gap: Value
    said: str
    member: str
    words: str
    point: Vec3


@dataclass(frozen=True, slots=True, kw_only=True)
class GapFigures:
    """The least gaps to a helmet, to the rest of a person, and to the body; None where there is none."""

    helmet: GapFigure | None
    person: GapFigure | None
    body: GapFigure | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FigureChanges:
    """What each figure is more than before; None where it is as before or cannot be compared."""

    mass: Value | None
    run: Value | None
    helmet: Value | None
    person: Value | None
    body: Value | None
    members: int
    bends: int
    copes: int
    feet: int
    gussets: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """The figures of a cage.

    Attributes:
        mass: of all parts, tubes as they are cut.
        run: finished length of all tubes.
        members: how many, and so on.
        copes: ends cut on other members.
        buy: tube to buy, an estimate; the cutting plan takes seconds (work ``bars``).
        gaps: None where they were left out, because they take longest.
        changes: against the job before; None without one.
    """

    mass: Value
    run: Value
    members: int
    bends: int
    copes: int
    feet: int
    gussets: int
    buy: Buying
    gaps: GapFigures | None
    changes: FigureChanges | None = None


def figures_of(job: Job, before: Job | None = None, *, quick: bool = False) -> Figures:
    """The figures of the job, and what of them has changed.

    Args:
        job: after the change.
        before: the job before it, for ``changes``.
        quick: leave out gaps, which take longest; for a trial while something is dragged.
    """
    made = job.cache.get((f"figures {quick}", job.key), lambda: _figures(job, quick))
    if before is None:
        return made
    old = before.cache.get((f"figures {quick}", before.key), lambda: _figures(before, quick))
    buy = with_change(made.buy, old.buy.price)
    return replace(made, buy=buy, changes=_changes(old, made, job.cage.units))


def _figures(job: Job, quick: bool) -> Figures:
    cage, units = job.cage, job.cage.units
    mass = sum(w.mass for w in sheet_weights(cage)) + sum(m.mass for m in scene_of(job).members)
    return Figures(
        mass=figure(mass, "mass", units),
        run=figure(sum(m.length for m in cage.members), "run", units),
        members=len(cage.members),
        bends=sum(len(m.bends) for m in cage.members),
        copes=sum(isinstance(end.cut, Cope) for m in cage.members for end in m.ends),
        feet=len(cage.feet),
        gussets=len(cage.gussets),
        buy=estimate_of(job),
        gaps=None if quick else _gaps(cage),
    )


def _changes(old: Figures, new: Figures, units: LengthUnit) -> FigureChanges:
    more: dict[str, Any] = {
        key: getattr(new, key) - getattr(old, key) for key in ("members", "bends", "copes", "feet", "gussets")
    }
    for to in ("helmet", "person", "body"):
        was, now = (getattr(f.gaps, to, None) for f in (old, new))
        more[to] = difference(now.gap, was.gap, "length", units) if was and now else None
    return FigureChanges(
        mass=difference(new.mass, old.mass, "mass", units), run=difference(new.run, old.run, "run", units),
        **more,
    )  # fmt: skip


def _gaps(cage: Cage) -> GapFigures:
    least, units = least_gaps(cage), cage.units
    return GapFigures(
        helmet=_person_gap(least.helmet, units),
        person=_person_gap(least.person, units),
        body=_body_gap(least.body, units),
    )


def _person_gap(gap: BodyGap | None, units: LengthUnit) -> GapFigure | None:
    if gap is None:
        return None
    return _gap(gap.gap - gap.overlap, gap.member, f"the {gap.words}", gap.on_tube, units)


def _body_gap(gap: Gap | None, units: LengthUnit) -> GapFigure | None:
    if gap is None:
        return None
    depth = max((cut.depth for cut in gap.cuts), default=0.0)
    return _gap(gap.gap - depth, gap.member, shown(gap.to), gap.on_tube, units)


def _gap(mm: float, member: str, to: str, point: Vector, units: LengthUnit) -> GapFigure:
    far = say_length(abs(mm), units)
    return GapFigure(
        gap=figure(mm, "length", units),
        said=f"{far} into" if mm < 0.0 else far,
        member=member,
        words=f"{shown(member)} is {far} {'into' if mm < 0.0 else 'from'} {to}",
        point=rounded(point),
    )
