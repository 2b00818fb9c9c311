"""From a cage and rule books to findings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from cagewright.base.answers import Value
from cagewright.base.units import LengthUnit
from cagewright.check.applies import Fit, fits, newer_edition
from cagewright.check.bench import NOT_MEASURED, Gauged
from cagewright.check.findings import Finding, Location, Verdict, doubt_of, known_by, verdict_of
from cagewright.check.on_rails import on_rails
from cagewright.check.readings import Amount, Measure, YesNo
from cagewright.check.rules import NO_ALLOWANCE, Allowance, Book, LimitSide, Rule
from cagewright.check.said import UNIT, Sort, plain_value, say
from cagewright.check.sizes import both
from cagewright.check.vocabulary import MEASURES
from cagewright.shape.types import Cage

ROUNDING = 1e-9
"""Share of a limit that floating-point arithmetic may leave."""


def check_books(cage: Cage, books: Iterable[Book], bench: Gauged = NOT_MEASURED) -> tuple[Finding, ...]:
    """The findings of every row of every book, in the books' order; each book's newer edition first.

    What was not measured on the bench is 'cannot tell', never a pass.
    """
    return tuple(finding for book in books for finding in _of_book(cage, book, bench))


def _of_book(cage: Cage, book: Book, bench: Gauged) -> Iterator[Finding]:
    yield from newer_edition(cage, book)
    for rule in book.rules:
        yield from judge(cage, book, rule, bench)


def judge(cage: Cage, book: Book, rule: Rule, bench: Gauged) -> tuple[Finding, ...]:
    """The findings of one row: one per item, those that cannot be told for one reason as one."""
    applies = fits(cage, book.applies, rule.applies)
    if applies.holds is False:
        return (_does_not_apply(book, rule, applies.why),)
    measure = MEASURES[rule.measure]
    taken = (*measure.take(cage, rule, bench), *on_rails(cage, rule, measure))
    if not taken:
        return (_does_not_apply(book, rule, "nothing in this cage to look at"),)
    found = tuple(_finding(cage, book, rule, measure, item) for item in taken)
    if applies.holds is None:
        found = tuple(_doubted(f, applies) for f in found)
    return folded(found)


def _finding(cage: Cage, book: Book, rule: Rule, measure: Measure, item: Amount | YesNo) -> Finding:
    if isinstance(item, YesNo):
        told = _told_answer(rule, item)
    else:
        if measure.sort is None:
            raise TypeError(f"measure '{measure.name}' is yes or no but gave an amount")
        told = _told_amount(cage, rule, measure, measure.sort, item)
    kept, measured, limit, advice = told
    known = known_by(rule.certainty, rule.confirmed)
    return Finding(
        rule=rule.id, judge="by the book", book=book.id, edition=book.edition, clause=rule.clause,
        title=rule.title, verdict=verdict_of(kept, "by the book", known), measured=measured, limit=limit,
        where=item.spot, known=known,
        why="; ".join(word for word in (item.why, doubt_of(kept, known)) if word),
        advice=advice, measure=rule.measure,
    )  # fmt: skip


Told = tuple[bool | None, Value | None, str, str]
"""Whether it is kept, what was measured, the limit, and what to do."""


def _told_answer(rule: Rule, item: YesNo) -> Told:
    kept = None if item.holds is None else item.holds == rule.wanted
    limit = item.limit or ("yes" if rule.wanted else "no")
    measured = Value(value=None, unit="", said=item.text)
    return kept, measured, limit, "" if kept else item.advice


def _told_amount(cage: Cage, rule: Rule, measure: Measure, sort: Sort, item: Amount) -> Told:
    limit = say_bounds(rule.bounds, sort, cage.units)
    if item.low is None or item.high is None:
        return None, None, limit, item.ask
    each = tuple(within(item.low, item.high, bound, rule.allowance) for bound in rule.bounds)
    broken = next((b for b, v in zip(rule.bounds, each, strict=True) if v is not True), None)
    measured = _measured(cage, sort, item.low, item.high, broken)
    kept = both(*each)
    if broken is None:
        return kept, measured, limit, ""
    return kept, measured, limit, item.ask if kept is None else _advice(cage, measure, sort, item, broken)


def holds(low: float | None, high: float | None, bounds: Iterable[LimitSide]) -> bool | None:
    """Whether every value from ``low`` to ``high`` keeps every bound; None where that is not known."""
    if low is None or high is None:
        return None
    return both(*(within(low, high, bound, NO_ALLOWANCE) for bound in bounds))


def within(low: float, high: float, bound: LimitSide, allowance: Allowance) -> bool | None:
    """Whether every value from ``low`` to ``high`` keeps the bound; None where only some do."""
    keeps = {_keeps(low, bound, allowance), _keeps(high, bound, allowance)}
    return keeps.pop() if len(keeps) == 1 else None


def _keeps(value: float, bound: LimitSide, allowance: Allowance) -> bool:
    slack = abs(bound.value) * (allowance.share + ROUNDING) + allowance.amount
    if bound.kind == "at_least":
        return value >= bound.value - slack
    if bound.kind == "at_most":
        return value <= bound.value + slack
    return value > bound.value + ROUNDING if bound.kind == "more_than" else value < bound.value - ROUNDING


BOUND_WORDS = {
    "at_least": "at least",
    "at_most": "at most",
    "more_than": "more than",
    "less_than": "less than",
}


def say_bounds(bounds: tuple[LimitSide, ...], sort: Sort, units: LengthUnit | None = None) -> str:
    """The limits in the book's own units, e.g. ``at least 3 x OD``; with ``units``, in the builder's too."""
    return " and ".join(
        f"{BOUND_WORDS[b.kind]} {b.text}{_SUFFIX.get(sort, '')}{_also(b, sort, units)}" for b in bounds
    )


_SUFFIX: dict[Sort, str] = {"ods": " x OD", "inertia": " mm4", "percent": " %"}
_INCH_WORDS = ("in", '"', "ft", "in2", "lb", "ksi")


def _also(bound: LimitSide, sort: Sort, units: LengthUnit | None) -> str:
    """The bound again in the builder's units, where the book writes it in others."""
    if units is None or sort not in {"length", "fine", "area", "mass", "stress"}:
        return ""
    in_inches = bound.text.endswith(_INCH_WORDS)
    return f" ({say(sort, bound.value, units)})" if in_inches == (units == "mm") else ""


