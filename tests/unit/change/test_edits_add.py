"""New tubes and tubes made in two, as a page asks for them."""

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.change.landing import nearest_place
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import OnMember
from cagewright.shape.distance import between
from cagewright.shape.places import ground_of, spot
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cope
from edited import INCH, MM, apply, changed_lines, edit, in_text, made, opened, refusal


def member(job, name):
    return next(m for m in job.cage.members if m.name == name)


def copes(found):
    """On what each end is cut."""
    return [end.cut.mains if isinstance(end.cut, Cope) else () for end in found.ends]


# --- add


def test_picked_ends_become_places_on_what_they_touch():
    asked = {"add": {"unnamed": [{"role": "roof reinforcement", "path": [[1600, 3, 1235], [1004, 0, 1190]]}]}}
    edited = edit(asked)
    assert edited.words == "added roof reinforcement: roof reinforcement, 38 x 2.5 mm E355+N"
    assert "path: [{on: main_hoop, across: 3}, {on: header, across: 0}]" in edited.document.text
    found = member(made(edited), "roof_reinforcement")
    assert copes(found) == [("main_hoop",), ("header",)]


def test_an_inch_plan_gets_inches():
    path = [["62 1/2", "1/8", "48 5/8"], [39.4, 0, 46.8]]
    lines = changed_lines({"add": {"unnamed": [{"role": "roof reinforcement", "path": path}]}}, INCH)
    assert lines[-1] == "+ path: [{on: main_hoop, across: 1/8}, {on: header, across: 0}]"


def test_what_is_only_added_leaves_every_line_as_it_was():
    asked = {"add": {"unnamed": [{"role": "roof reinforcement", "path": [[1600, 0, 1235], [1000, 0, 1188]]}]}}
    assert all(line.startswith("+") for line in changed_lines(asked))


def test_a_pick_on_a_member_is_the_nearest_place_on_it():
    path = [{"on": "dash_bar", "at": [600, 100, 650]}, {"on": "header", "at": [990, 100, 1100]}]
    edited = edit({"add": {"members": {"middle": {"role": "cage reinforcement", "path": path}}}})
    assert "path: [{on: dash_bar, across: 100}, {on: header, across: 100}]" in edited.document.text


def test_every_end_of_a_tube_can_be_said():
    cage = opened()[1].cage
    for found in cage.members:
        for piece, tip in ((found.path.pieces[0], "start"), (found.path.pieces[-1], "stop")):
            point = getattr(piece, tip)
            place = nearest_place(found.name, point, ground_of(opened()[1].plan, cage))
            assert place is not None
            assert np.linalg.norm(spot(place, ground_of(opened()[1].plan, cage), ()) - point) < 1.0


def test_a_name_is_made_of_role_and_side():
    path = [{"on": "main_hoop", "up": 1000, "side": "left"}, {"on": "backstay_left", "back": 2000}]
    both = edit({"add": {"unnamed": [{"role": "cage reinforcement", "path": path}], "both_sides": True}})
    assert both.words.startswith("added cage reinforcement left and cage reinforcement right: ")
    job = made(both)
    assert member(job, "cage_reinforcement_right").mirror_of == "cage_reinforcement_left"
    one = edit({"add": {"unnamed": [{"role": "backstay", "path": path}]}})
    assert "backstay_left_2" in made(one).plan.members


def test_an_end_by_a_foot_stands_on_it():
    asked = {
        "add": {
            "unnamed": [
                {"role": "backstay", "path": [[2298, -520, 592], {"on": "main_hoop", "across": -200}]}
            ]
        }
    }
    assert "path: [{foot: stay_left}, {on: main_hoop, across: -200}]" in edit(asked).document.text


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        ({"role": "diagonal", "path": [[0, 0, 0]]}, "wrong-count"),
        ({"role": "diagonal", "path": [[0, 0, 0]] * 41}, "wrong-count"),
        ({"role": "diagonal", "tube": "bra", "path": [[0, 0, 0], [1, 1, 1]]}, "unknown-tube"),
        ({"role": "diagonal", "name": "header", "path": [[0, 0, 0], [1, 1, 1]]}, "name-taken"),
        ({"role": "diagonal", "name": "front_leg_right", "path": [[0, 0, 0], [1, 1, 1]]}, "name-taken"),
        ({"role": "diagonal", "path": [{"on": "hoop", "at": [0, 0, 0]}, [1, 1, 1]]}, "unknown-member"),
        ({"role": "diagonal", "path": [{"on": "hoop", "up": 3}, [1, 1, 1]]}, "unknown-member"),
        ({"role": "diagonal", "path": 3}, "wrong-type"),
        ({"role": "diagonal", "path": [{"in": "hoop"}, {}]}, "not-a-place"),
        ({"role": "diagonal", "path": [[300, 0, 0], [0, 300, 0]]}, "free-end"),
    ],
)
def test_tubes_that_cannot_be_added(asked, code):
    name = asked.pop("name", None)
    added = {"unnamed": [asked]} if name is None else {"members": {name: asked}}
    assert code in {p.code for p in refusal({"add": added}).problems}


