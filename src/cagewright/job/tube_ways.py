"""What can be done with a tube as it is, the cheapest first, and what follows from each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

import numpy as np

from cagewright.base.answers import Level, Sentence
from cagewright.base.cache import Cache
from cagewright.base.curves import sample
from cagewright.base.names import listed, shown
from cagewright.base.problems import ProblemsFound
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.change.apply import apply
from cagewright.change.both_sides import written_out
from cagewright.fitup.asbuilt import changed_findings
from cagewright.fitup.fewest import SURE
from cagewright.fitup.marks import end_words
from cagewright.fitup.tube import TubeRead, spare_of
from cagewright.fitup.tube_place import InPlace, put_in_place
from cagewright.job.buying import price_of_piece
from cagewright.job.findings import findings_of
from cagewright.job.opening import Job
from cagewright.job.scene.gaps import LeastGaps, least_gaps
from cagewright.make.cutlist import rough
from cagewright.plan.changes import AsBuiltChange, ChangeEntry
from cagewright.plan.places import Place
from cagewright.shape.resolve import resolve
from cagewright.shape.tube_shape import TubeShape, centre_line
from cagewright.shape.types import Cage, Cope, End, Member, member_named

Kind = Literal["as it is", "slide or turn", "press", "cut into others", "scrap"]
ENDS_WITHIN, BESIDE_WITHIN = 3.0, 5.0
"""A tube is used as it is where its ends land, and its axis runs, within this of the plan, mm (assumed)."""
SLID_WITHIN = 30.0
"""Further than this from the plan, mm, a tube is no longer slid or turned into its place (assumed)."""
PRESSED_WITHIN = float(np.radians(3.0))
"""A bend is opened or closed at the press by at most this, once, cold: common practice, no source."""
SAME_CUT = 0.3
"""Cuts that differ by less (mm) are cut by the same paper."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeWay:
    """One thing that can be done with the tube.

    Attributes:
        kind: which.
        possible: whether it can be done.
        words: what to do.
        why: why it can, or why not.
        follows: what comes of it.
        papers: ends whose paper is to be cut anew, as ``member.end``.
        change: the edit that takes it over into the plan; None where nothing is taken over.
    """

    kind: Kind
    possible: bool
    level: Level
    words: str
    why: str
    follows: tuple[Sentence, ...]
    papers: tuple[str, ...]
    change: dict[str, Any] | None


LONGER = 0.5
"""Lengths that differ by less (mm) are cut alike."""
Lines = tuple[tuple[tuple[float, float, float], ...], ...]


def ways_of(job: Job, member: Member, found: TubeRead, *, checks: bool) -> tuple[tuple[TubeWay, ...], Lines]:
    """What can be done, the cheapest first, and the planned and the real centre line in the car.

    Args:
        job: the plan.
        member: that the tube was bent for.
        found: the tube as it was read.
        checks: also hold the rules to the cage with the tube as it is.
    """
    site = _Site(job=job, member=member)
    laid = site.laid(found.shape)
    placed = _placed_way(site, laid, checks)
    ways = (placed, _press(site, found, laid), _others(site, found), _scrap(site))
    lines = tuple(
        tuple((float(x), float(y), float(z)) for x, y, z in np.round(sample(path, sagitta=0.5), 1).tolist())
        for path in (member.path, centre_line(laid.shape, laid.frame))
    )
    return ways, lines


@dataclass(frozen=True, slots=True, kw_only=True)
class _Site:
    """The member's place in the plan."""

    job: Job
    member: Member

    @property
    def units(self) -> LengthUnit:
        return self.job.cage.units

    def laid(self, shape: TubeShape) -> InPlace:
        """The tube of that shape, spare and all, laid into the member's place."""
        cage, path = self.job.cage, written_out(self.job.plan).members[self.member.name].path
        return put_in_place(
            shape, spare_of(self.member, self.job.shop), self.member, (path[0], path[-1]),
            {m.name: m.path for m in cage.members}, {f.name: f for f in cage.feet},
        )  # fmt: skip

    def end(self, i: int) -> str:
        return end_words(self.member, i)

    def missing(self, laid: InPlace) -> list[tuple[int, float]]:
        """Ends at which the tube is too short, and by how much, mm."""
        short = [-(e.spare + end.trim) for e, end in zip(laid.ends, self.member.ends, strict=True)]
        return [(i, s) for i, s in enumerate(short) if s > 0.5]