def _measured(cage: Cage, sort: Sort, low: float, high: float, broken: LimitSide | None) -> Value:
    limit = broken.value if broken else None
    text = say(sort, low, cage.units, apart_from=limit)
    if low == high:
        return Value(value=plain_value(sort, low), unit=UNIT[sort], said=text)
    return Value(
        value=None, unit=UNIT[sort], said=f"{text} to {say(sort, high, cage.units, apart_from=limit)}"
    )


def _advice(cage: Cage, measure: Measure, sort: Sort, item: Amount, broken: LimitSide) -> str:
    too_small = broken.kind in {"at_least", "more_than"}
    value = item.high if too_small else item.low
    if value is None:
        raise TypeError("an amount that breaks a bound is known")
    by = say(sort, abs(broken.value - value), cage.units, apart_from=0.0)
    limit = say_bounds((broken,), sort, cage.units)
    return (measure.more if too_small else measure.less).format(
        what=item.spot, part=item.spot.part, by=by, limit=limit
    )


def _doubted(finding: Finding, applies: Fit) -> Finding:
    """A finding of a rule that may not be for this car: never a pass or a fail."""
    broken = finding.verdict == "looks broken"
    verdict: Verdict = "looks broken" if broken else "cannot tell"
    return replace(
        finding,
        verdict=verdict,
        why="; ".join(word for word in (finding.why, applies.why) if word),
        advice="; ".join(word for word in (applies.ask, finding.advice if broken else "") if word),
    )


def _does_not_apply(book: Book, rule: Rule, why: str) -> Finding:
    return Finding(
        rule=rule.id, judge="by the book", book=book.id, edition=book.edition, clause=rule.clause,
        title=rule.title, verdict="does not apply", known=known_by(rule.certainty, rule.confirmed), why=why,
        measure=rule.measure,
    )  # fmt: skip


def folded(findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings of one row with those kept by memory, or not told, for one reason made one."""
    groups: dict[object, list[Finding]] = {}
    for number, finding in enumerate(findings):
        alike = finding.verdict in {"cannot tell", "looks kept"}
        key = (finding.verdict, finding.why, finding.advice) if alike else number
        groups.setdefault(key, []).append(finding)
    return tuple(_joined(group) for group in groups.values())


def _joined(group: list[Finding]) -> Finding:
    if len(group) == 1:
        return group[0]
    spots = [f.where for f in group]
    where = Location(
        members=_union(spot.members for spot in spots),
        feet=_union(spot.feet for spot in spots),
        joints=_union(spot.joints for spot in spots),
    )
    return replace(group[0], where=where, measured=_span([f.measured for f in group]))


def _union(names: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for group in names for name in group))


def _span(measured: list[Value | None]) -> Value | None:
    """The least and the greatest of what was measured, as one; None where any is missing.

    Each stands by itself where it says what it is of.
    """
    known = [m for m in measured if m is not None and m.value is not None]
    if len(known) < len(measured):
        return measured[0] if len(set(measured)) == 1 else None
    low, high = min(known, key=_value), max(known, key=_value)
    text = low.said if low.said == high.said else f"{low.said} to {high.said}"
    if ": " in low.said:
        text = "; ".join(dict.fromkeys(m.said for m in known))
    return Value(value=low.value if low.value == high.value else None, unit=low.unit, said=text)


def _value(measured: Value) -> float:
    return 0.0 if measured.value is None else measured.value
