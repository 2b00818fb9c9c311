"""Twins across the centre plane: what an entry with a mirror names becomes that thing's mirror."""

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.base.vectors import mirrored
from cagewright.plan.types import CutOn
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from small_plans import HOOP_FEET, hoop, plan

FEET = {
    **HOOP_FEET,
    "front": {"at": [-900, -600, 190], "on": "box", "plate": [90, 80, 3], "mirror": "front_right"},
    "back": {
        "at": [600, -400, 500],
        "on": "turret",
        "plate": [90, 80, 3],
        "normal": [-0.4, 0.2, 0.9],
        "mirror": "back_right",
    },
}


def saloon(**more):
    members = {
        "hoop": hoop(),
        "leg": {
            "role": "lateral half-rollbar",
            "tube": "bar",
            "mirror": "leg_right",
            "path": [
                {"foot": "front"},
                [-890, -600, 800],
                [-600, -520, 1190],
                {"on": "hoop", "across": -400},
            ],
        },
        "stay": {
            "role": "backstay",
            "tube": "bar",
            "mirror": "stay_right",
            "path": [{"on": "hoop", "up": 1000, "side": "left"}, {"foot": "back"}],
        },
        "bar": {
            "role": "doorbar",
            "tube": "bar",
            "mirror": "bar_right",
            "path": [{"on": "leg", "up": 500}, {"on": "hoop", "along": 330}],
        },
        **more.pop("members", {}),
    }
    return resolve(plan(members, feet=FEET, **more))


def test_twins_stand_right_behind_their_originals():
    cage = saloon()
    names = ["hoop", "leg", "leg_right", "stay", "stay_right", "bar", "bar_right"]
    assert [m.name for m in cage.members] == names
    assert [m.mirror_of for m in cage.members][:3] == [None, None, "leg"]


@pytest.mark.parametrize("name", ["leg", "stay", "bar"])
def test_a_twin_is_the_mirror_image_in_the_same_order(name):
    cage = saloon()
    one, two = member_named(cage, name), member_named(cage, f"{name}_right")
    assert two.path.pieces[0].start == pytest.approx(mirrored(one.path.pieces[0].start))
    assert two.path.pieces[-1].stop == pytest.approx(mirrored(one.path.pieces[-1].stop))
    assert two.length == pytest.approx(one.length, abs=1e-9)
    assert [b.angle for b in two.bends] == pytest.approx([b.angle for b in one.bends])
    assert [b.clocking for b in two.bends] == pytest.approx([-b.clocking for b in one.bends], abs=1e-9)
    for a, b in zip(one.ends, two.ends, strict=True):
        assert b.trim == pytest.approx(a.trim, abs=1e-9)
        assert b.clocking == pytest.approx(-a.clocking, abs=1e-9)
        if a.joint:
            assert b.cut.outside == pytest.approx(np.roll(a.cut.outside[::-1], 1), abs=1e-9)


def test_along_on_a_main_that_crosses_the_car_counts_from_its_other_end():
    joints = {j.name: j for j in saloon().joints}
    hoop_length = saloon().members[0].path.length
    assert joints["bar.end"].along == pytest.approx((330.0,))
    assert joints["bar_right.end"].along == pytest.approx((hoop_length - 330.0,))


def test_a_twin_lands_on_the_twin():
    joints = {j.name: j for j in saloon().joints}
    assert joints["bar_right.start"].mains == ("leg_right",)


def test_feet_mirror_their_normals_and_know_their_members():
    feet = {f.name: f for f in saloon().feet}
    assert feet["back_right"].normal == pytest.approx(mirrored(feet["back"].normal))
    assert feet["back_right"].members == ("stay_right",)
    assert feet["left"].members == ("hoop",)
    assert feet["back"].contact == pytest.approx(90 * 80)


def test_a_foot_without_a_mirror_is_told():
    members = {
        "strut": {
            "role": "diagonal",
            "tube": "bar",
            "mirror": "strut_right",
            "path": [{"on": "hoop", "across": -150}, {"foot": "left"}],
        }
    }
    with pytest.raises(ProblemsFound) as caught:
        saloon(members=members)
    assert {p.code for p in caught.value.problems} == {"no-mirror"}


def test_a_foot_on_the_centre_plane_is_its_own_mirror():
    members = {
        "strut": {
            "role": "diagonal",
            "tube": "bar",
            "mirror": "strut_right",
            "path": [{"on": "hoop", "across": -150}, {"foot": "tunnel"}],
        }
    }
    FEET["tunnel"] = {"at": [500, 0, 300], "on": "floor", "plate": [90, 80, 3]}
    try:
        cage = saloon(members=members)
    finally:
        del FEET["tunnel"]
    assert next(f for f in cage.feet if f.name == "tunnel").members == ("strut", "strut_right")
    # both end at one spot: the later is cut on the earlier, and stands on the plate too
    end = member_named(cage, "strut_right").ends[1]
    assert end.foot == "tunnel"
    assert end.cut.mains == ("strut",)
    assert member_named(cage, "strut").ends[1].joint is None


def test_plates_gussets_and_lines_have_twins():
    cage = saloon(
        plates={
            "corner": {
                "corners": [
                    {"on": "hoop", "across": -300},
                    {"on": "hoop", "across": -200},
                    [200, -250, 1100],
                ],
                "thickness": 2,
                "mirror": "corner_right",
            }
        },
        gussets={"top": {"between": ["hoop", "leg"], "leg": 80, "thickness": 1.5, "mirror": True}},
        shell={"lines": {"rail": {"path": [[0, -600, 1200], [500, -610, 1210]], "mirror": "rail_right"}}},
    )
    assert [p.name for p in cage.plates] == ["corner", "corner_right"]
    assert cage.plates[1].corners == pytest.approx(mirrored(cage.plates[0].corners))
    assert cage.plates[1].members == ("hoop",)
    assert [g.between for g in cage.gussets] == [("hoop", "leg"), ("hoop", "leg_right")]
    assert cage.gussets[0].point == pytest.approx(next(j.point for j in cage.joints if j.name == "leg.end"))
    assert cage.gussets[1].point == pytest.approx(mirrored(cage.gussets[0].point))
    assert cage.lines[1].points == pytest.approx(mirrored(cage.lines[0].points))


def test_what_is_wrong_on_both_sides_is_told_once():
    members = {
        "through": {
            "role": "diagonal",
            "tube": "bar",
            "mirror": "through_right",
            "path": [{"on": "hoop", "up": 260, "side": "left"}, [-500, -600, 400]],
        }
    }
    with pytest.raises(ProblemsFound) as caught:
        saloon(members=members)
    assert [p.code for p in caught.value.problems] == ["free-end"]


def test_a_twins_cut_names_the_twins():
    from cagewright.shape.drafts import drafts_of, twins_of
    from cagewright.shape.located import in_plan

    p = plan(
        {
            "hoop": hoop(),
            "leg": {
                "role": "diagonal",
                "tube": "bar",
                "mirror": "leg_right",
                "path": [[1, 2, 3], [4, 5, 6]],
                "cut": {"start": ["hoop", "leg_right"]},
            },
        },
        feet=FEET,
    )
    drafts, _ = drafts_of(p, twins_of(p), {}, in_plan)
    assert drafts[2].entry.cut == CutOn(start=("hoop", "leg"))
