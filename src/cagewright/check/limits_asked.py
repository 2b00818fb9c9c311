"""What the rule books ask of a first layout, as plain figures."""

from __future__ import annotations

import math
from collections.abc import Iterable

from cagewright.check.rules import Book, LimitSide, Rule
from cagewright.draft.limits import Limits, Size

AREAS = ("foot contact area", "foot plate area")


def limits_of(books: Iterable[Book]) -> Limits:
    """The strictest of what the books ask, where their rows say it in a figure."""
    rules = [rule for book in books for rule in book.rules]
    usual = Limits()
    legs = max(_least(rules, measure, "main rollbar") for measure in AREAS)
    stays = max(_least(rules, measure, "backstay") for measure in AREAS)
    bolts = (_least(rules, "foot bolts", "main rollbar"), _least(rules, "foot bolts", "backstay"))
    return Limits(
        hoop_sizes=_sizes(rules, "main rollbar"),
        bar_sizes=_sizes(rules, "backstay"),
        radius=max(_least(rules, "bend radius", ""), usual.radius),
        leg_area=max(legs, usual.leg_area),
        stay_area=max(stays, usual.stay_area),
        plate=max(_least(rules, "foot plate thickness", ""), usual.plate),
        stay_angle=max(_least(rules, "angle from vertical", "backstay"), 0.0) or usual.stay_angle,
        door_share=_most(rules, "height in opening") or usual.door_share,
        plate_side=_least(rules, "foot plate shortest side", "main rollbar"),
        stay_plate=_least(rules, "foot plate thickness", "backstay"),
        doorbars=math.ceil(_least(rules, "members per side", "doorbar")),
        posts=math.ceil(_least(rules, "members per side", "doorbar post")),
        doorbar_gussets=_least(rules, "gussets per joint", "doorbar") > 0.0,
        bolts=(math.ceil(bolts[0]), math.ceil(bolts[1])),
    )


def _bounds(rules: Iterable[Rule], measure: str, role: str, kinds: tuple[str, ...]) -> list[LimitSide]:
    return [
        bound
        for rule in rules
        if rule.measure == measure and (not role or role in (*rule.members, *rule.feet_of, *rule.joints_of))
        for bound in rule.bounds
        if bound.kind in kinds
    ]


def _least(rules: Iterable[Rule], measure: str, role: str) -> float:
    return max((b.value for b in _bounds(rules, measure, role, ("at_least", "more_than"))), default=0.0)


def _most(rules: Iterable[Rule], measure: str) -> float:
    return min((b.value for b in _bounds(rules, measure, "", ("at_most", "less_than"))), default=0.0)


def _sizes(rules: Iterable[Rule], role: str) -> tuple[Size, ...]:
    """Sizes that every book which names some allows, the first book's order."""
    named = [
        rule.sizes for rule in rules if rule.measure == "tube size" and role in rule.members and rule.sizes
    ]
    if not named:
        return ()
    first, *others = named
    kept = [
        s for s in first if all(any(s.od >= o.od and s.wall >= o.wall for o in other) for other in others)
    ]
    return tuple((s.od, s.wall) for s in kept or first)
