"""Findings on sight: each pillar of the view, what stands in the field beside the pillars, the trade-off."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np

from cagewright.base.answers import Value
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector
from cagewright.check.findings import KNOWN, UNREAD, Finding, Location, verdict_of
from cagewright.check.readings import at
from cagewright.check.sight.eyes import SIDES, figures, regulation_point
from cagewright.check.sight.seen import (
    SEE_BETWEEN,
    Obstruction,
    Shift,
    member_bar,
    moved_outward,
    pillar_bars,
    pillar_limit,
    sight,
)
from cagewright.plan.types import PersonEntry
from cagewright.shape.outlines import Array
from cagewright.shape.standing import names_of, screen_legs
from cagewright.shape.types import Cage, Member, driver_body
from cagewright.stock.steels import Certainty

BOOK, EDITION = "un-r125", "01 series (construction from memory, unchecked)"
CAUTION = (
    "A road-car figure, not a rule of any series here, from eyes that were reckoned. Sit in the car and "
    "look before the tack becomes a weld."
)
"""Goes on every page that shows sight."""


def sight_findings(cage: Cage) -> tuple[Finding, ...]:
    """The findings on sight; one 'cannot tell' where the plan has no driver."""
    driver = driver_body(cage)
    if driver is None:
        why = "the plan has no driver"
        ask = "give driver: hip and back_angle"
        return (_finding("pillar", "", "sight past pillars", None, why=why, advice=ask),)
    regulation, own = judged_by_pillar(sight(cage, "r125")), judged_by_pillar(sight(cage, "own"))
    pillars = frozenset(one.name for one in regulation.values() if one.kind == "together")
    hidden = [_pillar(cage, seen, own.get(key)) for key, seen in regulation.items()]
    return (*hidden, *_unmeasured(cage), *_field(cage, driver, pillars))


def judged_by_pillar(seen: Iterable[Obstruction]) -> dict[tuple[str, str], Obstruction]:
    """One obstruction for each member and pillar, by (name, side): with the pillar where it hugs that."""
    kept: dict[tuple[str, str], Obstruction] = {}
    for one in sorted(seen, key=lambda o: o.kind == "together"):
        if one.kind == "together" and one.apart > SEE_BETWEEN:
            continue
        kept[one.name, one.side] = one
    return dict(sorted(kept.items(), key=lambda item: -item[1].both))


def _pillar(cage: Cage, seen: Obstruction, own: Obstruction | None) -> Finding:
    limit = math.radians(figures()["pillar"]["limit"])
    members = () if seen.kind == "pillar" else (seen.name,)
    whole = f"{seen.name} with the {seen.side} pillar" if seen.kind == "together" else seen.name
    moved = moved_outward(cage, seen.name, side=seen.side) if members else None
    words = [f"{whole}: {_hidden(seen.both)}"]
    if own is not None:
        eyes = f"{_hidden(own.both)}, {say_angle(own.one_eye)} from one eye"
        words.append(f"from this driver's own eyes {eyes}")
    return _finding(
        "pillar",
        "5.1.2.1",
        "one pillar hides at most 6 degrees from both eyes",
        seen.both <= limit,
        measured=Value(value=math.degrees(seen.both), unit="deg", said="; ".join(words)),
        limit="at most 6.0°",
        where=Location(members=members, point=at(seen.point)),
        why=_said_moved(moved, cage.units, together=seen.kind == "together"),
        advice="" if seen.both <= limit else f"move {seen.name} nearer the pillar in the driver's view",
    )


def _hidden(both: float) -> str:
    return f"{say_angle(both)} hidden" if both > 0.0 else f"nothing hidden, {say_angle(-both)} seen behind it"


def _said_moved(moved: Shift | None, units: LengthUnit, *, together: bool) -> str:
    if moved is None:
        return ""
    change = moved.together if together and moved.together is not None else moved.alone
    by = say_length(moved.by, units, places=0)
    return f"{math.degrees(change):+.2f}° for each {by} that {moved.name} moves outward (own eyes)"


def _unmeasured(cage: Cage) -> tuple[Finding, ...]:
    limit = pillar_limit(cage)
    bare = [side for side in SIDES if len(pillar_bars(cage, side, limit)) < 2]
    if not bare:
        return ()
    ask = "measure both edges of each screen pillar and enter them under shell, lines, named pillar"
    why = f"fewer than two edges of the {' and the '.join(bare)} screen pillar are measured"
    return (_finding("pillar", "5.1.2.1", "the body's own pillars", None, why=why, advice=ask),)


def _field(cage: Cage, driver: PersonEntry, pillars: frozenset[str]) -> tuple[Finding, ...]:
    # a leg stands in for a screen pillar whether or not that is measured
    ahead = pillars | names_of(screen_legs(cage))
    others = [m for m in cage.members if m.name not in ahead]
    inside = [m.name for m in others if _in_field(m, driver)]
    title = "nothing but pillars stands in the 180 degrees ahead, from eye level to 4 degrees down"
    named = ", ".join(inside)
    return (
        _finding(
            "field", "5.1.3", title, not inside,
            measured=Value(value=None, unit="", said=named or "nothing"),
            limit="a clear view",
            where=Location(members=tuple(inside)),
            advice=f"look past {named} from the seat, or lower it" if inside else "",
        ),
    )  # fmt: skip


def _in_field(member: Member, driver: PersonEntry) -> bool:
    bar = member_bar(member)
    ahead = bar.points[bar.points[:, 0] < regulation_point("v2", driver)[0]]
    return bool(np.any(in_field(ahead, bar.radius, driver)))


def in_field(points: Array, radius: float, driver: PersonEntry) -> Array:
    """Which points (n, 3) of a tube's axis have the tube in the field ahead, (n,) of bool.

    The field lies below the level through V1 and above three planes through V2 that fall 4 degrees: one
    ahead, one to each side (UN R125 5.1.3, read; V points from memory).

    Points and radius of the tube are in mm.
    """
    v1, v2 = regulation_point("v1", driver), regulation_point("v2", driver)
    fall = math.tan(math.radians(figures()["field"]["down"]))
    reach = np.maximum(v2[0] - points[:, 0], np.abs(points[:, 1] - v2[1]))
    floor: Vector = v2[2] - fall * reach
    return (points[:, 2] - radius < v1[2]) & (points[:, 2] + radius > floor)


def _finding(
    rule: str,
    clause: str,
    title: str,
    kept: bool | None,
    *,
    measured: Value | None = None,
    limit: str = "",
    where: Location | None = None,
    certainty: Certainty = "memory",
    why: str = "",
    advice: str = "",
) -> Finding:
    known = KNOWN[certainty]
    unread = UNREAD if kept is not None and known == "remembered" else ""
    return Finding(
        rule=rule,
        judge="own check",
        book=BOOK,
        edition=EDITION,
        clause=clause,
        title=title,
        verdict=verdict_of(kept, "own check", known),
        measured=measured,
        limit=limit,
        where=where or Location(),
        known=known,
        why="; ".join(word for word in (why, unread) if word),
        advice=advice,
    )
