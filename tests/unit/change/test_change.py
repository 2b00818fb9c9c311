"""Changes to a plan: what each does, what it leaves alone, and what it refuses and why."""

import numpy as np
import pytest

from cagewright.base.curves import point_at, sample
from cagewright.base.problems import ProblemsFound
from cagewright.change.apply import apply
from cagewright.change.both_sides import written_out
from cagewright.plan.changes import ChangeEntry
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from edited import EXAMPLES, changed_lines, edit, opened
from pushed import demo


def changed(*changes, plan=None):
    plan = plan or demo()[0]
    for change in changes:
        plan = apply(plan, ChangeEntry.model_validate(change)).plan
    return plan


def problem(change, plan=None):
    with pytest.raises(ProblemsFound) as found:
        changed(change, plan=plan)
    return found.value.problems[0]


def names(plan):
    return {m.name for m in resolve(plan).members}


def line(cage, name):
    return sample(next(m for m in cage.members if m.name == name).path)


def test_a_change_leaves_the_first_plan_as_it_was():
    plan = demo()[0]
    before = plan.model_dump_json()
    changed({"remove": "pillar_brace_left"}, {"size": {"tube": "bar", "wall": 2.0}})
    assert plan.model_dump_json() == before


def test_removing_takes_the_mirror_too():
    gone = names(demo()[0]) - names(changed({"remove": "pillar_brace_left"}))
    assert gone == {"pillar_brace_left", "pillar_brace_right"}
    assert changed({"remove": "pillar_brace_right"}) == changed({"remove": "pillar_brace_left"})


def test_removing_one_side_leaves_the_other_where_it_was():
    plan = changed({"remove": {"names": "pillar_brace_left", "one_side": True}})
    assert names(demo()[0]) - names(plan) == {"pillar_brace_left"}
    was, now = (line(c, "pillar_brace_right") for c in (demo()[2], resolve(plan)))
    assert np.allclose(was, now, atol=1e-9)


def test_what_rests_on_it_is_named():
    found = problem({"remove": "doorbar_mid_left"})
    assert found.code == "rests-on-it"
    assert "doorbar post upper left" in found.found
    assert "doorbar post lower left" in found.found
    assert "dependents: true" in found.wanted


def test_dependents_go_too_and_theirs():
    plan = changed({"remove": {"names": "doorbar_top_left", "dependents": True}})
    gone = names(demo()[0]) - names(plan)
    sides = {"doorbar_top", "doorbar_post_upper", "pillar_brace"}
    assert gone == {f"{n}_{s}" for n in sides for s in ("left", "right")}
    plan = changed({"remove": {"names": "front_leg_left", "dependents": True}})
    assert "doorbar_low_left" not in plan.members
    assert "doorbar_post_lower_left" not in plan.members  # it rests on bars that rest on the leg


def test_gussets_and_belt_mounts_rest_on_members_too():
    said = problem({"remove": "harness_bar_left"}).found
    assert "belt mount shoulder left" in said
    plan = changed({"remove": {"names": "harness_bar_left", "dependents": True}})
    assert "shoulder_left" not in plan.belts.mounts
    assert "lap_left" in plan.belts.mounts
    assert "gusset hoop corner" in problem({"remove": "front_leg_left"}).found


def test_a_gusset_can_go_alone():
    plan = changed({"remove": "hoop_corner"})
    assert set(demo()[0].gussets) - set(plan.gussets) == {"hoop_corner"}


