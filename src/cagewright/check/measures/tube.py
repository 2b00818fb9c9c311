"""Measures of the tube itself: size, section, steel."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.base.units import LengthUnit
from cagewright.check.bench import Gauged, reading
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, YesNo, each, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.said import say
from cagewright.check.select import chosen
from cagewright.check.sizes import big_enough, is_4130, is_seamless_or_drawn, say_sizes, say_tube
from cagewright.shape.types import Cage, Member
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import Tube

STEEL_UNKNOWN = "the steel's name does not say whether it is of the kind and make this size is for"
OWN_STEEL = "the plan's own steel: its mill sheet must say"
WALL_SPREAD = 0.10
"""Share by which a wall may differ from nominal: AS 1163 (published table) and EN 10305-1 (from memory)."""


def spot_of(member: Member) -> Location:
    """The whole member."""
    return Location(members=(member.name,))


def size_answer(cage: Cage, member: Member, holds: bool | None, limit: str, why: str = "") -> YesNo:
    """Whether the member's tube is large enough, with what to do where it is not; of a rail never told."""
    if not member.tube.is_round:
        holds, why = None, no_tube(member).why
    found = say_tube(member.tube, cage.units)
    return YesNo(
        spot=spot_of(member),
        holds=holds,
        text=found,
        limit=limit,
        why=why,
        advice=_read_first(why)
        + f"make {member.name} (tube '{member.tube_name}', {found}) from {limit} or larger",
    )


def _read_first(why: str) -> str:
    return "say the steel's make from its mill sheet, or " if why == STEEL_UNKNOWN else ""