def test_a_tube_through_others_is_refused_or_made_in_two():
    path = [{"on": "main_hoop", "up": 290, "side": "left"}, {"on": "main_hoop", "across": 400}]
    found = refusal({"add": {"unnamed": [{"role": "diagonal", "path": path}]}})
    assert {p.code for p in found.problems} == {"tubes-overlap"}
    edited = edit({"add": {"unnamed": [{"role": "diagonal", "path": path}], "in_two": True}})
    assert edited.words.endswith("cut on harness bar left and diagonal hoop")
    job = made(edited)
    first, second, third = (member(job, n) for n in ("diagonal_left", "diagonal_2_left", "diagonal_3_left"))
    assert copes(first)[1] == copes(second)[0] == ("harness_bar_left",)
    assert copes(second)[1] == copes(third)[0] == ("diagonal_hoop",)
    # the three run in one line as far as 0.1 mm places let them: their directions differ by little
    ways = [m.path.pieces[0].direction for m in (first, second, third)]
    assert np.allclose(ways[0], ways[1], atol=2e-3)
    assert np.allclose(ways[0], ways[2], atol=2e-3)


def test_a_cross_is_one_bar_and_two_halves():
    path = [{"on": "backstay_left", "up": 1130}, {"on": "backstay_right", "up": 690}]
    job = made(edit({"add": {"members": {"x": {"role": "diagonal", "path": path}}, "in_two": True}}))
    assert copes(member(job, "x"))[1] == copes(member(job, "x_2"))[0] == ("diagonal_rear",)
    assert len(job.cage.members) == len(opened()[1].cage.members) + 2


def test_a_cross_of_a_tube_and_its_mirror_is_one_bar_and_two_halves():
    text = opened()[0].text
    bare = in_place(text, {"remove": {"names": ["diagonal_rear"]}})
    path = [{"on": "backstay_left", "up": 1130}, {"on": "backstay_right", "up": 690}]
    asked = {
        "add": {"members": {"x_left": {"role": "diagonal", "path": path}}, "both_sides": True, "in_two": True}
    }
    found = made_plan(in_place(bare, asked))
    assert found.members["x_left"].mirror is None
    cage = {m.name: m for m in resolve(found).members}
    assert copes(cage["x_left"]) == [("backstay_left",), ("backstay_right",)]
    assert copes(cage["x_right"])[1] == copes(cage["x_2_right"])[0] == ("x_left",)


# --- split

CROSSED = """\
cagewright: 1
title: crossed
tubes: {bar: {od: 38, wall: 2.5, steel: E355+N}}
members:
  low: {role: diagonal, tube: bar, path: [{foot: a}, {foot: b}]}    # runs through
  high:
    role: diagonal
    tube: bar
    path: [{foot: c}, {foot: d}]      # to be cut
  near: {role: diagonal, tube: bar, path: [{on: high, along: 200}, {foot: e}]}
  far: {role: diagonal, tube: bar, path: [{on: high, along: 700}, {foot: f}]}
  part: {role: diagonal, tube: bar, path: [{on: high, part: 0.9}, {foot: g}]}
plates:
  sheet: {corners: [{on: high, part: 0.2}, {on: high, part: 0.8}, [500, 0, 900]], thickness: 2}
gussets:
  corner: {between: [far, high], leg: 60, thickness: 1.5}
feet:
  a: {at: [500, -500, 300], on: rigid, plate: [100, 100, 3], normal: [0, 1, 0]}
  b: {at: [500, 500, 300], on: rigid, plate: [100, 100, 3], normal: [0, -1, 0]}
  c: {at: [0, 0, 300], on: rigid, plate: [100, 100, 3], normal: [1, 0, 0]}
  d: {at: [1000, 0, 300], on: rigid, plate: [100, 100, 3], normal: [-1, 0, 0]}
  e: {at: [200, 0, 0], on: rigid, plate: [100, 100, 3]}
  f: {at: [700, 0, 0], on: rigid, plate: [100, 100, 3]}
  g: {at: [900, 0, 0], on: rigid, plate: [100, 100, 3]}
"""


@pytest.mark.parametrize("where", [{"on": "low"}, {"along": 500}, {"along": "500 mm"}])
def test_a_tube_is_made_in_two_where_another_runs_through_it(where):
    with pytest.raises(ProblemsFound, match="tubes-overlap"):
        resolve(read_plan_text(CROSSED))
    edited = in_text(CROSSED, {"split": {"name": "high", **where}}, buildable=False)
    assert edited.words == "high: made in two, high and high 2"
    plan = read_plan_text(edited.document.text)
    cage = resolve(plan)
    halves = {m.name: m for m in cage.members if m.name.startswith("high")}
    assert copes(halves["high"])[1] == copes(halves["high_2"])[0] == ("low",)
    for half in halves.values():
        # square on a tube of its own size a cope's longest points reach the main's middle line
        # (descriptive geometry: sqrt(R^2 - r^2 sin^2 phi) is 0 at phi = 90 deg): 500 mm less the 3 mm plate
        assert half.length == pytest.approx(497.0, abs=0.05)
    assert "# runs through" in edited.document.text
    assert [*plan.members][:4] == ["low", "high", "high_2", "near"]  # the second half right behind the first


