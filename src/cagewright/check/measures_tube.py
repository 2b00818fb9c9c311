"""Measures of the tube itself: size, section, steel."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.check.bench import Bench
from cagewright.check.findings import Spot
from cagewright.check.readings import Amount, Answer, Measure, exact, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import members_of
from cagewright.check.sizes import big_enough, say_sizes, say_tube
from cagewright.shape.types import Cage, Member

STEEL_UNKNOWN = "the plan's own steel does not say its make"


def spot_of(member: Member) -> Spot:
    """The whole member."""
    return Spot(members=(member.name,))


def size_answer(cage: Cage, member: Member, holds: bool | None, limit: str, why: str) -> Answer:
    """Whether the member's tube is large enough, with what to do where it is not."""
    found = say_tube(member.tube, cage.units)
    return Answer(
        spot=spot_of(member),
        holds=holds,
        text=found,
        limit=limit,
        why=why,
        advice=f"make {member.name} (tube '{member.tube_name}', {found}) from {limit} or larger",
    )


def tube_size(cage: Cage, rule: Rule, bench: Bench) -> tuple[Answer, ...]:
    """Whether each member's OD and wall both reach one of the listed sizes."""
    del bench
    answers: list[Answer] = []
    for member in members_of(cage, rule.terms.members):
        holds = big_enough(member.tube, rule.terms.sizes)
        why = STEEL_UNKNOWN if holds is None else ""
        answers.append(size_answer(cage, member, holds, say_sizes(rule.terms.sizes), why))
    return tuple(answers)


def of_tube(value: Callable[[Member], float]) -> Callable[[Cage, Rule, Bench], tuple[Amount, ...]]:
    """A measure that reads one figure off every chosen member's tube."""

    def take(cage: Cage, rule: Rule, bench: Bench) -> tuple[Amount, ...]:
        del bench
        return tuple(exact(spot_of(m), value(m)) for m in members_of(cage, rule.terms.members))

    return take


def steel_yield(cage: Cage, rule: Rule, bench: Bench) -> tuple[Amount, ...]:
    """Yield strength promised by each member's steel, MPa."""
    del bench
    return tuple(
        unknown(spot_of(m), f"no yield strength is promised for {m.tube.steel.name}", "get the mill sheet")
        if m.tube.steel.yield_strength is None
        else exact(spot_of(m), m.tube.steel.yield_strength)
        for m in members_of(cage, rule.terms.members)
    )


MEASURES = (
    Measure(
        name="tube size",
        per="member",
        sort=None,
        needs=("members", "sizes"),
        meaning="Outside diameter and wall, both at least those of any one of the listed sizes (nominal).",
        passes="50 x 2.0 mm against '45 x 2.5 mm' or '50 x 2.0 mm'",
        fails="48.3 x 2.0 mm against the same: large enough for neither wall nor diameter",
        own_limit=True,
        take=tube_size,
    ),
    Measure(
        name="yield strength",
        per="member",
        sort="stress",
        needs=("members",),
        meaning="Least yield strength (ReH or Rp0.2) that the steel's standard promises.",
        passes="355 N/mm2 against at least 350",
        fails="235 N/mm2 against at least 350",
        more="make {what} from a steel that promises {limit}",
        less="make {what} from a steel with no more than {limit}",
        take=steel_yield,
    ),
)
