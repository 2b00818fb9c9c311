"""How the body checks put a verdict: the common ground of their findings."""

from __future__ import annotations

from cagewright.base.answers import Value
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.check.findings import Finding, Known, Location, Verdict

BOOK = "body"
EDITION = "checks of this program"


def spot(*members: str, point: Vector | None = None, feet: tuple[str, ...] = ()) -> Location:
    """Where: members, feet and one point (3,), mm."""
    place = None if point is None else (float(point[0]), float(point[1]), float(point[2]))
    return Location(members=members, feet=feet, point=place)


def length_of(mm: float, units: LengthUnit, text: str | None = None) -> Value:
    """A measured length, with its text where more is to be said than the length."""
    return Value(value=mm, unit="mm", said=text or say_length(mm, units))


def body_finding(
    rule: str,
    title: str,
    verdict: Verdict,
    *,
    where: Location,
    measured: Value | None = None,
    limit: str = "",
    clause: str = "",
    known: Known = "computed",
    why: str = "",
    advice: str = "",
) -> Finding:
    """One finding of the body checks; see ``Finding`` for what each argument is."""
    return Finding(
        rule=rule,
        judge="own check",
        book=BOOK,
        edition=EDITION,
        clause=clause or rule,
        title=title,
        verdict=verdict,
        measured=measured,
        limit=limit,
        where=where,
        known=known,
        why=why,
        advice=advice,
    )
