"""What holds for every change of a plan: undone it is gone; named by its mirror it is the same."""

import math

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from cagewright.base.curves import sample
from cagewright.base.problems import ProblemsFound
from cagewright.change.apply import apply
from cagewright.change.before import Before
from cagewright.change.both_sides import paired_again, written_out
from cagewright.plan.changes import ChangeEntry
from cagewright.plan.types import AtCoordinates, OnMember
from cases import cases
from pushed import demo

PLAN = demo()[0]
MEMBERS = sorted(PLAN.members)
MIRRORED = sorted(n for n, e in PLAN.members.items() if e.mirror)
STEP = st.floats(-200.0, 200.0).map(lambda v: round(v, 2))


def changed(plan, **change):
    return apply(plan, ChangeEntry.model_validate(change)).plan


def movable(place):
    return isinstance(place, AtCoordinates) or (
        isinstance(place, OnMember) and place.along is None and place.part is None
    )


def spots(kind=(AtCoordinates, OnMember)):
    """Members with the numbers of their places that can move by a step."""
    return [
        (n, i + 1)
        for n in MEMBERS
        for i, p in enumerate(PLAN.members[n].path)
        if movable(p) and isinstance(p, kind)
    ]


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


@given(spot=st.sampled_from(spots(AtCoordinates)), by=st.tuples(STEP, STEP, STEP))
def test_a_move_there_and_back_is_no_move(spot, by):
    name, place = spot
    there = changed(PLAN, move={"members": name, "places": place, "by": by})
    back = changed(there, move={"members": name, "places": place, "by": [-v for v in by]})
    assert close(back, PLAN)
    assert {k: v for k, v in there.members.items() if k != name} == {
        k: v for k, v in PLAN.members.items() if k != name
    }


@settings(max_examples=30)
@given(spot=st.sampled_from(spots(OnMember)), by=st.tuples(STEP, STEP, STEP))
def test_a_place_on_a_member_slides_as_near_as_its_host_lets_it(spot, by):
    name, place = spot
    before = Before(plan=PLAN)
    was = PLAN.members[name].path[place - 1]
    asked = before.at(was) + np.array(by)
    moved = changed(PLAN, move={"members": name, "places": place, "by": by})
    now = np.linalg.norm(before.at(moved.members[name].path[place - 1]) - asked)
    host = sample(before.path(was.on), sagitta=0.01)
    starts, ways = host[:-1], np.diff(host, axis=0)
    share = np.clip(((asked - starts) * ways).sum(axis=1) / (ways**2).sum(axis=1), 0.0, 1.0)
    least = np.linalg.norm(starts + share[:, None] * ways - asked, axis=1).min()
    assert now <= np.hypot(least, 1.1) + 0.02  # it is said to the nearest mark of the tape


@given(name=st.sampled_from(MIRRORED), by=st.tuples(STEP, STEP, STEP), data=st.data())
def test_naming_the_mirror_is_the_same_change_seen_in_it(name, by, data):
    places = [i for n, i in spots() if n == name]
    place = data.draw(st.sampled_from(places))
    own = changed(PLAN, move={"members": name, "places": place, "by": by})
    twin = changed(
        PLAN, move={"members": PLAN.members[name].mirror, "places": place, "by": [by[0], -by[1], by[2]]}
    )
    assert close(own, twin)


def test_half_way_between_two_marks_both_sides_come_to_the_same():
    own = changed(PLAN, move={"members": "roof_left", "places": 1, "by": [0.0, 2.45, 0.0]})
    twin = changed(PLAN, move={"members": "roof_right", "places": 1, "by": [0.0, -2.45, 0.0]})
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
    entry = PLAN.members[name].model_dump(exclude_defaults=True)
    feet = {foot: PLAN.feet[foot] for foot in PLAN.feet if foot not in rest.feet}
    add = {"members": {name: entry}, "feet": feet, **({"before": after[0]} if after else {})}
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
