"""Places: three numbers, named points, feet, and on other members."""

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.plan.types import AtPoint, OnMember
from cagewright.shape.places import ground_of, spot
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from small_plans import HOOP_FEET, hoop, plan


def stay(first, **more):
    """The start of a backstay placed so on the hoop."""
    p = plan(
        {"hoop": hoop(), "stay": ("bar", [first, {"foot": "back"}])},
        feet={**HOOP_FEET, "back": [500, -300, 250]},
        **more,
    )
    return member_named(resolve(p), "stay").path.pieces[0].start


def refused(first, **more):
    with pytest.raises(ProblemsFound) as caught:
        stay(first, **more)
    return caught.value.problems


def test_by_across_on_the_top():
    assert stay({"on": "hoop", "across": -300}) == pytest.approx([0, -300, 1240])


def test_by_up_on_the_side_it_says():
    left = stay({"on": "hoop", "up": 450, "side": "left"})
    assert left == pytest.approx([0, -640, 450])


def test_by_up_on_the_leaning_leg_is_linear():
    at = stay({"on": "hoop", "up": 900, "side": "left"})
    assert at == pytest.approx([0, -640 + 140 * 200 / 540, 900])


def test_near_picks_the_nearest_of_several():
    assert stay({"on": "hoop", "up": 450, "near": [0, -600, 400]})[1] == pytest.approx(-640)


def test_near_may_be_a_named_point():
    points = {"sill": {"at": [0, -650, 200], "mirror": "sill_right"}}
    assert stay({"on": "hoop", "up": 450, "near": "sill"}, points=points)[1] == pytest.approx(-640)


def test_along_counts_from_the_first_end():
    assert stay({"on": "hoop", "along": 250}) == pytest.approx([0, -640, 450])


def test_part_of_a_symmetric_hoop_is_its_middle():
    p = plan(
        {"hoop": hoop(), "stay": ("bar", [{"on": "hoop", "part": 0.5}, {"foot": "back"}])},
        feet={**HOOP_FEET, "back": [500, 0, 600]},
    )
    assert resolve(p).members[1].path.pieces[0].start == pytest.approx([0, 0, 1240])


def test_a_bend_is_on_the_arc_not_on_the_corner():
    at = stay({"on": "hoop", "up": 1220, "side": "left"})
    hoop_path = resolve(plan({"hoop": hoop()}, feet=HOOP_FEET)).members[0].path
    arc = hoop_path.pieces[3]
    assert np.linalg.norm(at - arc.centre) == pytest.approx(135.0)


def test_point_with_offset_and_its_mirror():
    p = plan(
        {"brace": ("bar", [{"foot": "a"}, {"point": "waist_right", "offset": [10, 0, 0]}, {"foot": "b"}])},
        feet={"a": [0, 500, 0], "b": {"at": [600, 600, 0], "on": "rigid", "plate": [9, 9, 3]}},
        points={"waist": {"at": [300, -550, 400], "mirror": "waist_right"}},
    )
    assert resolve(p).members[0].bends[0].apex == pytest.approx([310, 550, 400])


@pytest.mark.parametrize(
    ("place", "code"),
    [
        ({"on": "hoop", "up": 1300}, "no-such-place"),
        ({"on": "hoop", "up": 450}, "place-ambiguous"),
        ({"on": "hoop", "up": 1240}, "place-ambiguous"),
        ({"on": "hoop", "across": -300, "side": "right"}, "no-such-place"),
        ({"on": "hoop", "along": 5000}, "no-such-place"),
        ({"on": "hop", "across": 0}, "unknown-member"),
        ({"point": "nowhere"}, "unknown-point"),
        ({"foot": "nowhere"}, "unknown-foot"),
    ],
)
def test_what_cannot_be_found(place, code):
    assert [p.code for p in refused(place)] == [code]


def test_the_nearest_word_is_offered():
    assert refused({"on": "hop", "across": 0})[0].nearest == "hoop"


def test_every_problem_is_told_at_once_and_what_rests_on_them_is_not():
    p = plan(
        {
            "hoop": hoop(path=[{"foot": "left"}, [0, -640, 200], [0, 640, 1200], {"foot": "right"}]),
            "stay": ("bar", [{"on": "hoop", "across": -300}, {"foot": "back"}]),
            "bar": ("bar", [{"on": "nothing", "part": 0.5}, {"foot": "gone"}]),
        },
        feet={**HOOP_FEET, "back": [500, -300, 250]},
    )
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    assert sorted(x.code for x in caught.value.problems) == [
        "unknown-foot",
        "unknown-member",
        "zero-straight",
    ]


def test_where_is_asked_for_the_place():
    asked = []

    def where(path):
        asked.append(path)
        from cagewright.base.problems import Where

        return Where(file="x.yaml", line=len(path))

    p = plan({"hoop": hoop(path=[{"foot": "left"}, {"point": "gone"}, {"foot": "right"}])}, feet=HOOP_FEET)
    with pytest.raises(ProblemsFound) as caught:
        resolve(p, where)
    assert asked == [("members", "hoop", "path", 1)]
    assert str(caught.value.problems[0].where) == "x.yaml:4:0"


def test_members_that_rest_on_each_other():
    p = plan(
        {
            "a": ("bar", [{"on": "b", "part": 0.5}, {"foot": "left"}]),
            "b": ("bar", [{"on": "a", "part": 0.5}, {"foot": "right"}]),
        },
        feet=HOOP_FEET,
    )
    with pytest.raises(ProblemsFound) as caught:
        resolve(p)
    assert {x.code for x in caught.value.problems} == {"circular"}
    assert "'a' is placed on b" in caught.value.problems[0].found


def test_a_place_can_be_found_on_a_finished_cage():
    p = plan({"hoop": hoop()}, feet=HOOP_FEET, points={"sill": {"at": [1, -2, 3], "mirror": "sill_right"}})
    ground = ground_of(p, resolve(p))
    assert spot(OnMember(on="hoop", across=-300), ground, ()) == pytest.approx([0, -300, 1240])
    assert spot(AtPoint(point="sill_right"), ground, ()) == pytest.approx([1, 2, 3])


def test_order_in_the_file_does_not_matter_for_places():
    p = plan(
        {"stay": ("bar", [{"on": "hoop", "across": -300}, {"foot": "back"}]), "hoop": hoop()},
        feet={**HOOP_FEET, "back": [500, -300, 250]},
    )
    cage = resolve(p)
    assert [m.name for m in cage.members] == ["stay", "hoop"]
    assert member_named(cage, "stay").path.pieces[0].start == pytest.approx([0, -300, 1240])
