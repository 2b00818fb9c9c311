"""Readings taken by hand on a finished car, judged by the rows of a rule book."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pydantic_core import PydanticCustomError

from cagewright.base.units import QuantityError, parse
from cagewright.check.findings import Verdict, known_by, verdict_of
from cagewright.check.hand import Hand, hands
from cagewright.check.judge import within
from cagewright.check.rules import EXAMPLE, KIND, LimitSide, PlainSize, Rule, plain_size
from cagewright.check.sizes import both
from cagewright.check.vocabulary import MEASURES

YES_NO = {"yes": True, "true": True, "no": False, "false": False}
SIZE_MEASURE = "tube size"
"""The measure whose reading is a size: it is held to the row's own sizes."""
WALL_WITHIN = 0.1
"""How far under its size a wall may be made, as a share (EN 10305-1: 10 %; from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """A reading, judged; ``why`` says what kept it from being told."""

    said: str
    verdict: Verdict
    why: str = ""


def wanted_of(rule: Rule) -> str:
    """How a reading for that row is written.

    A row whose limit no hand can hold against a figure is answered with yes (it is kept) or no.
    """
    sort = MEASURES[rule.measure].sort
    if rule.measure == SIZE_MEASURE:
        return "a size such as '45 x 2.5 mm'"
    if sort is None or not rule.bounds:
        return "yes or no"
    return f"a figure such as {EXAMPLE[KIND[sort]]}"


def inspected(rule: Rule, raw: Any) -> Inspected:
    """The reading of that row, judged by it.

    A figure as near to its limit as the tool reads cannot be told, except where the book means the size that
    a tube is sold by: there the maker's tolerance counts for the tube.

    Raises:
        QuantityError: the reading is of another kind than the row's measure.
    """
    hand, sort = hands()[rule.measure], MEASURES[rule.measure].sort
    if rule.measure == SIZE_MEASURE:
        kept, why = _size_kept(rule, _size(raw), hand), ""
    elif sort is None or not rule.bounds:
        kept, why = _yes(raw) == rule.wanted if not MEASURES[rule.measure].own_limit else _yes(raw), ""
    else:
        if isinstance(raw, int | float) and not isinstance(raw, bool) and KIND[sort] != "number":
            raise QuantityError("a bare number has no unit")
        value = parse(raw, KIND[sort])
        kept = both(*(_kept(value, bound, rule, hand) for bound in rule.bounds))
        why = "" if kept is not None else "as near to the limit as the tool reads: measure it finer"
    known = known_by(rule.certainty, rule.confirmed)
    return Inspected(said=str(raw), verdict=verdict_of(kept, "by the book", known), why=why)


def _size(raw: Any) -> PlainSize:
    try:
        return plain_size(raw)
    except PydanticCustomError:
        raise QuantityError("it is no tube size") from None


def _yes(raw: Any) -> bool:
    if isinstance(raw, bool):
        return raw
    word = str(raw).strip().lower()
    if word not in YES_NO:
        raise QuantityError("it is neither yes nor no")
    return YES_NO[word]


def _kept(value: float, bound: LimitSide, rule: Rule, hand: Hand) -> bool | None:
    low, high = value - hand.within, value + hand.within
    if not hand.nominal:
        return within(low, high, bound, rule.allowance)
    best = high if bound.kind in {"at_least", "more_than"} else low
    return within(best, best, bound, rule.allowance)


def _size_kept(rule: Rule, size: PlainSize, hand: Hand) -> bool:
    return any(
        size.od + hand.within >= least.od and size.wall >= least.wall * (1.0 - WALL_WITHIN)
        for least in rule.sizes
    )
