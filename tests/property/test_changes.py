"""What holds for every change of a plan: undone it is gone; named by its mirror it is the same."""

import math

from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.problems import ProblemsFound
from cagewright.change.apply import apply
from cagewright.change.both_sides import paired_again, written_out
from cagewright.plan.alternatives import ChangeEntry
from cagewright.plan.types import AtCoordinates, OnMember
from cases import cases
from pushed import demo

PLAN = demo()[0]
MEMBERS = sorted(PLAN.members)
MIRRORED = sorted(n for n, e in PLAN.members.items() if e.mirror)
STEP = st.floats(-200.0, 200.0).map(lambda v: round(v, 2))


def changed(plan, **change):
    return apply(plan, ChangeEntry.model_validate(change))


def movable(place):
    return isinstance(place, AtCoordinates) or (
        isinstance(place, OnMember) and place.along is None and place.part is None
    )


def spots():
    """Members with the numbers of their places that can move by a step."""
    return [(n, i + 1) for n in MEMBERS for i, p in enumerate(PLAN.members[n].path) if movable(p)]


def close(one, other):
    """Whether two plans differ by rounding only."""
    return near(one.model_dump(), other.model_dump())


def near(a, b):
    if isinstance(a, float) and isinstance(b, float):
        return math.isclose(a, b, abs_tol=1e-9)
    if isinstance(a, dict):
        return a.keys() == b.keys() and all(near(a[k], b[k]) for k in a)
    if isinstance(a, list | tuple):
        return len(a) == len(b) and all(near(x, y) for x, y in zip(a, b, strict=True))
    return a == b


@given(spot=st.sampled_from(spots()), by=st.tuples(STEP, STEP, STEP))
def test_a_move_there_and_back_is_no_move(spot, by):
    name, place = spot
    there = changed(PLAN, move={"members": name, "places": place, "by": by})
    back = changed(there, move={"members": name, "places": place, "by": [-v for v in by]})
    assert close(back, PLAN)
    assert {k: v for k, v in there.members.items() if k != name} == {
        k: v for k, v in PLAN.members.items() if k != name
    }


@given(name=st.sampled_from(MIRRORED), by=st.tuples(STEP, STEP, STEP), data=st.data())
def test_naming_the_mirror_is_the_same_change_seen_in_it(name, by, data):
    places = [i for n, i in spots() if n == name]
    place = data.draw(st.sampled_from(places))
    own = changed(PLAN, move={"members": name, "places": place, "by": by})
    twin = changed(
        PLAN, move={"members": PLAN.members[name].mirror, "places": place, "by": [by[0], -by[1], by[2]]}
    )
    assert close(own, twin)


@given(name=st.sampled_from(MEMBERS))
def test_removed_with_its_dependents_nothing_refers_to_it(name):
    plan = changed(PLAN, remove={"names": name, "dependents": True})
    entry = PLAN.members[name]
    text = plan.model_dump_json(exclude={"points", "feet"})
    for gone in (name, entry.mirror):
        assert gone is None or f'"{gone}"' not in text
    assert set(plan.members) < set(PLAN.members)


@given(name=st.sampled_from(MEMBERS))
def test_removed_and_put_back_it_is_the_same_plan(name):
    if "rests-on-it" in refused(name):
        return
    rest = changed(PLAN, remove=name)
    after = list(PLAN.members)[list(PLAN.members).index(name) + 1 :]
    add = {"members": {name: PLAN.members[name]}, **({"before": after[0]} if after else {})}
    assert changed(rest, add=add) == PLAN


def refused(name):
    try:
        changed(PLAN, remove=name)
    except ProblemsFound as found:
        return str(found)
    return ""


@settings(max_examples=cases(25))
@given(names=st.lists(st.sampled_from(MEMBERS), max_size=4, unique=True))
def test_both_sides_one_after_the_other_are_both_sides_at_once(names):
    plan, both = PLAN, PLAN
    for name in names:
        wall = {"wall": 2.0}
        both = changed(both, size={"members": name, **wall})
        for side in (name, PLAN.members[name].mirror):
            if side:
                plan = changed(plan, size={"members": side, "one_side": True, **wall})
    assert written_out(plan) == written_out(both)


def test_pairing_again_undoes_writing_out():
    assert close(paired_again(written_out(PLAN), PLAN), PLAN)
