"""FIA Appendix J Article 253-8.3.2.1.2, crossed doorbars (from memory, unchecked)."""

from __future__ import annotations

from cagewright.check.attitude import side_of
from cagewright.check.bench import Gauged
from cagewright.check.clauses.clause import Clause
from cagewright.check.findings import Location
from cagewright.check.readings import YesNo
from cagewright.check.rules import Rule
from cagewright.check.select import chosen
from cagewright.shape.types import Cage, Joint


def doorbars_crossed(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """For each side whose doorbars meet each other: whether one arm of the cross runs through in one piece.

    Doorbars meet in a cross where two of them, or more, are cut on a third away from its ends.
    """
    del bench
    doorbars = chosen(cage, rule)
    names = {m.name for m in doorbars}
    met = [j for j in cage.joints if j.branch in names and names & set(j.mains)]
    return tuple(
        _side(side, on_side)
        for side in ("left", "right")
        if (on_side := [j for j in met if any(m.name == j.branch and side_of(m) == side for m in doorbars)])
    )


def _side(side: str, joints: list[Joint]) -> YesNo:
    cut = {j.branch for j in joints}
    through = {name for j in joints for name in j.mains if name not in cut}
    return YesNo(
        spot=Location(members=tuple(sorted(cut | {name for j in joints for name in j.mains}))),
        holds=bool(through),
        text=f"{side} side: {', '.join(sorted(through))} runs through"
        if through
        else f"{side} side: every arm is cut",
        limit="one arm of the cross in one piece",
        advice="run one arm of the cross through in one piece and cut the other on it",
    )


CLAUSE = Clause(
    name="fia 253 doorbars crossed",
    meaning="Where the doorbars of a side meet each other, one arm of the cross runs through in one piece.",
    passes="one doorbar through, the other in two pieces cut on it",
    fails="both arms of the cross cut on each other",
    take=doorbars_crossed,
)
