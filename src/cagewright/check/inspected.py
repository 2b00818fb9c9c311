"""Readings taken by hand on a finished car, judged by the rows of a rule book."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

from pydantic_core import PydanticCustomError

from cagewright.base.units import QuantityError, parse
from cagewright.check.findings import Verdict, known_by, verdict_of
from cagewright.check.hand import ByHand, hands
from cagewright.check.judge import within
from cagewright.check.rules import EXAMPLE, KIND, LimitSide, PlainSize, Rule, plain_size
from cagewright.check.sizes import both
from cagewright.check.vocabulary import MEASURES

YES_NO = {"yes": True, "true": True, "no": False, "false": False}
SIZE_MEASURE = "tube size"
"""The measure whose reading is a size: it is held to the row's own sizes."""
WALL_WITHIN = 0.1
"""How far under its size a wall may be made, as a share (EN 10305-1: 10 %; from memory)."""


Asks = Literal["yes or no", "size", "figure"]
"""How a row is answered by hand."""
UNITS: dict[str, tuple[str, str]] = {
    "length": ("mm", "in"), "area": ("cm2", "in2"), "angle": ("deg", "deg"), "stress": ("MPa", "ksi"),
    "mass": ("kg", "lb"), "number": ("", ""),
}  # fmt: skip
"""What a bare figure means at the car by its kind, on a metric and on an inch tape."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Inspected:
    """A reading, judged; ``why`` says what kept it from being told."""

    said: str
    verdict: Verdict
    why: str = ""


def asks_of(rule: Rule) -> Asks:
    """How that row is answered: a row whose limit no hand can hold against a figure with yes (kept) or no."""
    if rule.measure == SIZE_MEASURE:
        return "size"
    return "figure" if rule.bounds and MEASURES[rule.measure].sort is not None else "yes or no"


def wanted_of(rule: Rule) -> str:
    """How a reading for that row is written."""
    asks, sort = asks_of(rule), MEASURES[rule.measure].sort
    if asks == "size":
        return "a size such as '45 x 2.5 mm'"
    return "yes or no" if asks == "yes or no" or sort is None else f"a figure such as {EXAMPLE[KIND[sort]]}"


def unit_of(rule: Rule, *, inches: bool) -> str:
    """The unit that a bare figure for that row has on a shop's tape; empty where it has none."""
    asks, sort = asks_of(rule), MEASURES[rule.measure].sort
    if asks == "yes or no":
        return ""
    return UNITS["length" if asks == "size" or sort is None else KIND[sort]][inches]


def inspected(rule: Rule, raw: Any) -> Inspected:
    """The reading of that row, judged by it.

    A figure as near to its limit as the tool reads cannot be told, except where the book means the size that
    a tube is sold by: there the maker's tolerance counts for the tube.

    Raises:
        QuantityError: the reading is of another kind than the row's measure.
    """
    hand, sort, asks = hands()[rule.measure], MEASURES[rule.measure].sort, asks_of(rule)
    if asks == "size":
        kept, why = _size_kept(rule, _size(raw), hand), ""
    elif asks == "yes or no" or sort is None:
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


def _kept(value: float, bound: LimitSide, rule: Rule, hand: ByHand) -> bool | None:
    low, high = value - hand.within, value + hand.within
    if not hand.nominal:
        return within(low, high, bound, rule.allowance)
    best = high if bound.kind in {"at_least", "more_than"} else low
    return within(best, best, bound, rule.allowance)


def _size_kept(rule: Rule, size: PlainSize, hand: ByHand) -> bool:
    return any(
        size.od + hand.within >= least.od and size.wall >= least.wall * (1.0 - WALL_WITHIN)
        for least in rule.sizes
    )
