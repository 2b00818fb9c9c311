"""Findings on the harness: angles, spread, free length and mounts, by the standard chosen."""

from __future__ import annotations

from dataclasses import replace

from cagewright.base.answers import Value
from cagewright.base.problems import nearest_word
from cagewright.base.units import LengthUnit
from cagewright.check.belts.harness import body_of, runs_of
from cagewright.check.belts.limits import (
    ALWAYS,
    BeltLimit,
    SeatWord,
    Standard,
    limits_for,
    standards,
    tables,
)
from cagewright.check.belts.measures import MEASURES, BeltAmount, Setting, points_of
from cagewright.check.belts.remedies import remedy
from cagewright.check.findings import Finding, Judge, doubt_of, known_by, verdict_of
from cagewright.check.judge import folded, holds, say_bounds
from cagewright.check.said import UNIT, Sort, plain_value, say
from cagewright.plan.people import turns_of
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import whose_words
from cagewright.shape.types import Belts, Cage, Person

SHEET = Standard(id="belt-maker-sheet", title="The belt maker's sheet", edition="as entered in the plan")
NO_STANDARD = Standard(id="belts", title="Harness", edition="")


def belts_findings(cage: Cage) -> tuple[Finding, ...]:
    """The findings on everybody's harness, its geometry and parts; 'does not apply' where there is none."""
    several = len(cage.people) > 1
    found = [
        _of_person(cage, one, whose)
        for person in cage.people
        for whose, one in _in_turn(person, person.name if several else "")
    ]
    return tuple(dict.fromkeys(finding for one in found for finding in one)) or _no_belts("")


def _in_turn(person: Person, alone: str) -> list[tuple[str, Person]]:
    """Everybody who sits in that seat, as if alone in it, with a name where there are several."""
    turns = turns_of(person.body)
    if len(turns) < 2:
        return [(alone, person)]
    return [(body.called or person.name, replace(person, body=body)) for body in turns]


def _no_belts(whose: str) -> tuple[Finding, ...]:
    bare = _bare("belts", whose_words(whose, "harness") if whose else "the harness", "the plan has no belts")
    return (replace(bare, verdict="does not apply"),)


def _of_person(cage: Cage, person: Person, whose: str) -> tuple[Finding, ...]:
    belts, body = person.belts, person.body
    if belts is None:
        return _no_belts(whose)
    if body is None:
        ask = "give the seated driver: hip, back_angle and, measured, shoulder"
        return (_bare("belts", "belt angles", "the plan has no driver", ask),)
    chosen, doubts = chosen_standard(cage, belts)
    setting = Setting(
        cage=cage, mounts=belts.mounts, runs=runs_of(cage, person), body=body_of(body), seat=person.seat,
        whose=whose,
    )  # fmt: skip
    rows = limits_for(chosen, belts.sheet, seat_word(body), points_of(setting.runs), cage.units)
    found = [finding for limit in rows for finding in _by_limit(setting, limit, chosen)]
    return (*doubts, *_unnamed(belts), *found)


def seat_word(person: PersonEntry) -> SeatWord:
    """Whether the person sits upright: back at most 30 degrees from plumb (FSAE 2024 T.2.1 d, read)."""
    most = tables().upright.most
    return "upright" if person.back_angle <= most + 1e-9 else "reclined"


def chosen_standard(cage: Cage, belts: Belts) -> tuple[str, tuple[Finding, ...]]:
    """The belts' standard, named or led to by the rule book, and a finding where there is none."""
    if belts.standard in standards():
        return belts.standard, ()
    if belts.standard:
        close = nearest_word(belts.standard, standards())
        known = f"wanted one of {', '.join(standards())}" + (f"; did you mean {close}?" if close else "")
        why = f"no belt standard is called '{belts.standard}'"
        return "", (_bare("standard", "the belts' standard", why, known),)
    rules = cage.car.rules if cage.car else ()
    led = next((s.id for s in standards().values() if set(s.rules) & set(rules)), None)
    if led is not None:
        return led, ()
    ask = f"say belts: standard, one of {', '.join(standards())}, or enter the belt maker's sheet"
    why = "the plan names no belt standard"
    return "", (_bare("standard", "the belts' standard", why, ask),)