# --- as it is, slid or turned


def _placed_way(site: _Site, laid: InPlace, checks: bool) -> TubeWay:
    far = [float(np.linalg.norm(e.off)) for e in laid.ends]
    as_it_is = max(far) <= ENDS_WITHIN and laid.furthest <= BESIDE_WITHIN
    kind: Kind = "as it is" if as_it_is else "slide or turn"
    out = f"its ends land within {say_length(max(far), site.units)} of the plan, its axis runs within "
    out += say_length(laid.furthest, site.units)
    words = "use it as it is" if as_it_is else f"slide or turn it in its place: {_moves(site, laid, far)}"
    if missing := site.missing(laid):
        short = " and ".join(f"{say_length(s, site.units)} at the {site.end(i)}" for i, s in missing)
        return _cannot(kind, words, f"it is too short by {short}")
    if max(*far, laid.furthest) > SLID_WITHIN:
        return _cannot(kind, words, f"{out}: more than {say_length(SLID_WITHIN, site.units)}")
    change = as_built_change(site.member.name, laid.path)
    try:
        built = with_tube(site.job, change)
    except ProblemsFound as wrong:
        return _cannot(kind, words, f"{out}; but then {wrong.problems[0].found}")
    follows, papers, level = _follows(site, built, checks)
    trims = _trims(site, laid, built)
    return TubeWay(
        kind=kind, possible=level != "fail", level=level, words=f"{words}; {trims}", why=out, follows=follows,
        papers=papers, change=_sent(change),
    )  # fmt: skip


def _cannot(kind: Kind, words: str, why: str) -> TubeWay:
    return TubeWay(
        kind=kind, possible=False, level="look at", words=words, why=why, follows=(), papers=(), change=None
    )  # fmt: skip


def _moves(site: _Site, laid: InPlace, far: Sequence[float]) -> str:
    """How far each end then lands from where it was meant, and how the tube is turned."""
    told = [
        f"its {site.end(i)} lands {_way(e.off, site.units)}" for i, e in enumerate(laid.ends) if far[i] >= 0.5
    ] or ["its ends land where they were meant"]
    if abs(laid.turned) >= np.radians(0.2):
        told.append(f"its middle is turned {say_angle(abs(laid.turned))}")
    return ", ".join(told)


def _way(off: Any, units: LengthUnit) -> str:
    axes = (("back", "forward"), ("to the right", "to the left"), ("up", "down"))
    parts = [
        f"{say_length(abs(float(v)), units)} {more if v > 0.0 else less}"
        for v, (more, less) in zip(off, axes, strict=True)
        if abs(float(v)) >= 0.5
    ]
    return " and ".join(parts) or "where it was meant"


def _trims(site: _Site, laid: InPlace, built: Job) -> str:
    """What is cut off each end, to the furthest of its cut."""
    member = member_named(built.cage, site.member.name)
    cuts = [e.spare + end.trim for e, end in zip(laid.ends, member.ends, strict=True)]
    return "cut off " + " and ".join(
        f"{say_length(max(cut, 0.0), site.units)} at the {site.end(i)}" for i, cut in enumerate(cuts)
    )


def as_built_change(name: str, path: tuple[Place, ...]) -> ChangeEntry:
    """The change that takes a path over as built."""
    return ChangeEntry.model_construct(
        _fields_set={"as_built"}, as_built=AsBuiltChange.model_construct(name=name, path=path)
    )


def _sent(change: ChangeEntry) -> dict[str, Any]:
    """The change as an edit that a page sends; lengths in mm with their unit."""
    built = change.as_built
    assert built is not None
    path = [_said(place) for place in built.path]
    return {"as_built": {"name": built.name, "path": path}}


def _said(place: Place) -> dict[str, Any]:
    given = {key: value for key, value in place.model_dump().items() if value is not None}
    return {key: _mm(value) for key, value in given.items()}


def _mm(value: Any) -> Any:
    if isinstance(value, float):
        return f"{value:.3f} mm"
    return [_mm(v) for v in value] if isinstance(value, tuple | list) else value


def with_tube(job: Job, change: ChangeEntry) -> Job:
    """The job of the plan with the change made.

    Raises:
        ProblemsFound: the plan cannot be built so.
    """
    plan = apply(job.plan, change).plan
    return replace(job, plan=plan, cage=resolve(plan), cache=Cache())


# --- what follows


