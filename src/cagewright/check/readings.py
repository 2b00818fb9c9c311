"""What a measure gives back: amounts and answers, each at its spot."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Literal, TypeVar

from cagewright.base.vectors import Vector
from cagewright.check.bench import Gauged
from cagewright.check.findings import Location
from cagewright.check.rules import Rule
from cagewright.check.said import Sort
from cagewright.shape.types import Cage


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A measured amount, in the inside unit of the measure.

    ``low`` and ``high`` are the same where it is known, None where nothing is; ``why`` says what is not
    known or was assumed, ``ask`` what to measure or state.
    """

    spot: Location
    low: float | None
    high: float | None
    why: str = ""
    ask: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class YesNo:
    """A yes or no.

    ``holds`` is None where it cannot be told; ``limit`` is given where the measure knows better than the
    row.
    """

    spot: Location
    holds: bool | None
    text: str
    limit: str = ""
    why: str = ""
    advice: str = ""


Thing = TypeVar("Thing")
Read = TypeVar("Read", Amount, YesNo)
Taken = tuple[Amount, ...] | tuple[YesNo, ...]
Per = Literal["member", "bend", "end", "foot", "joint", "gusset", "plate", "side", "seat", "tube", "cage"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """One word of the vocabulary.

    Attributes:
        name: as rows write it.
        per: what one value belongs to.
        sort: kind of amount; None for a yes-or-no measure.
        needs: terms a row must give.
        takes: terms a row may give.
        meaning: what is measured and how, for the docs page.
        passes: an example that passes, in words.
        fails: an example that fails.
        more: what to do where the amount is too small; ``{what}``, ``{by}``, ``{limit}`` are filled in.
        less: what to do where it is too large.
        own_limit: the limit stands in the terms (sizes, structures), not in bounds.
        take: the pure function.
    """

    name: str
    per: Per
    sort: Sort | None
    needs: tuple[str, ...] = ()
    takes: tuple[str, ...] = ()
    meaning: str
    passes: str
    fails: str
    more: str = ""
    less: str = ""
    own_limit: bool = False
    take: Callable[[Cage, Rule, Gauged], Taken]


def each(
    pick: Callable[[Cage, Rule], Iterable[Thing]], look: Callable[[Cage, Rule, Thing], Read]
) -> Callable[[Cage, Rule, Gauged], tuple[Read, ...]]:
    """A measure that takes one reading of every thing that the row picks, without the bench."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Read, ...]:
        del bench
        return tuple(look(cage, rule, thing) for thing in pick(cage, rule))

    return take


def exact(spot: Location, value: float, why: str = "") -> Amount:
    """An amount that is known."""
    return Amount(spot=spot, low=value, high=value, why=why)


def unknown(spot: Location, why: str, ask: str) -> Amount:
    """An amount of which nothing is known."""
    return Amount(spot=spot, low=None, high=None, why=why, ask=ask)


def at(point: Vector) -> tuple[float, float, float]:
    """The point (3,) as a plain triple, mm."""
    x, y, z = point.tolist()
    return x, y, z
