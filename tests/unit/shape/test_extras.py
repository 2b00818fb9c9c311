"""Plates, gussets and body lines; what the shop's dies cannot do; papers' finer copes."""

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.shape.recut import recut
from cagewright.shape.resolve import resolve, revision
from small_plans import HOOP_FEET, hoop, on_post, plan

STAY_FEET = {**HOOP_FEET, "back": [500, -300, 600]}
STAY = ("bar", [{"on": "hoop", "across": -300}, {"foot": "back"}])
CROSS = ("bar", [{"on": "hoop", "up": 600, "side": "left"}, {"on": "hoop", "up": 600, "side": "right"}])


def codes(p):
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    return [x.code for x in caught.value.problems]


def test_a_gusset_stands_where_its_members_meet():
    p = plan(
        {"hoop": hoop(), "stay": STAY},
        feet=STAY_FEET,
        gussets={"g": {"between": ["stay", "hoop"], "leg": 80, "thickness": 1.5}},
    )
    assert resolve(p).gussets[0].point == pytest.approx([0, -300, 1240])


def test_a_gusset_of_two_meetings_asks_which():
    gusset = {"between": ["hoop", "cross"], "leg": 80, "thickness": 1.5}
    p = plan({"hoop": hoop(), "cross": CROSS}, feet=HOOP_FEET, gussets={"g": gusset})
    assert codes(p) == ["gusset-place"]
    near = plan(
        {"hoop": hoop(), "cross": CROSS}, feet=HOOP_FEET, gussets={"g": {**gusset, "near": [0, 600, 600]}}
    )
    assert resolve(near).gussets[0].point == pytest.approx([0, 640, 600])


def test_a_gusset_of_an_unknown_member():
    gusset = {"between": ["hoop", "stray"], "leg": 80, "thickness": 1.5}
    p = plan({"hoop": hoop(), "stay": STAY}, feet=STAY_FEET, gussets={"g": gusset})
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    assert [(x.code, x.nearest) for x in caught.value.problems] == [("unknown-member", "stay")]


def test_a_plate_knows_the_members_along_its_edges():
    corners = [
        {"on": "hoop", "up": 600, "side": "left"},
        {"on": "hoop", "up": 700, "side": "left"},
        {"on": "stay", "part": 0.5},
    ]
    p = plan(
        {"hoop": hoop(), "stay": STAY}, feet=STAY_FEET, plates={"web": {"corners": corners, "thickness": 2}}
    )
    plate = resolve(p).plates[0]
    assert plate.members == ("hoop",)
    assert plate.corners[2] == pytest.approx([250, -300, 920])


def test_a_plate_on_a_member_that_failed_adds_nothing():
    corners = [{"on": "stay", "part": 0.1}, {"on": "stay", "part": 0.2}, [0, 0, 0]]
    bad = ("bar", [{"on": "hoop", "up": 9000}, {"foot": "back"}])
    p = plan(
        {"hoop": hoop(), "stay": bad}, feet=STAY_FEET, plates={"web": {"corners": corners, "thickness": 2}}
    )
    assert codes(p) == ["no-such-place"]


def test_the_revision_changes_with_anything_the_plan_says():
    p = plan({"hoop": hoop()}, feet=HOOP_FEET)
    assert resolve(p).revision == revision(p)
    assert len(revision(p)) == 10
    assert revision(p) != revision(plan({"hoop": hoop(note="x")}, feet=HOOP_FEET))
    assert revision(p) == revision(plan({"hoop": hoop()}, feet=HOOP_FEET))


def test_a_cope_cut_again_is_the_same_cope():
    cage = resolve(on_post([{"on": "post", "up": 40}, [500, 90, 200]]))
    first = cage.members[1].ends[0].cut
    again = recut(cage, "bar", "start", points=360)
    assert again.outside[::5] == pytest.approx(first.outside, abs=1e-9)
    assert again.inside[::5] == pytest.approx(first.inside, abs=1e-9)
    assert again.mains == first.mains
    assert again.weld_length == pytest.approx(first.weld_length, abs=1e-3)
    assert np.array_equal(again.on[::5], first.on)


def test_only_copes_can_be_cut_again():
    cage = resolve(on_post([{"on": "post", "up": 40}, [500, 90, 200]]))
    with pytest.raises(ValueError, match="not cut on another"):
        recut(cage, "bar", "end", points=72)
    with pytest.raises(KeyError):
        recut(cage, "nobody", "end", points=72)