def tube_size(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member's OD and wall both reach one of the listed sizes."""
    holds = big_enough(member.tube, rule.sizes)
    return size_answer(cage, member, holds, say_sizes(rule.sizes), STEEL_UNKNOWN if holds is None else "")


def size_by_code(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member reaches the size of its code, which its note gives as ``code A``.

    Without a code: large enough for every code passes, for none fails, otherwise it cannot be told.
    """
    codes = rule.codes
    said = [code for code in codes if f"code {code.lower()}" in f"{member.note.lower()} ".replace(",", " ")]
    meant = {max(said, key=len): codes[max(said, key=len)]} if said else codes
    limit = "; ".join(f"code {code}: {say_sizes(sizes)}" for code, sizes in meant.items())
    holds = tuple(big_enough(member.tube, sizes) for sizes in meant.values())
    if len(set(holds)) > 1 and not said:
        why = "the member's note does not give its code from the book's drawing"
        return size_answer(cage, member, None, limit, why)
    verdict = holds[0] if len(set(holds)) == 1 else None
    return size_answer(cage, member, verdict, limit, STEEL_UNKNOWN if verdict is None else "")


def of_tube(value: Callable[[Member], float]) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure that reads one figure off every chosen member."""
    return each(chosen, lambda cage, rule, m: exact(spot_of(m), value(m)))


def of_round_tube(value: Callable[[Tube], float]) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure that reads one figure off every chosen round tube; of a rail it cannot tell."""
    return each(
        chosen, lambda cage, rule, m: exact(spot_of(m), value(m.tube)) if m.tube.is_round else no_tube(m)
    )


def no_tube(member: Member) -> Amount:
    """What a row that asks for round tube has of a rail: nothing that could pass or fail."""
    why = f"it is {RAIL_WORDS[member.tube.section.shape]}, and the row asks for round tube"
    return unknown(spot_of(member), why, "ask whoever inspects the car")


RAIL_WORDS = {
    "square": "square tube",
    "rectangle": "rectangular tube",
    "angle": "an angle",
    "flat": "flat bar",
}


def wall_gauged(cage: Cage, rule: Rule, bench: Gauged) -> tuple[Amount, ...]:
    """Wall of each member as gauged on the bench, mm; without a reading, nominal with its tolerance.

    The tolerance never passes anything: its upper end is left open, so only a wall that could not reach the
    limit even at the top of its tolerance fails unread.
    """
    return tuple(_gauged(member, bench, cage.units) for member in chosen(cage, rule))


def _gauged(member: Member, bench: Gauged, units: LengthUnit) -> Amount:
    if not member.tube.is_round:
        return no_tube(member)
    read = reading(bench, "wall", member.name, member.tube_name)
    if read is not None:
        return exact(spot_of(member), float(read))
    wall = member.tube.wall
    return Amount(
        spot=spot_of(member),
        low=0.0,
        high=wall * (1.0 + WALL_SPREAD),
        why=f"the wall was not gauged: {say('fine', wall, units)} nominal may be "
        f"{say('fine', wall * (1 - WALL_SPREAD), units)}",
        ask="gauge the wall on a straight part of the tube",
    )


def of_steel(
    value: Callable[[Steel], float | None], word: str
) -> Callable[[Cage, Rule, Gauged], tuple[Amount, ...]]:
    """A measure that reads one promised figure off every chosen member's steel."""

    def promised(cage: Cage, rule: Rule, member: Member) -> Amount:
        steel, spot = member.tube.steel, spot_of(member)
        found = value(steel)
        if found is None:
            return unknown(spot, f"no {word} is promised for {steel.name}", "get the mill sheet")
        return exact(spot, found)

    return each(chosen, promised)


def seamless(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member's tube is seamless; drawn over a mandrel from a welded tube is not."""
    steel = member.tube.steel
    holds = steel.is_sold("seamless")
    ways = " or ".join("drawn over a mandrel" if f == "drawn" else f for f in steel.forms)
    return YesNo(
        spot=spot_of(member),
        holds=holds,
        text=f"{steel.name}: {ways or 'not stated'}",
        why=f"{steel.name} is sold both seamless and welded" if holds is None else "",
        advice="state 'seamless' from the mill sheet" if holds is None else "buy seamless tube",
    )


def _of_steel(member: Member, holds: bool | None, why: str, advice: str, limit: str = "") -> YesNo:
    """The answer about a steel, with ``why`` only where it cannot be told."""
    why = why if holds is None else ""
    return YesNo(
        spot=spot_of(member), holds=holds, text=member.tube.steel.name, limit=limit, why=why, advice=advice
    )


def unalloyed(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member is of unalloyed carbon steel; 4130 is alloyed with chromium and molybdenum."""
    alloyed = is_4130(member.tube.steel)
    advice = f"make {member.name} from unalloyed carbon steel, or show the mill sheet"
    return _of_steel(member, None if alloyed is None else not alloyed, OWN_STEEL, advice)


def not_electric_welded(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member's tube is seamless, or drawn over a mandrel after welding."""
    return _of_steel(
        member,
        is_seamless_or_drawn(member.tube.steel),
        "the steel's row does not say how the tube was made",
        "get the tube's mill sheet, or buy seamless or drawn-over-mandrel tube",
    )


def steel_named(cage: Cage, rule: Rule, member: Member) -> YesNo:
    """Whether the member's steel is one of those named; a plan's own steel cannot be told by its name."""
    wanted, steel = " or ".join(rule.steels), member.tube.steel
    named = any(word.lower() in f"{steel.name} {steel.source}".lower() for word in rule.steels)
    holds = named or (None if steel.certainty == "shop" else False)
    return _of_steel(
        member, holds, OWN_STEEL, f"make {member.name} from {wanted}, or show the mill sheet", wanted
    )


MEASURES = (
    Measure(
        name="tube size", per="member", sort=None, needs=("members", "sizes"), own_limit=True,
        take=each(chosen, tube_size),
        meaning="Outside diameter and wall, both at least those of any one of the listed sizes (nominal).",
        passes="50 x 2.0 mm against '45 x 2.5 mm' or '50 x 2.0 mm'",
        fails="48.3 x 2.0 mm against the same: the wall is short for the first, the diameter for the second",
    ),
    Measure(
        name="tube size by code", per="member", sort=None, needs=("members", "codes"), own_limit=True,
        take=each(chosen, size_by_code),
        meaning=(
            "Tube size by the code that the book's drawing gives a member; the member's note says 'code A'. "
            "Without it, large enough for every code passes and for none fails."
        ),
        passes="1 5/8 x 0.118 in with note 'code A', where A is 1 5/8 x 0.118 in",
        fails="1 1/2 x 0.118 in with the same note",
    ),
    Measure(
        name="outside diameter", per="member", sort="fine", needs=("members",),
        take=of_round_tube(lambda t: t.od),
        meaning="Nominal outside diameter.",
        passes="25.4 mm against at least 25 mm", fails="24 mm against at least 25 mm",
        more="make {what} from a tube {by} larger in diameter",
        less="make {what} from a tube {by} smaller in diameter",
    ),
    Measure(
        name="wall", per="member", sort="fine", needs=("members",), take=of_round_tube(lambda t: t.wall),
        meaning="Nominal wall thickness.",
        passes="2.0 mm against at least 2 mm", fails="1.6 mm against at least 2 mm",
        more="make {what} from a tube with a wall {by} thicker",
        less="make {what} from a tube with a wall {by} thinner",
    ),
    Measure(
        name="wall gauged", per="member", sort="fine", needs=("members",), take=wall_gauged,
        meaning=(
            "Wall as gauged on a straight part. Not gauged, it is never a pass: a tube may be delivered 10 "
            "% off its nominal wall, and only one that cannot reach the limit even so fails unread."
        ),
        passes="gauged 2.75 mm against at least 2.7 mm",
        fails="gauged 2.65 mm, or 2.0 mm nominal and not gauged, against at least 2.7 mm",
        more="replace {what}: its wall is {by} too thin", less="replace {what}: its wall is {by} too thick",
    ),
    Measure(
        name="section area", per="member", sort="section", needs=("members",),
        take=of_round_tube(lambda t: t.properties.area),
        meaning="Area of the tube's section, pi/4 (D2 - d2).",
        passes="25 x 2.5 mm has 176.7 mm2 against at least 173 mm2",
        fails="25 x 2.0 mm has 144.5 mm2 against the same",
        more="make {what} from a tube with {by} more section",
        less="make {what} from a tube with {by} less section",
    ),
    Measure(
        name="section inertia", per="member", sort="inertia", needs=("members",),
        take=of_round_tube(lambda t: t.properties.inertia),
        meaning="Second moment of area, pi/64 (D4 - d4), in mm4; limits are plain numbers.",
        passes="25 x 2.5 mm has 11320.8 mm4 against at least 11320",
        fails="25 x 2.0 mm has 9628.2 mm4 against the same",
        more="make {what} from a stiffer tube: {by} short",
        less="make {what} from a less stiff tube: {by} over",
    ),
    Measure(
        name="yield strength", per="member", sort="stress", needs=("members",),
        take=of_steel(lambda s: s.yield_strength, "yield strength"),
        meaning="Least yield strength (ReH or Rp0.2) that the steel's standard promises.",
        passes="355 N/mm2 against at least 350", fails="235 N/mm2 against at least 350",
        more="make {what} from a steel that promises {limit}", less="make {what} from a steel with {limit}",
    ),
    Measure(
        name="tensile strength", per="member", sort="stress", needs=("members",),
        take=of_steel(lambda s: s.tensile, "tensile strength"),
        meaning="Least tensile strength that the steel's standard promises.",
        passes="490 N/mm2 against at least 350", fails="340 N/mm2 against at least 350",
        more="make {what} from a steel that promises {limit}", less="make {what} from a steel with {limit}",
    ),
    Measure(
        name="seamless", per="member", sort=None, needs=("members",), take=each(chosen, seamless),
        meaning="Whether the tube is seamless, as the steel's row or the plan's own steel states.",
        passes="a steel stated seamless: true", fails="electric-welded tube",
    ),
    Measure(
        name="not electric-welded", per="member", sort=None, needs=("members",),
        take=each(chosen, not_electric_welded),
        meaning="Whether the tube is seamless, or drawn over a mandrel after welding.",
        passes="ASTM A513 type 5 (drawn over a mandrel)", fails="ASTM A513 type 1 (electric-welded)",
    ),
    Measure(
        name="unalloyed", per="member", sort=None, needs=("members",), take=each(chosen, unalloyed),
        meaning="Whether the steel is an unalloyed carbon steel of the catalogue, not 4130.",
        passes="E355+N", fails="4130+N, alloyed with chromium and molybdenum",
    ),
    Measure(
        name="steel named", per="member", sort=None, needs=("members", "steels"), own_limit=True,
        take=each(chosen, steel_named),
        meaning=(
            "Whether the steel's name or source holds one of the words; a plan's own steel cannot be told."
        ),
        passes="C350L0, whose source is AS 1163, against 'AS 1163'",
        fails="E355+N (EN 10305-1) against 'AS 1163'",
    ),
)  # fmt: skip