def _follows(site: _Site, built: Job, checks: bool) -> tuple[tuple[Sentence, ...], tuple[str, ...], Level]:
    """What comes of it: gaps, cuts, rules; the ends whose papers are to be cut anew; how it stands."""
    out = list(_gaps(site, built))
    papers = recut_ends(site.job.cage, built.cage)
    if papers:
        own = [p for p in papers if p.startswith(f"{site.member.name}.")]
        others = list(dict.fromkeys(p.rpartition(".")[0] for p in papers if p not in own))
        if own:
            words = f"New cuts of its own: {' and '.join(_end_said(site, p) for p in own)}."
            out.append(Sentence(words=words, level="look at", about=(site.member.name,)))
        if others:
            words = f"New cuts of what lands on it: {listed(others)}."
            out.append(Sentence(words=words, level="look at", about=tuple(others)))
        count = f"{len(papers)} paper{'s' * (len(papers) != 1)}"
        out.append(Sentence(words=f"Print {count} of revision {built.cage.revision}; all others stay."))
    else:
        out.append(Sentence(words="Every wrap stays as it is."))
    out += _lengths(site, built)
    if checks:
        out += _rules(site, built)
    broken = any(s.level == "fail" for s in out)
    return tuple(out), papers, "fail" if broken else "look at" if papers else "fine"


def _lengths(site: _Site, built: Job) -> list[Sentence]:
    """Other tubes that are to be cut longer or shorter than the cut list had them."""
    was = {m.name: m.length for m in site.job.cage.members}
    more = {m.name: m.length - was[m.name] for m in built.cage.members if m.name != site.member.name}
    told = [
        f"{shown(name)} {say_length(abs(by), site.units)} {'longer' if by > 0.0 else 'shorter'}"
        for name, by in more.items()
        if abs(by) >= LONGER
    ]
    words = f"The cut list changes: {', '.join(told)}."
    return [Sentence(words=words, level="look at", about=tuple(more))] if told else []


def _end_said(site: _Site, paper: str) -> str:
    return f"its {site.end(0 if paper.endswith('.start') else 1)}"


def recut_ends(before: Cage, after: Cage) -> tuple[str, ...]:
    """The ends that are cut otherwise than before, as ``member.end``."""
    old, now = ({f"{m.name}.{e.which}": e for m in c.members for e in m.ends} for c in (before, after))
    return tuple(name for name, e in now.items() if name not in old or _otherwise(old[name], e))


def _otherwise(old: End, end: End) -> bool:
    a, b = old.cut, end.cut
    if abs(old.clocking - end.clocking) > 0.01:
        return True
    if isinstance(a, Cope) and isinstance(b, Cope):
        same = a.mains == b.mains and len(a.outside) == len(b.outside)
        shift = (a.outside - a.outside.min()) - (b.outside - b.outside.min()) if same else np.array([np.inf])
        return float(np.abs(shift).max()) > SAME_CUT
    return type(a) is not type(b) or abs(getattr(a, "tilt", 0.0) - getattr(b, "tilt", 0.0)) > 0.01


def _gaps(site: _Site, built: Job) -> list[Sentence]:
    """The nearest that the tube comes to helmet, people and body, before and after."""
    pairs = [least_gaps(replace(c, members=tuple(m for m in c.members if m.name == site.member.name)))
             for c in (site.job.cage, built.cage)]  # fmt: skip
    return [s for key in ("helmet", "person", "body") if (s := _gap(site, key, pairs)) is not None]


def _gap(site: _Site, key: str, pairs: Sequence[LeastGaps]) -> Sentence | None:
    was, now = (getattr(p, key) for p in pairs)
    if now is None:
        return None
    what = {"helmet": "the helmet", "person": "a person", "body": "the body"}[key]
    gap = now.gap - getattr(now, "overlap", 0.0)
    meant = None if was is None else was.gap - getattr(was, "overlap", 0.0)
    before = "" if meant is None else f" (planned {say_length(max(meant, 0.0), site.units)})"
    touches = gap <= 0.0 and (meant is None or meant > 0.0)
    words = f"Touches {what}" if touches else f"{say_length(max(gap, 0.0), site.units)} to {what}"
    return Sentence(words=f"{words}{before}.", level="fail" if touches else "fine")