def _unnamed(belts: Belts) -> tuple[Finding, ...]:
    return tuple(
        _bare(
            "mount",
            f"what {mount.mount.name} holds",
            "the mount does not say which belt it holds",
            f"say belt: lap, shoulder or crotch at {mount.mount.name}",
        )
        for mount in belts.mounts
        if not mount.belts
    )


def _by_limit(setting: Setting, limit: BeltLimit, standard: str) -> tuple[Finding, ...]:
    taken = [
        t for t in MEASURES[limit.measure].take(setting) if not limit.belts or set(t.belts) & set(limit.belts)
    ]
    return folded(tuple(judged(limit, t, _book(limit, standard), setting.cage.units) for t in taken))


def _book(limit: BeltLimit, standard: str) -> Standard:
    if limit.certainty == "shop":
        return SHEET.model_copy(update={"edition": limit.source})
    return standards()[standard if standard in limit.standards else ALWAYS]


def judged(limit: BeltLimit, taken: BeltAmount, book: Standard, units: LengthUnit = "mm") -> Finding:
    """The finding of one row on one amount: what the text only advises never fails."""
    sort = MEASURES[limit.measure].sort
    kept = holds(taken.low, taken.high, limit.bounds)
    missed = bool(kept) and not holds(taken.low, taken.high, limit.advised)
    judge: Judge = "own check" if book.id == ALWAYS else "by the book"
    known = known_by(limit.certainty, limit.confirmed)
    bounds, advised = _limit_words(limit, sort, judge, units)
    return Finding(
        rule=limit.measure.replace(" ", "-"),
        judge=judge,
        book=book.id,
        edition=book.edition,
        clause=limit.clause,
        title=limit.title,
        verdict="look at" if missed else verdict_of(kept, judge, known),
        measured=measured(taken, sort, units),
        limit="; ".join(word for word in (bounds, advised) if word),
        where=taken.spot,
        known=known,
        why=_why(limit, taken, kept, missed=missed),
        advice=_advice(limit, taken, units) if missed or not kept else "",
    )


def _limit_words(limit: BeltLimit, sort: Sort, judge: Judge, units: LengthUnit) -> tuple[str, str]:
    """What must hold and what is advised: as its text writes it, our own in the builder's units alone."""
    own = judge == "own check"
    musts, advice = (
        tuple(replace(b, text=say(sort, b.value, units)) if own else b for b in bounds)
        for bounds in (limit.bounds, limit.advised)
    )
    also = None if own else units
    return say_bounds(musts, sort, also), f"advised {say_bounds(advice, sort, also)}" if advice else ""


def _why(limit: BeltLimit, taken: BeltAmount, kept: bool | None, *, missed: bool) -> str:
    words = (
        taken.why,
        "within the limit but not as the text advises" if missed else "",
        f"the belt maker's sheet stands in place of {limit.instead}" if limit.instead else "",
        "" if kept is None else doubt_of(kept, known_by(limit.certainty, limit.confirmed)),
    )
    return "; ".join(word for word in words if word)


def _advice(limit: BeltLimit, taken: BeltAmount, units: LengthUnit) -> str:
    if taken.low is None or taken.high is None:
        return taken.ask
    unsure = holds(taken.low, taken.high, limit.bounds) is None
    words = (remedy(limit, taken, units), taken.ask if unsure else "")
    return "; ".join(word for word in words if word)


def measured(taken: BeltAmount, sort: Sort, units: LengthUnit) -> Value | None:
    """The amount as the builder reads it, with what it is of; None where nothing is known."""
    if taken.low is None or taken.high is None:
        return None
    # rounding below zero reads as zero
    low, high = (say(sort, round(v, 9) + 0.0, units) for v in (taken.low, taken.high))
    one = low == high
    return Value(
        value=plain_value(sort, taken.low) if one else None,
        unit=UNIT[sort],
        said=f"{taken.label}: {low}" if one else f"{taken.label}: {low} to {high}",
    )


def _bare(rule: str, title: str, why: str, advice: str = "") -> Finding:
    return Finding(
        rule=rule,
        judge="own check",
        book=NO_STANDARD.id,
        title=title,
        verdict="cannot tell",
        known="shop",
        why=why,
        advice=advice,
    )