def test_what_rests_on_a_tube_made_in_two_stays_where_it_was():
    before = {m.name: m for m in resolve(read_plan_text(_without(CROSSED, "low"))).members}
    edited = in_text(CROSSED, {"split": {"name": "high", "on": "low"}}, buildable=False)
    plan = read_plan_text(edited.document.text)
    after = {m.name: m for m in resolve(plan).members}
    for name in ("near", "far", "part"):
        assert np.allclose(after[name].path.pieces[0].start, before[name].path.pieces[0].start, atol=1e-6)
    near, far = plan.members["near"].path[0], plan.members["far"].path[0]
    assert isinstance(near, OnMember)
    assert isinstance(far, OnMember)
    assert (near.on, near.along, far.on, far.along) == ("high", 200.0, "high_2", 200.0)
    assert plan.gussets["corner"].between == ("far", "high_2")
    assert [getattr(corner, "on", None) for corner in plan.plates["sheet"].corners] == [
        "high",
        "high_2",
        None,
    ]


def _without(text, name):
    return "".join(line for line in text.splitlines(keepends=True) if not line.startswith(f"  {name}:"))


def test_both_sides_are_made_in_two_together():
    path = [{"on": "front_leg_left", "up": 530}, {"on": "doorbar_low_left", "back": 600}]
    crossing = edit({
        "add": {"members": {"steep_left": {"role": "doorbar", "path": path}}, "both_sides": True}
    })
    split = {"split": {"name": "doorbar_mid_right", "on": "steep_right"}}
    text = crossing.document.text
    plan = made_plan(text)
    edited = in_place(text, split)
    found = made_plan(edited)
    assert found.members["doorbar_mid_2_left"].mirror == "doorbar_mid_2_right"
    assert found.members["doorbar_mid_left"].mirror == "doorbar_mid_right"
    assert len(found.members) == len(plan.members) + 1


def made_plan(text):
    return read_plan_text(text, folder=MM.parent)


def in_place(text, asked):
    from cagewright.plan.write import document

    return apply(document(text, file=MM.as_posix()), None, None, asked).document.text


def test_a_tube_across_the_car_is_cut_into_mirror_images():
    text = opened()[0].text
    path = "[{on: main_hoop, across: 0}, {foot: nose}]"
    rail = f"  spine:\n    role: roof reinforcement\n    tube: bar\n    path: {path}\n"
    foot = "feet:\n  nose: {at: [700, 0, 1164], on: rigid, plate: [80, 80, 3], normal: [1, 0, 0]}\n"
    crossed = text.replace("members:\n", "members:\n" + rail, 1).replace("feet:\n", foot, 1)
    after = made_plan(in_place(crossed, {"split": {"name": "header", "on": "spine"}}))
    assert after.members["header"].mirror == "header_2"
    assert "header_2" not in after.members
    roof = after.members["roof_left"].path[1]
    assert isinstance(roof, OnMember)
    assert roof.on == "header"


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"name": "header", "along": 400}, "nothing runs through 'header' 400.0 mm from its start"),
        ({"name": "header", "on": "roof_left"}, "rests on 'header' and cannot carry both its halves"),
        ({"name": "dash_bar", "on": "header"}, "'header' passes 'dash_bar' 678.4 mm away"),
        ({"name": "dash_bar", "on": "heder"}, "Did you mean 'header'?"),
        ({"name": "dash_bar", "on": "dash_bar"}, "the plan has no member 'dash_bar'"),
        ({"name": "main_hoop", "along": 80000}, "is 3045.1 mm long"),
        ({"name": "main_hoop"}, "does not say where"),
    ],
)
def test_tubes_that_cannot_be_made_in_two(asked, words):
    assert words in str(refusal({"split": {**asked}}))


def test_where_it_can_be_cut_is_said():
    with pytest.raises(ProblemsFound, match=r"cut it at 500\.0 mm, on low"):
        in_text(CROSSED, {"split": {"name": "high", "along": 300}}, buildable=False)


def test_the_halves_meet_on_the_middle_line_of_the_main():
    edited = in_text(CROSSED, {"split": {"name": "high", "on": "low"}}, buildable=False)
    cage = {m.name: m for m in resolve(read_plan_text(edited.document.text)).members}
    assert between(cage["high"].path, cage["low"].path).distance == pytest.approx(0.0, abs=1e-6)
    assert between(cage["high_2"].path, cage["low"].path).distance == pytest.approx(0.0, abs=1e-6)
