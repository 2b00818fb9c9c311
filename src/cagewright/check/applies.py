"""Whether a row or a book is for this car: its body, its mass, and when it was built or got its log book."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from cagewright.base.dates import Days, say_day, span_of
from cagewright.check.findings import Finding
from cagewright.check.rules import Applies, Book, DateWord
from cagewright.check.said import say
from cagewright.shape.types import Cage

ROUNDING = 1e-9
"""Share of a limit that floating-point arithmetic may leave."""
WORD: dict[DateWord, str] = {"built": "built", "logbook": "with a log book"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """Whether something is for this car; None where the plan does not say. Why not, and what to state."""

    holds: bool | None
    why: str = ""
    ask: str = ""


FITS = Fit(holds=True)


def fits(cage: Cage, *applies: Applies) -> Fit:
    """Whether all of them are for this car: the first that is not, else the first that is not known."""
    found = [fit for one in applies for fit in (_body(cage, one), _weight(cage, one), _dates(cage, one))]
    return next((f for f in found if f.holds is False), next((f for f in found if f.holds is None), FITS))


def _body(cage: Cage, applies: Applies) -> Fit:
    if not applies.body:
        return FITS
    body, words = cage.car.body if cage.car else "", " or ".join(applies.body)
    if not body:
        return Fit(holds=None, why=f"the plan does not say if the car is {words}", ask="say car: body")
    holds = any(word.lower() in body.lower() for word in applies.body)
    return Fit(holds=holds, why=f"for cars called {words}; this one is '{body}'")


def _weight(cage: Cage, applies: Applies) -> Fit:
    low, high = applies.weight_from, applies.weight_to
    if low is None and high is None:
        return FITS
    above = f"from {say('mass', low, cage.units)}" if low is not None else ""
    below = f"to {say('mass', high, cage.units)}" if high is not None else ""
    words = f"for cars {' '.join(word for word in (above, below) if word)}"
    if cage.car is None:
        return Fit(holds=None, why=f"{words}; the plan does not say the car's mass", ask="say car: mass")
    mass = cage.car.mass
    holds = (low is None or mass >= low * (1 - ROUNDING)) and (high is None or mass <= high * (1 + ROUNDING))
    return Fit(holds=holds, why=f"{words}; this one has {say('mass', mass, cage.units)}")


def _dates(cage: Cage, applies: Applies) -> Fit:
    since, until = applies.since, applies.until
    if since is None and until is None:
        return FITS
    first, last, said = car_dates(cage, applies.by)
    within = (since is None or first >= since.first) and (until is None or last <= until.last)
    outside = (since is not None and last < since.first) or (until is not None and first > until.last)
    word = WORD[applies.by]
    words = f"for cars {word} {_span_words(since, until)}"
    if within or outside:
        return Fit(holds=within, why=f"{words}; this one was {said}")
    told = f"the plan says {said}" if said else "the plan does not say when that was"
    return Fit(holds=None, why=f"{words}; {told}", ask=f"say car: {applies.by}")


def _span_words(since: Days | None, until: Days | None) -> str:
    words = (
        f"from {say_day(since.first)}" if since else "",
        f"until {say_day(until.last)}" if until else "",
    )
    return " ".join(word for word in words if word)


def car_dates(cage: Cage, by: DateWord) -> tuple[date, date, str]:
    """The first and the last day that the car's date can be, and what the plan says of it.

    A car gets no log book before it is built, so that either date bounds the other.
    """
    said = cage.car
    built = span_of(said.built) if said and said.built else None
    logbook = span_of(said.logbook) if said and said.logbook else None
    words = ", ".join(
        f"{word} {span.text}" for word, span in (("built", built), ("log-booked", logbook)) if span
    )
    if by == "built":
        last = built.last if built else (logbook.last if logbook else date.max)
        return (built.first if built else date.min), last, words
    first = logbook.first if logbook else (built.first if built else date.min)
    return first, (logbook.last if logbook else date.max), words


def newer_edition(cage: Cage, book: Book) -> Iterator[Finding]:
    """What a plan is told that names a book for a car built since there is a newer one."""
    if book.newer is None:
        return
    since = book.newer.since
    first, last, said = car_dates(cage, "built")
    if last < since.first:
        return
    known = first >= since.first
    yield Finding(
        rule="newer-edition", judge="own check", book=book.id, edition=book.edition,
        title=f"{book.newer.book} is for cars built from {say_day(since.first)}",
        verdict="look at", known="computed",
        why=f"this one was {said}" if known else "the plan does not say when this one is built",
        advice=f"name {book.newer.book} in car: rules"
        + ("" if known else ", or say car: built where the cage is older"),
    )  # fmt: skip
