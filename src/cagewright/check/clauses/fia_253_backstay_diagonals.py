"""FIA Appendix J Article 253-8.3.2.1.1, diagonals between backstays (restated from the text of 2020)."""

from __future__ import annotations

import numpy as np

from cagewright.check.attitude import hoop_normal, tip, top_of
from cagewright.check.bench import Gauged
from cagewright.check.clauses.clause import Clause
from cagewright.check.findings import Location
from cagewright.check.measures.layout import layouts_of
from cagewright.check.readings import YesNo
from cagewright.check.rules import LayoutWord, Rule
from cagewright.check.select import chosen, members_of
from cagewright.shape.types import Cage, Member

WITH_V: tuple[LayoutWord, ...] = ("V",)
ALWAYS: tuple[LayoutWord, ...] = ("single", "cross", "V")


def backstays_braced(cage: Cage, rule: Rule, bench: Gauged) -> tuple[YesNo, ...]:
    """Whether the backstays are braced: a diagonal, a cross, or a V, which a V in the roof wants."""
    del bench
    if not members_of(cage, ("backstay",)):
        return ()
    members = tuple(m for m in chosen(cage, rule) if not _in_a_hoop(cage, m))
    found = layouts_of(cage, members)
    roof = layouts_of(cage, members_of(cage, ("roof reinforcement",)))
    allowed = WITH_V if "V to the rear" in roof else ALWAYS
    limit = "a V, as the roof's V points to the rear (253-22)" if allowed is WITH_V else "single, cross or V"
    return (
        YesNo(
            spot=Location(members=tuple(m.name for m in members), part="between the backstays"),
            holds=bool(set(found) & set(allowed)),
            text=found[0] if found else "none",
            limit=limit,
            advice=f"brace the backstays with {limit}",
        ),
    )


def _in_a_hoop(cage: Cage, member: Member) -> bool:
    """Whether both ends lie in the plane of the main rollbar: its own diagonal, though on a backstay too."""
    ends = np.array([tip(member, "start"), tip(member, "end")])
    for hoop in members_of(cage, ("main rollbar",)):
        normal = hoop_normal(hoop)
        if normal is not None and np.abs((ends - top_of(hoop)) @ normal).max() <= hoop.tube.across:
            return True
    return False


CLAUSE = Clause(
    name="fia 253 backstay diagonals",
    meaning=(
        "The backstays are braced by a diagonal (drawing 253-20), a cross (253-21) or a V (253-22); by a V "
        "where the roof's reinforcement is a V with its point at the main rollbar (253-14)."
    ),
    passes="one diagonal from the foot of one backstay to the top of the other",
    fails="no diagonal between the backstays",
    take=backstays_braced,
)