@pytest.mark.parametrize(
    ("change", "code", "nearest"),
    [
        ({"remove": "pilar_brace_left"}, "unknown-member,-plate-or-gusset", "pillar_brace_left"),
        ({"move": {"members": "dash_baar", "places": 1, "up": 700}}, "unknown-member", "dash_bar"),
        ({"move": {"point": "hoop_sil", "up": 700}}, "unknown-point", "hoop_sill"),
        ({"move": {"foot": "hoop_lef", "up": 700}}, "unknown-foot", "hoop_left"),
        ({"size": {"tube": "barr", "wall": 2}}, "unknown-tube", "bar"),
        ({"size": {"members": "dash_baar", "wall": 2}}, "unknown-member", "dash_bar"),
        ({"size": {"tube": "bar", "steel": "E355+M"}}, "unknown-steel", "E355+N"),
        ({"foot": {"name": "hoop_lef", "on": "floor"}}, "unknown-foot", "hoop_left"),
        ({"weld": {"members": "dash_baar", "end": {"open": "outside"}}}, "unknown-member", "dash_bar"),
        ({"cut": {"members": "dash_bar", "cut": "main_hop"}}, "unknown-member", "main_hoop"),
        (
            {"mirror": {"name": "dash_baar", "copy_name": "x"}},
            "unknown-member,-foot,-plate,-gusset-or-point",
            "dash_bar",
        ),
    ],
)
def test_an_unknown_name_is_told_with_the_nearest(change, code, nearest):
    found = problem(change)
    assert found.code == code
    assert found.nearest == nearest


def test_moving_a_place_along_another_member():
    plan = changed({"move": {"members": "pillar_brace_left", "places": "end", "by": [120, 5, 5]}})
    assert plan.members["pillar_brace_left"].path[-1].back == 980.0
    plan = changed({"move": {"members": "pillar_brace_left", "places": "end", "along": 400}})
    end = plan.members["pillar_brace_left"].path[-1]
    assert (end.back, end.along) == (None, 400.0)


def test_moving_a_bend_keeps_its_other_coordinates_and_its_radius():
    plan = changed({"move": {"members": "front_leg_left", "places": 2, "up": 820}})
    assert plan.members["front_leg_left"].path[1].at == (530.0, -640.0, 820.0)
    plan = changed({"move": {"members": "main_hoop", "places": [2, 5], "by": [10, 0, 0]}})
    path = plan.members["main_hoop"].path
    assert path[1].at[0] == path[4].at[0] == 1610.0


def test_naming_the_mirror_moves_both_the_mirrored_way():
    left = changed({"move": {"members": "doorbar_mid_left", "places": 2, "by": [0, 30, 0]}})
    right = changed({"move": {"members": "doorbar_mid_right", "places": 2, "by": [0, -30, 0]}})
    for name in ("doorbar_mid_left", "doorbar_mid_right"):
        assert np.allclose(line(resolve(left), name), line(resolve(right), name))
    was, now = (
        point_at(member_named(c, "doorbar_mid_right").path, 250.0) for c in (demo()[2], resolve(left))
    )
    assert now[1] < was[1] - 20.0


def test_what_is_still_alike_after_one_side_changed_stays_a_pair():
    plan = changed({"size": {"members": "pillar_brace_left", "wall": 2.0, "one_side": True}})
    assert plan.members["doorbar_top_left"].mirror == "doorbar_top_right"
    assert plan.members["pillar_brace_left"].mirror is None
    assert plan.members["pillar_brace_right"].tube == "bar"
    assert plan.gussets["hoop_corner"].mirror
    gone = names(plan) - names(changed({"remove": "header_corner"}, {"remove": "dash_bar"}, plan=plan))
    assert gone == {"dash_bar"}
    again = changed({"size": {"members": "pillar_brace_right", "wall": 2.0, "one_side": True}}, plan=plan)
    assert again.members["pillar_brace_left"].tube == again.members["pillar_brace_right"].tube == "bar_2"


def test_moving_one_side_leaves_the_other():
    plan = changed({
        "move": {"members": "doorbar_mid_right", "places": 2, "by": [0, -30, 0], "one_side": True}
    })
    cage = resolve(plan)
    assert np.allclose(line(cage, "doorbar_mid_left"), line(demo()[2], "doorbar_mid_left"))
    assert line(cage, "doorbar_mid_right")[:, 1].max() < line(demo()[2], "doorbar_mid_right")[:, 1].max()


def test_a_point_takes_along_all_that_refers_to_it():
    plan = changed({"move": {"point": "hoop_sill", "by": [0, 50, 0]}})
    was, now = demo()[2].feet, resolve(plan).feet
    gone = {b.name: (b.point - a.point).tolist() for a, b in zip(was, now, strict=True)}
    assert gone["hoop_left"] == [0.0, 50.0, 0.0]
    assert gone["hoop_right"] == [0.0, -50.0, 0.0]
    assert gone["front_left"] == [0.0, 0.0, 0.0]


