"""A plan's tubes brought to the wanted gap from the body: what moved, and what held each back."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from cagewright.base.answers import Answer, Level, Sentence, Value, figure, worst
from cagewright.base.names import shown
from cagewright.base.say import good_to, say, span
from cagewright.base.units import LengthUnit
from cagewright.draft.beside import Passed
from cagewright.draft.fit import Fitted, Freedom, Report, fit
from cagewright.draft.freedoms import MOST, OFF, TIGHT, WORTH, Freed, Lack, is_paired
from cagewright.draft.handles import Move
from cagewright.draft.tighten import Gaps
from cagewright.job.opening import Job, scan_of
from cagewright.plan.source import Keys
from cagewright.plan.write import Document, load_document, save, set_length
from cagewright.shape.shell import shell_of
from cagewright.shape.trims import metal_known, standing_of
from cagewright.shape.types import Cage

AXES = ("back", "across", "up")
SLACK = 0.6
"""Places are written to the whole millimetre: a gap may come out this much under the least, mm."""
ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "further")
HUGS = 5.0
"""A tube hugs what it passes where the body beside it is no further off than the gap wanted and this, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GapSpan:
    """The gaps along a tube where it follows the body: least, mean and most, and the three in one.

    Each may be out by what the scan or the readings of the body may be out: two standard deviations.
    """

    least: Value
    mean: Value
    most: Value
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Lacking:
    """What would bring a tube nearer to its gap.

    Attributes:
        freed: more bends, more reach, tighter bends; its end, which stays; nothing.
        between: the two places, from 1, between which each bend more is.
        nearer: what its worst place would come nearer by.
        share: of its length beside the body that is within 5 mm of the gap wanted now, 0 to 1.
        then: and with that freedom.
    """

    freed: Freed
    between: tuple[tuple[int, int], ...]
    nearer: Value
    share: float
    then: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedMember:
    """How one member came out.

    Attributes:
        shown: the same as it is read.
        before: its gaps as it was; None where it follows nothing.
        after: its gaps as it is now.
        moved: furthest that a place of it moved; None where nothing was tried.
        held: what held it back or why it was left as it was, in words; empty where nothing did.
        lacks: what would bring it nearer to its gap; None where nothing is known to.
        taken: whether it was moved.
        level: ``look at`` where it is not where it is wanted.
    """

    member: str
    shown: str
    before: GapSpan | None
    after: GapSpan | None
    moved: Value | None
    held: str
    lacks: Lacking | None
    taken: bool
    level: Level


@dataclass(frozen=True, slots=True, kw_only=True)
class MovedValue:
    """One value of the plan that changed.

    Attributes:
        keys: where it stands in the file.
        where: the same in words, places counted from 1: ``main hoop, place 2``.
        before: what stood there, back, across and up or the one figure.
        after: what stands there now.
    """

    keys: Keys
    where: str
    before: tuple[Value, ...]
    after: tuple[Value, ...]
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FitAnswer(Answer):
    """What a fit did or would do: each member that follows the body, and every value that changes.

    Attributes:
        members: those that follow the body.
        in_the_way: what stands proud beside them on the scan: hugged, passed at a distance, or to be trimmed.
        written: whether the plan file was changed.
    """

    members: tuple[FittedMember, ...]
    moves: tuple[MovedValue, ...]
    in_the_way: tuple[Sentence, ...]
    written: bool


def fit_answer(
    job: Job,
    *,
    gap: float = 10.0,
    least: float = 5.0,
    reach: float = 40.0,
    only: tuple[str, ...] = (),
    fixed: tuple[str, ...] = (),
    write: bool = False,
) -> FitAnswer:
    """What bringing the tubes to the gap does; with ``write`` the plan file is changed.

    Args:
        job: the plan.
        gap: wanted between tube and body, mm.
        least: kept everywhere, mm.
        reach: furthest that a bend may move, mm.
        only: members; every one that follows the body where empty.
        fixed: named points that stay.
        write: whether the plan file is changed.

    Raises:
        ProblemsFound: the scan cannot be used, or the file cannot be edited.
    """
    freedom = Freedom(
        gap=gap, least=min(least, gap), reach=reach, members=frozenset(only), fixed=frozenset(fixed)
    )
    _, report = fit(job.plan, shell_of(job.cage, scan_of(job)), freedom, job.shop)
    passed = tuple(_passing(one, job.cage, freedom) for fitted in report.members for one in _each(fitted))
    if write and report.moves:
        save(edited(load_document(job.path), report), job.path)
    answer = _answer(report, job.cage.units, gap, written=write and bool(report.moves))
    return replace(answer, in_the_way=passed, level=worst((answer.level, *(one.level for one in passed))))


def _each(fitted: Fitted) -> list[tuple[str, Passed]]:
    return [(fitted.member, one) for one in fitted.passes]


def _passing(told: tuple[str, Passed], cage: Cage, freedom: Freedom) -> Sentence:
    """Whether the tube hugs what stands proud beside it, keeps off it, or wants it trimmed."""
    member, one = told
    units = cage.units
    place = ", ".join(figure(float(v), "length", units).said for v in one.at)
    gap, beside = (figure(abs(v), "length", units).said for v in (one.gap, one.beside))
    standing, mark = standing_of(one.at[None], metal_known(cage))
    may = {
        "never": f"{shown(mark)} is never cut",
        "ask first": "ask first whether it may be trimmed",
        "trimmable": f"{shown(mark)} is marked as trimmable",
    }[standing]
    head = f"{shown(member)} passes what stands proud at {place}"
    if one.gap < freedom.least - SLACK:
        short = f"{gap} into it" if one.gap < 0.0 else f"{gap} from it"
        return Sentence(words=f"Trim: {head}, {short}; {may}.", level="look at", about=(member,))
    if one.beside <= freedom.gap + HUGS:
        words = f"Hug: {head} with {gap}, and lies {beside} from the body beside it."
        return Sentence(words=words, level="fine", about=(member,))
    words = f"Avoid: {head} with {gap}; beside it the body is {beside} off. {may[:1].upper()}{may[1:]}."
    return Sentence(words=words, level="look at", about=(member,))


