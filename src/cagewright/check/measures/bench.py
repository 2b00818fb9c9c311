"""Measures that only the bench can give: without the reading it is 'cannot tell', never a pass."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from cagewright.check.bench import QUANTITIES, Gauged, GaugedValue, reading
from cagewright.check.findings import Location
from cagewright.check.readings import Amount, Measure, Per, Taken, YesNo, at, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import chosen, feet_of, joints_between
from cagewright.shape.types import Cage, Joint, Member, member_named, mounts_of

Items = Iterable[tuple[Location, tuple[str, ...]]]
"""Each spot with the names under which its reading may stand."""
LUG = ("lug thickness", "lug width", "pin size")
SLEEVE = ("sleeve length", "sleeve wall")
_KINDS: Mapping[tuple[str, ...], set[str]] = {SLEEVE: {"double lug"}, LUG: {"sleeve", "tapered sleeve"}}
"""Kinds of couplings that are left when the other kind is taken out."""
_OF_COUPLING = {
    "lug thickness": "thickness", "lug width": "width", "pin size": "bolt", "sleeve length": "length",
    "sleeve wall": "thickness",
}  # fmt: skip
"""What of a coupling each reading is of."""


def bent(cage: Cage, rule: Rule, bench: Gauged) -> Items:
    """The chosen members that have bends."""
    del bench
    return [_member(m) for m in chosen(cage, rule) if m.bends]


def every_member(cage: Cage, rule: Rule, bench: Gauged) -> Items:
    """The chosen members."""
    del bench
    return [_member(m) for m in chosen(cage, rule)]


def _member(member: Member) -> tuple[Location, tuple[str, ...]]:
    return Location(members=(member.name,)), (member.name, member.tube_name)


def removable(other: tuple[str, ...]) -> Callable[[Cage, Rule, Gauged], Items]:
    """The chosen removable members, but for those whose joint is, or was read to be, of another kind."""

    def choose(cage: Cage, rule: Rule, bench: Gauged) -> Items:
        return [
            _member(m)
            for m in chosen(cage, rule)
            if m.removable
            and not any(reading(bench, quantity, m.name) is not None for quantity in other)
            and (not (kinds := {c.kind for c in m.couplings if c.parts}) or kinds & _KINDS[other])
        ]

    return choose


def joints(cage: Cage, rule: Rule, bench: Gauged) -> Items:
    """The chosen joints."""
    del bench
    return [
        (Location(members=(j.branch,), joints=(j.name,), point=at(j.point)), (j.name,))
        for j in joints_between(cage, rule)
    ]


def seat_mounts(cage: Cage, rule: Rule, bench: Gauged) -> Items:
    """The places where a seat is fixed."""
    del rule, bench
    mounts = [m for m, kind in mounts_of(cage) if kind == "seat"]
    return [(Location(part=f"seat mount {m.name}", point=at(m.point)), (m.name,)) for m in mounts]


def feet(cage: Cage, rule: Rule, bench: Gauged) -> Items:
    """The chosen feet."""
    del bench
    return [
        (Location(feet=(f.name,), members=f.members, point=at(f.point)), (f.name,))
        for f in feet_of(cage, rule.feet_of)
    ]


def read_off(
    quantity: str, choose: Callable[[Cage, Rule, Gauged], Items]
) -> Callable[[Cage, Rule, Gauged], Taken]:
    """A measure that looks up one bench quantity for every chosen item."""

    def take(cage: Cage, rule: Rule, bench: Gauged) -> Taken:
        asked = ((s, reading(bench, quantity, *n), s.members) for s, n in choose(cage, rule, bench))
        read = ((s, planned(cage, quantity, m) if v is None else v) for s, v, m in asked)
        if QUANTITIES[quantity].sort is None:
            return tuple(_answer(quantity, spot, value) for spot, value in read)
        return tuple(_amount(quantity, spot, value) for spot, value in read)

    return take


def planned(cage: Cage, quantity: str, members: tuple[str, ...]) -> float | None:
    """The least that the plan says of it for the couplings of a member; None where it says nothing."""
    key = _OF_COUPLING.get(quantity)
    if key is None:
        return None
    kinds = _KINDS[SLEEVE] if quantity in LUG else _KINDS[LUG]
    found = [
        getattr(c, key) for m in cage.members if m.name in members for c in m.couplings if c.kind in kinds
    ]
    return min(found, default=None)


def _amount(quantity: str, spot: Location, value: GaugedValue | None) -> Amount:
    if value is None:
        return unknown(
            spot, f"{quantity}: not measured", f"measure the {quantity}: {QUANTITIES[quantity].how}"
        )
    return exact(spot, float(value))


def _answer(quantity: str, spot: Location, value: GaugedValue | None) -> YesNo:
    if value is None:
        why, advice = f"{quantity}: not looked at", f"look at each weld: {QUANTITIES[quantity].how}"
        return YesNo(spot=spot, holds=None, text="", why=why, advice=advice)
    return YesNo(
        spot=spot, holds=bool(value), text="yes" if value else "no", advice=f"make it so: {quantity}"
    )


def welded_round(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether each chosen joint's weld is all round: not stated open, and, once made, looked at.

    A weld that nobody has looked at cannot be told, and says so where no torch gets all round it as planned.
    """
    return tuple(
        _open(joint, spot) if _is_open(cage, joint) else _looked_at(joint, spot, bench)
        for joint, (spot, _) in zip(joints_between(cage, rule), joints(cage, rule, bench), strict=True)
    )


def _is_open(cage: Cage, joint: Joint) -> bool:
    return any(end.open for end in member_named(cage, joint.branch).ends if end.which == joint.which)