def test_a_point_or_foot_named_by_its_mirror_moves_on_its_own_side():
    left = changed({"move": {"point": "hoop_sill", "by": [0, 50, 5]}})
    assert changed({"move": {"point": "hoop_sill_right", "by": [0, -50, 5]}}) == left
    left = changed({"move": {"foot": "stay_left", "by": [0, 20, 5]}})
    assert changed({"move": {"foot": "stay_right", "by": [0, -20, 5]}}) == left
    one = changed({"move": {"foot": "stay_right", "by": [0, -20, 0], "one_side": True}})
    feet = {f.name: f.point for f in resolve(one).feet}
    was = {f.name: f.point for f in demo()[2].feet}
    assert np.allclose(feet["stay_left"], was["stay_left"])
    assert np.allclose(feet["stay_right"], was["stay_right"] - [0, 20, 0])


@pytest.mark.parametrize(
    ("change", "code"),
    [
        ({"move": {"members": "dash_bar", "places": 3, "up": 700}}, "no-such-place"),
        ({"move": {"members": "main_hoop", "places": 2, "part": 0.5}}, "on-no-member"),
        ({"move": {"foot": "hoop_left", "to": {"on": "dash_bar", "part": 0.5}}}, "not-free"),
        ({"size": {"tube": "bar", "wall": 25}}, "wall-too-thick"),
        ({"mirror": {"name": "pillar_brace_left", "copy_name": "x"}}, "mirrored-twice"),
        ({"mirror": {"name": "diagonal_rear", "copy_name": "dash_bar"}}, "name-taken"),
    ],
)
def test_what_cannot_be_done_is_said(change, code):
    assert problem(change).code == code


def test_a_place_given_by_part_slides_by_a_step_too():
    plan = changed({"move": {"members": "pillar_brace_left", "places": "end", "part": 0.4}})
    by = {"members": "pillar_brace_left", "places": "end", "by": [9, 0, 0]}
    was, now = (resolve(p) for p in (plan, changed({"move": by}, plan=plan)))
    along = line(now, "pillar_brace_left")[-1] - line(was, "pillar_brace_left")[-1]
    host = line(was, "doorbar_top_left")
    way = (host[-1] - host[0]) / np.linalg.norm(host[-1] - host[0])
    assert along @ way == pytest.approx(9.0 * way[0], abs=0.2)  # part is said to 0.0001 of some 1100 mm


def test_a_place_on_a_foot_moves_the_foot():
    by_place = changed({"move": {"members": "main_hoop", "places": "start", "by": [0, 3, 4]}})
    assert by_place == changed({"move": {"foot": "hoop_left", "by": [0, 3, 4]}})
    assert by_place.points == demo()[0].points


def test_another_size_for_all_for_some_and_by_name():
    every = changed({"size": {"tube": "bar", "wall": 2.0}})
    assert {m.tube.wall for m in resolve(every).members if m.tube_name == "bar"} == {2.0}
    some = changed({"size": {"members": ["dash_bar", "header"], "wall": 2.0}})
    assert some.members["dash_bar"].tube == some.members["header"].tube == "bar_2"
    assert some.tubes["bar"].wall == 2.5
    named = changed({"size": {"members": "diagonal_rear", "tube": "rail"}})
    assert named.members["diagonal_rear"].tube == "rail"


def test_copying_to_the_other_side():
    plan = changed({"remove": {"names": "pillar_brace_right", "one_side": True}})
    plan = changed({"mirror": {"name": "pillar_brace_left", "copy_name": "brace_again"}}, plan=plan)
    assert np.allclose(line(resolve(plan), "brace_again")[0], line(demo()[2], "pillar_brace_right")[0])