def edited(document: Document, report: Report) -> Document:
    """The plan file's text with every moved value set, in the units that stand there."""
    for move in report.moves:
        if len(move.after) == 1:
            document = set_length(document, move.keys, move.after[0])
            continue
        held: Any = document.source.data
        for key in move.keys:
            held = held[key]
        keys = (*move.keys, "at") if isinstance(held, dict) else move.keys
        for axis, (was, now) in enumerate(zip(move.before, move.after, strict=True)):
            if was != now:
                document = set_length(document, (*keys, axis), now)
    return document


def _answer(report: Report, units: LengthUnit, gap: float, *, written: bool) -> FitAnswer:
    members = tuple(_member(one, units) for one in report.members)
    taken = [one for one in members if one.taken]
    done = "moved" if written else "would move"
    words = f"{len(taken)} of {len(members)} tubes that follow the body {done}" if members else ""
    wanted = figure(gap, "length", units).said
    return FitAnswer(
        headline=f"{words} toward {wanted} from it"
        if taken
        else "no tube would come nearer to the gap wanted",
        level="look at" if any(one.level != "fine" for one in members) else "fine",
        members=members,
        moves=tuple(_moved(move, units) for move in report.moves),
        in_the_way=(),
        written=written,
    )


def _member(fitted: Fitted, units: LengthUnit) -> FittedMember:
    tight = fitted.tight
    return FittedMember(
        member=fitted.member,
        shown=shown(fitted.member),
        before=_span(tight.before if tight else None, fitted.give, units),
        after=_span(tight.after if tight else None, fitted.give, units),
        moved=figure(tight.moved, "length", units) if tight else None,
        held=fitted.why_not or ("; ".join(tight.held) if tight else ""),
        lacks=_lacking(fitted.lacks, units) if fitted.lacks else None,
        taken=not fitted.why_not,
        level="look at" if fitted.why_not or (tight and tight.held) else "fine",
    )


def _lacking(lack: Lack, units: LengthUnit) -> Lacking:
    nearer = lack.now.worst - lack.then.worst
    brings = [f"{say(nearer, 'length', units, places=0)} at its worst place"] if nearer > WORTH else []
    if lack.now.share < MOST:
        of = f"of it within {say(OFF, 'length', units, places=0)} of the gap wanted"
        brings.append(f"{lack.then.share:.0%} {of} ({lack.now.share:.0%} now)")
    words = {
        "end": "its worst place is at its end, which stays on what carries it",
        "nothing": "nothing that was tried brings it nearer: a bend more, tighter bends, twice the reach",
    }.get(lack.freed) or f"{_freed(lack, units)} would bring {' and '.join(brings)}"
    return Lacking(
        freed=lack.freed,
        between=lack.between,
        nearer=figure(nearer, "length", units),
        share=lack.now.share,
        then=lack.then.share,
        words=words,
    )


def _freed(lack: Lack, units: LengthUnit) -> str:
    """``a third bend between places 2 and 3``."""
    if lack.freed == "bends":
        where = " and ".join(f"between places {a} and {b}" for a, b in lack.between)
        if is_paired(lack.tube):
            return f"{('one more bend', 'two more bends')[len(lack.between) - 1]} on each side, {where},"
        have = len(lack.tube.places) - 2 - len(lack.between)
        more = [ORDINALS[min(have + k, len(ORDINALS) - 1)] for k in range(len(lack.between))]
        return f"a {' and a '.join(more)} bend {where}"
    bends = [r for r in lack.tube.radii[1:-1] if r]
    tight, own = (say(r, "length", units, places=0) for r in (min(bends), min(bends) / TIGHT))
    return {
        "reach": "twice the reach",
        "radius": f"bends of {tight} radius in place of {own}, where die and rule book allow,",
    }[lack.freed]


def _span(gaps: Gaps | None, give: float, units: LengthUnit) -> GapSpan | None:
    if gaps is None:
        return None
    least, mean, most = (figure(v, "length", units, plus_minus=give or None) for v in gaps)
    places = 0 if give >= 1.0 and units == "mm" else None
    said = f"{span(gaps[0], gaps[2], 'length', units, places=places)}{good_to(give, units)}"
    middle = say(gaps[1], "length", units, places=places)
    return GapSpan(least=least, mean=mean, most=most, said=f"{said}, mean {middle}")


def _moved(move: Move, units: LengthUnit) -> MovedValue:
    before, after = (tuple(figure(v, "length", units) for v in side) for side in (move.before, move.after))
    axes = AXES if len(after) == 3 else (str(move.keys[-1]),)
    steps = [
        f"{axis} {was.said} -> {now.said}"
        for axis, was, now in zip(axes, before, after, strict=True)
        if was.value != now.value
    ]
    return MovedValue(
        keys=move.keys, where=_where(move.keys), before=before, after=after, said=", ".join(steps)
    )


def _where(keys: Keys) -> str:
    """``main hoop, place 2`` or ``the point waist``."""
    if keys[0] == "points":
        return f"the point {shown(str(keys[1]))}"
    return f"{shown(str(keys[1]))}, place {int(keys[3]) + 1}"