def _open(joint: Joint, spot: Location) -> YesNo:
    advice = f"weld {joint.branch} all round there, or take 'open' off its weld in the plan"
    return YesNo(spot=spot, holds=False, text="the plan leaves part of the weld out", advice=advice)


def _looked_at(joint: Joint, spot: Location, bench: Gauged) -> YesNo:
    read = reading(bench, ROUND, joint.name)
    out_of_reach = bench.unreached.get(joint.name, "")
    if read is not None or not out_of_reach:
        return _answer(ROUND, spot, read)
    why = f"no torch gets all round it as planned; {ROUND}: not looked at"
    return YesNo(spot=spot, holds=None, text="", why=why, advice=out_of_reach)


ROUND = "welds all round"


def _measure(
    quantity: str, per: Per, choose: Callable[[Cage, Rule, Gauged], Items], passes: str, fails: str,
    more: str = "", less: str = "",
) -> Measure:  # fmt: skip
    needs = {"joint": ("joints_of",), "foot": ("feet_of",), "seat": ()}.get(per, ("members",))
    return Measure(
        name=quantity,
        per=per,
        sort=QUANTITIES[quantity].sort,
        needs=needs,
        takes=("joints_on",) if per == "joint" else (),
        meaning=f"{OR_PLAN if quantity in _OF_COUPLING else BENCH}: {QUANTITIES[quantity].how}.",
        passes=passes,
        fails=fails,
        more=more,
        less=less,
        take=read_off(quantity, choose),
    )


BENCH = "Read on the bench"
OR_PLAN = f"{BENCH}, or as the plan has its coupling"
BEND_AGAIN = "bend {what} again with a mandrel or a better fitting die: {by} too flat"
MEASURES = (
    _measure("ovality", "member", bent, "0.90 against at least 0.9", "0.89 against at least 0.9", BEND_AGAIN),
    _measure(
        "straightness", "member", every_member, "2 mm bow against at most 3 mm", "4 mm against the same",
        less="straighten {what} by {by}",
    ),
    _measure(
        "inspection hole", "member", every_member, "a 5 mm hole against at least 1/8 in",
        "a 2 mm hole against at least 1/8 in", "open the hole in {what} by {by}",
        "the hole in {what} is {by} too large",
    ),
    Measure(
        name=ROUND, per="joint", sort=None, needs=("joints_of",), takes=("joints_on",), take=welded_round,
        meaning=(
            f"Read on the bench: {QUANTITIES[ROUND].how}. A weld that the plan states open is not; one that "
            "no torch gets all round in the order planned is asked for by name."
        ),
        passes="every weld closes on itself", fails="a gap left behind a pillar, or a weld stated open",
    ),
    _measure("welds without cracks", "joint", joints, "no crack seen", "a crack at a stop"),
    _measure(
        "undercut", "joint", joints, "0.1 mm against at most 0.01 in", "0.5 mm against at most 0.01 in",
        less="dress and fill the undercut at {what}: {by} too deep",
    ),
    _measure(
        "padding thickness", "member", every_member, "25 mm against at least 12 mm", "10 mm against the same",
        "pad {what} {by} thicker", "pad {what} {by} thinner",
    ),
    _measure(
        "cover plate", "member", every_member, "1.5 mm against at least 0.0478 in", "0.9 mm against the same",
        "cover {what} with plate {by} thicker", "cover {what} with plate {by} thinner",
    ),
    _measure(
        "foot gussets", "foot", feet, "one gusset against at least 1", "none against at least 1",
        "weld {by} more gussets to {what}", "{what} has {by} gussets too many",
    ),
    _measure(
        "edge distance", "foot", feet, "1.6 bolt sizes against at least 1.5", "1.2 against the same",
        "make the plate at {what} larger or move the hole in: {by} of the bolt's size short",
    ),
    _measure(
        "lug thickness", "member", removable(SLEEVE), "5 mm against at least 4.5 mm", "4 mm against the same",
        "make the lugs of {what} {by} thicker",
    ),
    _measure(
        "lug width", "member", removable(SLEEVE), "25 mm against at least 25 mm", "20 mm against the same",
        "make the lugs of {what} {by} wider",
    ),
    _measure(
        "pin size", "member", removable(SLEEVE), "10 mm against at least 10 mm", "8 mm against the same",
        "fit a pin {by} larger to {what}",
    ),
    _measure(
        "sleeve length", "member", removable(LUG), "80 mm against at least 75 mm", "60 mm against the same",
        "make the sleeve of {what} {by} longer",
    ),
    _measure(
        "sleeve wall", "member", removable(LUG), "2.0 mm against at least 2.0 mm", "1.6 mm against the same",
        "make the sleeve of {what} {by} thicker",
    ),
    _measure(
        "seat plate area", "seat", seat_mounts, "45 cm2 against at least 40 cm2", "35 cm2 against the same",
        "make the plate at the {what} {by} larger",
    ),
    _measure(
        "seat plate thickness", "seat", seat_mounts, "3 mm against at least 3 mm", "2 mm against the same",
        "make the plate at the {what} {by} thicker",
    ),
    _measure(
        "proof travel", "member", every_member, "40 mm against at most 50 mm", "55 mm against at most 50 mm",
        less="stiffen {what}: it gives {by} too much at the proof load",
    ),
    _measure(
        "carbon", "member", every_member, "0.20 % against at most 0.3 %", "0.35 % against at most 0.3 %",
        less="make {what} from a steel with {by} less carbon",
    ),
    _measure(
        "manganese", "member", every_member, "1.5 % against at most 1.7 %", "1.9 % against at most 1.7 %",
        less="make {what} from a steel with {by} less manganese",
    ),
    _measure(
        "other elements", "member", every_member, "0.4 % against at most 0.6 %", "1.0 % against the same",
        less="make {what} from an unalloyed steel: {by} too much of one element",
    ),
)  # fmt: skip