def test_adding_before_another_changes_who_is_cut():
    bar = {"role": "doorbar", "tube": "bar", "path": [{"on": "front_leg_left", "up": 540},
           {"on": "main_hoop", "side": "left", "up": 540}]}  # fmt: skip
    plan = changed({"add": {"members": {"extra": bar}, "before": "doorbar_top_left"}})
    order = list(plan.members)
    assert order.index("extra") == order.index("doorbar_top_left") - 1
    assert problem({"add": {"members": {"dash_bar": bar}}}).code == "name-taken"
    assert problem({"add": {"members": {"doorbar_top_right": bar}}}).code == "name-taken"
    assert problem({"add": {"members": {"extra": bar}, "before": "dash_baar"}}).nearest == "dash_bar"


def test_a_foot_on_other_ground_forgets_what_was_gauged():
    gauged = changed({"foot": {"name": "hoop_left", "contact": 16000, "sheet": {"thickness": 1.2}}})
    assert gauged.feet["hoop_left"].sheet.thickness == 1.2
    moved = changed({"foot": {"name": "hoop_right", "on": "floor"}}, plan=gauged)
    foot = moved.feet["hoop_left"]
    assert (foot.on, foot.contact, foot.sheet) == ("floor", None, None)


def test_welds_and_cuts():
    plan = changed({"weld": {"members": "pillar_brace_left", "start": {"open": "outside"}}})
    plan = changed({"weld": {"members": "pillar_brace_left", "end": {"open": ["top"]}}}, plan=plan)
    welds = plan.members["pillar_brace_left"].welds
    assert (welds.start.open, welds.end.open) == (("outside",), ("top",))
    cut = changed({"cut": {"members": "pillar_brace_left", "cut": {"end": "doorbar_top_left"}}})
    assert cut.members["pillar_brace_left"].cut.end == ("doorbar_top_left",)


def test_a_cut_on_what_is_gone_is_forgotten():
    plan = changed({
        "cut": {"members": "dash_bar", "cut": {"end": ["pillar_brace_right", "front_leg_right"]}}
    })
    plan = changed({"remove": "pillar_brace_left"}, plan=plan)
    assert plan.members["dash_bar"].cut.end == ("front_leg_right",)


def test_one_side_is_refused_where_a_weld_is_open_between_angles():
    plan = changed({"weld": {"members": "pillar_brace_left", "start": {"open": [0, 90]}}})
    found = problem({"remove": {"names": "dash_bar", "one_side": True}}, plan=plan)
    assert found.code == "one-side"
    assert "pillar_brace_left" in found.found


def test_writing_the_mirrors_out_makes_the_same_cage():
    plan, _, cage = demo()
    whole = resolve(written_out(plan))
    assert [m.name for m in whole.members] == [m.name for m in cage.members]
    for a, b in zip(cage.members, whole.members, strict=True):
        assert np.allclose(sample(a.path), sample(b.path), atol=1e-9), a.name
        assert a.length == pytest.approx(b.length, abs=1e-6)
    assert [(g.name, g.between) for g in whole.gussets] == [(g.name, g.between) for g in cage.gussets]
    for a, b in zip(cage.feet, whole.feet, strict=True):
        assert a.name == b.name
        assert np.allclose(a.point, b.point)
        assert np.allclose(a.normal, b.normal)


def test_what_rests_on_a_member_goes_from_whoever_it_belongs_to():
    """Also in the text: the codriver's belts leave the bar, the driver's and the rest of the file stand."""
    asked = {"remove": {"names": "harness_bar_right", "dependents": True}}
    plan = changed(asked, plan=opened(EXAMPLES / "pellworth.yaml")[1].plan)
    assert [*plan.people["codriver"].belts.mounts] == [
        "lap_outer",
        "lap_inner",
        "crotch_left",
        "crotch_right",
    ]
    assert "shoulder_outer" in plan.people["driver"].belts.mounts
    gone = [line for line in changed_lines(asked, EXAMPLES / "pellworth.yaml") if line[0] == "-"]
    assert sum("shoulder_" in line for line in gone) == 2
    assert not [line for line in changed_lines(asked, EXAMPLES / "pellworth.yaml") if line[0] == "+"]
    words = edit(asked, EXAMPLES / "pellworth.yaml").words
    assert "belt mount codriver shoulder outer" in words
