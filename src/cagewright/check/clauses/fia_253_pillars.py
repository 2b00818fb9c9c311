"""FIA Appendix J Article 253-8.3.2.1.4, windscreen pillar reinforcements (restated from the text of 2020)."""

from __future__ import annotations

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.check.attitude import SideName, side_of
from cagewright.check.bench import Gauged, reading
from cagewright.check.clauses.clause import Clause
from cagewright.check.findings import Location
from cagewright.check.readings import YesNo
from cagewright.check.rules import Rule
from cagewright.check.select import chosen, members_of
from cagewright.shape.types import Cage, Member

MOST = 200.0
"""mm: a pillar whose dimension A of drawing 253-15 is larger than this must be reinforced."""
WHY = "wanted where dimension A of drawing 253-15 is larger than the limit, and it was not measured"
ASK = "measure dimension A of drawing 253-15 at the front leg and enter it as a bench reading, or reinforce"


def pillars_reinforced(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """For each side with a front leg: whether its pillar is reinforced, or is straight enough not to be."""
    fronts = members_of(cage, ("front rollbar", "lateral rollbar", "lateral half-rollbar"))
    sides: tuple[SideName, ...] = ("left", "right")
    return tuple(_side(side, chosen(cage, rule), fronts, bench, cage.units) for side in sides if fronts)


def _side(
    side: SideName,
    bars: tuple[Member, ...],
    fronts: tuple[Member, ...],
    bench: Gauged,
    units: LengthUnit,
) -> YesNo:
    mine = [m.name for m in bars if side_of(m) == side]
    legs = [m.name for m in fronts if side_of(m) in {side, "middle"}]
    deep = reading(bench, "pillar dimension A", *legs)
    wanted = None if deep is None else float(deep) > MOST
    said = "" if deep is None else f", dimension A {say_length(float(deep), units)}"
    holds = True if mine else (None if wanted is None else not wanted)
    return YesNo(
        spot=Location(members=tuple(mine or legs), part=f"{side} pillar"),
        holds=holds,
        text=(f"{', '.join(mine)}" if mine else "no reinforcement") + said,
        limit="a reinforcement where dimension A is over 200 mm",
        why=WHY if holds is None else "",
        advice=ASK if holds is None else f"reinforce the {side} windscreen pillar",
    )


CLAUSE = Clause(
    name="fia 253 pillars",
    meaning=(
        "Each windscreen pillar has a reinforcement (the row's `members`), or its dimension A of drawing "
        "253-15, read on the bench, is at most 200 mm."
    ),
    passes="a reinforcement on each side",
    fails="none on a side whose dimension A was read as 230 mm",
    take=pillars_reinforced,
)
