"""What a row that asks for feet says of a rail welded to the shell along its length: it cannot be told."""

from __future__ import annotations

from cagewright.check.findings import Location
from cagewright.check.readings import Measure, Taken, YesNo, unknown
from cagewright.check.rules import Rule
from cagewright.check.select import held_rails
from cagewright.shape.types import Cage

NO_PLATE = "a rail is welded to the shell along its length, and the row asks for feet with plates"
ASK = "ask the scrutineer whether a rail that is welded along its length counts as feet"


def on_rails(cage: Cage, rule: Rule, measure: Measure) -> Taken:
    """For a measure of feet, a reading of each rail that stands in for some: it neither passes nor fails."""
    if measure.per != "foot":
        return ()
    spots = [Location(members=(rail.name,)) for rail in held_rails(cage, rule.feet_of)]
    if measure.sort is None:
        return tuple(YesNo(spot=spot, holds=None, text="", why=NO_PLATE, advice=ASK) for spot in spots)
    return tuple(unknown(spot, NO_PLATE, ASK) for spot in spots)