def _rules(site: _Site, built: Job) -> list[Sentence]:
    changed = changed_findings(findings_of(site.job), findings_of(built))
    told = list[Sentence]()
    for c in changed:
        words = f"{c.clause}, {shown(c.where)}: {c.planned} on the plan, {c.built} so"
        broken: Level = "fail" if c.built.startswith(("fail", "looks broken")) else "look at"
        told.append(Sentence(words=words, level=broken if c.worse else "fine"))
    return told or [Sentence(words="No rule or check stands otherwise than on the plan.")]


# --- the press


def _press(site: _Site, found: TubeRead, laid: InPlace) -> TubeWay:
    """One bend opened or closed, the one that brings the tube nearest to its place."""
    n = len(found.shape.angles)
    spread = SURE * np.sqrt(np.diag(found.covariance))[n + 1 : 2 * n + 1]
    off = np.array(found.bench.planned.angles) - np.array(found.shape.angles)
    clear = [k for k in range(n) if abs(off[k]) > spread[k]]
    if not clear:
        return _cannot("press", "open or close a bend at the press", "no bend is clearly off")
    after = {k: site.laid(_with_angle(found.shape, k, found.bench.planned.angles[k])) for k in clear}
    best = min(clear, key=lambda k: after[k].furthest)
    # less than straight is opened, more is closed
    verb = "close" if off[best] > 0.0 else "open"
    words = f"{verb} bend {best + 1} at the press by {say_angle(abs(float(off[best])))}"
    gain = f"its axis then runs within {say_length(after[best].furthest, site.units)} of the plan"
    now = f"now {say_length(laid.furthest, site.units)}"
    if abs(off[best]) > PRESSED_WITHIN:
        return _cannot(
            "press",
            words,
            f"more than {say_angle(PRESSED_WITHIN)} is not pressed (common practice, no source)",
        )
    if after[best].furthest > max(BESIDE_WITHIN, 0.5 * laid.furthest):
        return _cannot("press", words, f"{gain} ({now}): one bend does not put it right")
    short = site.missing(after[best])
    if short:
        return _cannot("press", words, f"{gain}, but it stays too short at the {site.end(short[0][0])}")
    follows = (
        Sentence(words="Once, cold, slowly, with blocks that fit the tube; then gauge how oval it is."),
        Sentence(
            words="Ask first where a rule book holds: none that is built in speaks of a bend worked twice."
        ),
        Sentence(words="Read the tube again: what it then is counts.", level="look at"),
    )
    return TubeWay(
        kind="press", possible=True, level="look at", words=words, why=f"{gain} ({now})", follows=follows,
        papers=(), change=None,
    )  # fmt: skip


def _with_angle(shape: TubeShape, k: int, angle: float) -> TubeShape:
    return replace(shape, angles=(*shape.angles[:k], angle, *shape.angles[k + 1 :]))


# --- something else, or nothing


def _others(site: _Site, found: TubeRead) -> TubeWay:
    """Straight pieces of the plan that its straights give, the longest first."""
    shop, cage = site.job.shop, site.job.cage
    free = sorted(found.shape.straights, reverse=True)
    wanted = sorted(
        ((rough(m, shop).length, m.name) for m in cage.members
         if m.tube == site.member.tube and not m.bends and m.name != site.member.name), reverse=True,
    )  # fmt: skip
    got: list[str] = []
    for length, name in wanted:
        k = next((i for i, s in enumerate(free) if s >= length), None)
        if k is not None:
            got.append(f"{shown(name)} ({say_length(length, site.units)})")
            free[k] -= length + shop.kerf
    if not got:
        return _cannot(
            "cut into others",
            "cut it into other pieces of the plan",
            "no straight of it is long enough for one",
        )
    return TubeWay(
        kind="cut into others", possible=True, level="look at",
        words=f"cut it into {' and '.join(got[:3])}",
        why="its straights are long enough, if these are not cut yet",
        follows=(_new_one(site),), papers=(), change=None,
    )  # fmt: skip


def _scrap(site: _Site) -> TubeWay:
    return TubeWay(
        kind="scrap", possible=True, level="fail", words="scrap it, and bend a new one",
        why="nothing else puts it right", follows=(_new_one(site),), papers=(), change=None,
    )  # fmt: skip


def _new_one(site: _Site) -> Sentence:
    length = rough(site.member, site.job.shop).length
    cost = price_of_piece(site.member.tube, length, site.job.shop)
    return Sentence(words=f"A new one takes {say_length(length, site.units)} of tube: {cost.said}.")
