"""Edits from a page, in the plan's own text."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.base.curves import Line, chain
from cagewright.base.problems import ProblemsFound
from cagewright.change.landing import nearest_place
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import OnMember
from cagewright.plan.write import document, like
from cagewright.shape.located import in_plan
from cagewright.shape.places import Ground
from edited import INCH, MM, apply, changed_lines, edit, in_text, made, opened, refusal

# --- moving


@pytest.mark.parametrize(
    ("asked", "lines", "words"),
    [
        (
            {"members": "front_leg_left", "places": "end", "up": 1220},
            ["- - {on: main_hoop, side: left, up: 1208}", "+ - {on: main_hoop, side: left, up: 1220}"],
            "front leg left: end moved up 12.0 mm to 1220.0 mm",
        ),
        (  # 20 3/8 in = 517.525 mm: 1 in = 25.4 mm exactly (international yard and pound agreement, 1959)
            {"members": "dash_bar", "places": "start", "up": "20 3/8 in"},
            ["{on: front_leg_left, up: 700}, {on", "{on: front_leg_left, up: 517.525}, {on"],
            "dash bar: start moved down 182.5 mm to 517.5 mm",
        ),
        (
            {"members": "dash_bar", "places": "start", "up": '20-3/8"'},
            ["{on: front_leg_left, up: 700}, {on", "{on: front_leg_left, up: 517.525}, {on"],
            "dash bar: start moved down 182.5 mm to 517.5 mm",
        ),
        (
            {"members": "dash_bar", "places": 2, "up": "70.5 cm"},
            ["{on: front_leg_right, up: 700}]", "{on: front_leg_right, up: 705}]"],
            "dash bar: end moved up 5.0 mm to 705.0 mm",
        ),
        (
            {"members": "front_leg_left", "places": 3, "back": 990, "across": "-540 mm"},
            ["- - [1000, -530, 1195]", "+ - [990, -540, 1195]"],
            "front leg left: place 3 moved forward 10.0 mm to 990.0 mm back, "
            "to the left 10.0 mm to -540.0 mm across",
        ),
    ],
)
def test_a_typed_length_moves_a_place_and_nothing_else(asked, lines, words):
    edited = edit({"move": {**asked}})
    assert edited.words == words
    found = changed_lines({"move": {**asked}})
    assert len(found) == 2
    assert all(part in line for part, line in zip(lines, found, strict=True))


@pytest.mark.parametrize(
    ("asked", "line"),
    [
        (
            {"members": "front_leg_left", "places": "end", "up": "47 3/4"},
            "{on: main_hoop, side: left, up: 47 3/4}",
        ),
        (
            {"members": "front_leg_left", "places": "end", "up": 47.75},
            "{on: main_hoop, side: left, up: 47 3/4}",
        ),
        ({"members": "front_leg_left", "places": 2, "up": '31-5/8"'}, "[20 7/8, -25 3/16, 31 5/8]"),
        ({"members": "header", "places": 1, "back": "40"}, "{on: front_leg_left, back: 40}"),
    ],
)
def test_inches_stay_the_fractions_that_stand_there(asked, line):
    found = changed_lines({"move": {**asked}}, INCH)
    assert len(found) == 2
    assert line in found[1]


def test_a_bare_fraction_of_an_inch_stays_one():
    assert like("31 1/2", 25.4 * 32.375, "in") == "32 3/8"
    assert like("31 1/2", 25.4 * 32.0, "in") == 32.0
    assert like("31 1/2", 800.0, "in") == round(800.0 / 25.4, 5)  # no mark of the tape: 31.49606
    assert like(31.5, 25.4 * 32.375, "in") == 32.375
    assert like("1/2", 12.7, "mm") == 12.7


def test_a_dragged_place_stays_on_its_member_and_keeps_its_measure():
    asked = {"move": {"members": "front_leg_left", "places": "end", "at": [1604, -470, 1216]}}
    edited = edit(asked)
    (_, new) = changed_lines(asked)
    assert new.startswith("+ - {on: main_hoop, side: left, up: 121")
    job = made(edited)
    end = next(m for m in job.cage.members if m.name == "front_leg_left").path.pieces[-1].stop
    assert end[0] == pytest.approx(1600.0, abs=1e-6)  # on the hoop's plane, not where it was let go
    assert end[1] == pytest.approx(-470.0, abs=2.0)


def test_where_the_old_measure_says_too_little_another_is_taken():
    # along the level top of the hoop 'up' is the same everywhere
    asked = {"move": {"members": "front_leg_left", "places": "end", "at": [1600, -300, 1235]}}
    assert "{on: main_hoop, side: left, across: -300}" in changed_lines(asked)[1].replace(
        "across: -300, side: left", "side: left, across: -300"
    )


def test_the_mirrors_side_moves_the_written_side_mirrored():
    one = changed_lines({"move": {"members": "front_leg_left", "places": 3, "at": [1000, -540, 1190]}})
    two = changed_lines({"move": {"members": "front_leg_right", "places": 3, "at": [1000, 540, 1190]}})
    assert one == two == ["- - [1000, -530, 1195]", "+ - [1000, -540, 1190]"]


def test_the_mirrors_words_are_its_own():
    words = edit({"move": {"members": "front_leg_right", "places": 3, "across": 540}}).words
    assert words == "front leg right: place 3 moved to the right 10.0 mm to 540.0 mm across"


def test_one_side_writes_the_other_out():
    edited = edit({"move": {"members": "front_leg_left", "places": "end", "up": 1220, "one_side": True}})
    cage = {m.name: m for m in made(edited).cage.members}
    assert cage["front_leg_right"].mirror_of is None
    assert cage["front_leg_left"].path.pieces[-1].stop[2] == pytest.approx(1220.0)
    assert cage["front_leg_right"].path.pieces[-1].stop[2] == pytest.approx(1208.0)
    assert cage["backstay_right"].mirror_of == "backstay_left"  # what is alike on both sides stays a mirror
    before = {m.name: m for m in opened()[1].cage.members}
    assert cage.keys() == before.keys()


def test_a_place_at_a_point_moves_the_point_and_says_what_moves_with_it():
    asked = {"move": {"members": "main_hoop", "places": 2, "by": [0, -10, 0], "host": True}}
    assert changed_lines(asked)[1].startswith("+ waist: {at: [1600, -660, 780], mirror: waist_right}  ")
    foot = edit({"move": {"members": "front_leg_left", "places": "start", "by": [0, 5, 0], "host": True}})
    assert "with point front box" in foot.words
    assert "box section ahead of the hinge pillar" in foot.document.text


def test_a_place_at_the_mirror_of_a_point_moves_the_point_mirrored():
    asked = {"move": {"members": "main_hoop", "places": 5, "across": 665, "host": True}}
    assert changed_lines(asked)[1].startswith("+ waist: {at: [1600, -665, 780], mirror: waist_right}")


def test_a_place_can_leave_its_point():
    asked = {"move": {"members": "main_hoop", "places": 5, "across": 660}}
    assert changed_lines(asked) == ["- - waist_right", "+ - [1600, 660, 780]"]


def test_a_point_is_moved_from_the_other_side_and_past_an_offset():
    at_point = ONE_SIDE.replace("path: [{on: main_hoop, across: -300}, {foot: back_left}]", TO_THE_POINT)
    text = at_point.replace("normal: [-0.6, 0.1, 0.8]}", "normal: [-0.6, 0.1, 0.8], mirror: back_right}")
    text += "points:\n  arch: {at: [1790, -340, 1000], mirror: arch_right}\n"
    edited = in_text(text, {"move": {"members": "stay_right", "places": 2, "across": 340, "host": True}})
    assert "{at: [1790, -350, 1000], mirror: arch_right}" in edited.document.text
    words = "stay right: place 2 moved to the right 10.0 mm to 340.0 mm across with point arch"
    assert edited.words == words


def test_what_of_a_list_does_not_change_stays_as_it_stands():
    text = ONE_SIDE.replace("[1450, -560, 700]", "[1450.00, -56.0 cm,   700.0]")
    one = in_text(text, {"move": {"members": "main_hoop", "places": 2, "up": 710}})
    assert one.document.text == text.replace("700.0]", "710]")
    two = in_text(text, {"move": {"members": "main_hoop", "places": 2, "up": 710, "back": 1455}})
    assert "[1455, -56.0 cm, 710]" in two.document.text


def test_a_bare_inch_becomes_a_fraction_in_a_file_of_fractions():
    (_, line) = changed_lines({"move": {"point": "hoop_sill", "back": "63 1/16"}}, INCH)
    assert "hoop_sill: {at: [63 1/16, -25 13/16, 8 1/4], mirror" in line


def test_a_place_that_its_measure_says_badly_is_measured_otherwise():
    # on a tube that falls 1 in 100, 0.1 mm of height is 10 mm along it
    high, low = np.array([0.0, -500.0, 1010.0]), np.array([0.0, 500.0, 1000.0])
    level = chain((Line(start=high, stop=low),))
    ground = Ground(points={}, feet={}, paths={"level": level}, where=in_plan)
    old = OnMember(on="level", up=1005.0)
    found = nearest_place("level", np.array([0.0, 3.46, 1005.0]), ground, old)
    assert found is not None
    assert (found.up, found.across) == (None, 3.5)
    steep = chain((Line(start=high, stop=np.array([0.0, -400.0, 0.0])),))
    kept = nearest_place("steep", np.array([0, -450, 505.0]), replace(ground, paths={"steep": steep}), old)
    assert kept is not None
    assert kept.up == pytest.approx(505.0, abs=0.6)


def test_moving_a_point_tells_who_stands_on_it():
    edited = edit({"move": {"point": "hoop_sill_right", "up": 215}})
    assert edited.words == "point hoop sill right moved up 5.0 mm to 215.0 mm, and with it hoop left"
    assert "hoop_sill: {at: [1600, -655, 215], mirror" in edited.document.text


def test_a_foot_moves_its_point_or_leaves_it():
    with_point = changed_lines({"move": {"foot": "stay_right", "by": [0, 0, 5], "host": True}})
    assert with_point[1].startswith("+ turret: {at: [2300, -520, 595]")
    alone = changed_lines({"move": {"foot": "stay_right", "by": [0, 0, 5]}})
    assert alone[1].startswith("+ stay_left: {at: [2300, -520, 595], on: turret")


def test_a_foot_of_its_own_coordinates_moves():
    (_, line) = changed_lines({"move": {"foot": "seat_rear_tunnel", "back": "54 1/4 in", "host": True}})
    assert "seat_rear_tunnel: {at: [1377.95, -120, 205]" in line  # 54.25 x 25.4


@pytest.mark.parametrize(
    ("to", "written", "words"),
    [
        ({"on": "dash_bar", "across": -400}, "{on: dash_bar, across: -400}", "put on dash bar"),
        ([860, -697, 622], "[860, -697, 622]", "set free"),
        ({"foot": "front_left"}, "{foot: front_left}", "put on foot front left"),
        ("waist", "waist]", "put at point waist"),
    ],
)
def test_an_end_can_be_put_on_something_else(to, written, words):
    edited = edit({"move": {"members": "pillar_brace_left", "places": "end", "to": to}})
    assert f"path: [{{on: front_leg_left, up: 1090}}, {written}" in edited.document.text
    assert edited.words == f"pillar brace left: end {words}"


# --- what is not to be moved


@pytest.mark.parametrize(
    ("asked", "code", "words"),
    [
        ({"move": {"members": "headr", "places": 1, "up": 3}}, "unknown-member", "Did you mean 'header'?"),
        ({"move": {"members": "header", "places": 8, "up": 3}}, "no-such-place", "has 2 places, not 8"),
        ({"move": {"members": "header", "places": 1}}, "one-of", "does not say where to"),
        ({"move": {"members": "header", "places": 1, "up": "abc"}}, "bad-quantity", "up is 'abc'"),
        ({"move": {"members": "header", "places": 1, "up": 1, "at": [1, 2, 3]}}, "one-of", "gives at and up"),
        ({"move": {"members": "front_leg_left", "places": 2, "part": 0.5}}, "on-no-member", "on no member"),
        ({"move": {"members": "header", "places": 1, "u": 1}}, "unknown-key", "move has the key 'u'"),
        ({"move": {"members": "header", "up": 1}}, "one-of", "does not say which places"),
        ({"moove": {}}, "unknown-key", "Did you mean 'move'?"),
        ({"move": 3}, "wrong-type", "move is 3"),
        ({}, "one-of", "does not say what changes"),
        ({"move": {"point": "wast", "up": 1}}, "unknown-point", "Did you mean 'waist'?"),
        ({"move": {"foot": "hoop_lft", "up": 1, "host": True}}, "unknown-foot", "Did you mean 'hoop_left'?"),
        ({"role": {"members": ["header"], "role": "roof"}}, "unknown-word", "role is 'roof'"),
        ({"size": {"members": ["header"], "tube": "bra"}}, "unknown-tube", "Did you mean 'bar'?"),
        ({"size": {"members": ["header"], "steel": "E355"}}, "unknown-steel", "steel"),
        ({"size": {"members": ["header"]}}, "one-of", "does not say what changes"),
        ({"size": {"members": ["header"], "wall": 30}}, "wall-too-thick", "a wall of 30.0 mm"),
        ({"remove": {"names": ["heder"]}}, "unknown-member,-plate-or-gusset", "Did you mean 'header'?"),
        ({"mirror": {"name": "front_leg_left"}}, "mirrored-twice", "has the mirror"),
        ({"mirror": {"name": "front_leg_right"}}, "mirrored-twice", "is itself a mirror"),
        ({"text": 3}, "bad-edit", "holds no text"),
        ({"text": "members: ["}, "syntax", "nothing where a value should stand"),
        ({"note": {"name": "header", "note": "x" * 501}}, "too-long", "note"),
    ],
)
def test_a_mistake_is_a_problem_in_words(asked, code, words):
    found = refusal(asked)
    assert code in {p.code for p in found.problems}
    assert words in str(found)


# --- removing


def test_what_others_rest_on_is_not_removed_behind_their_back():
    found = refusal({"remove": {"names": ["header"]}})
    assert [p.code for p in found.problems] == ["rests-on-it"]
    assert "roof left, gusset header corner rest on header" in str(found)


def test_a_removed_tube_takes_what_rests_on_it_and_its_feet_when_told():
    edited = edit({"remove": {"names": ["seat_front"], "dependents": True}})
    words = "removed seat front with seat mount front left, seat mount front right, foot seat front sill"
    assert edited.words == f"{words} and foot seat front tunnel"
    job = made(edited)
    assert not {"seat_front_sill", "seat_front_tunnel"} & {foot.name for foot in job.cage.feet}
    assert "# corner of seat back and bottom" in edited.document.text


def test_a_foot_that_others_stand_on_stays():
    edited = edit({"remove": {"names": ["backstay_left"], "dependents": True}})
    assert {f.name for f in made(edited).cage.feet} == {
        f.name for f in opened()[1].cage.feet if not f.name.startswith("stay_")
    }


def test_a_mirror_that_goes_too_is_named():
    assert edit({"remove": {"names": ["roof_right"]}}).words == "removed roof right and roof left"


def test_one_side_is_removed_alone():
    edited = edit({"remove": {"names": ["roof_right"], "one_side": True}})
    assert edited.words == "removed roof right"
    names = {m.name for m in made(edited).cage.members}
    assert "roof_left" in names
    assert "roof_right" not in names


# --- size, role, note, mirror


def test_a_size_of_the_plan_is_used():
    for size in ({"tube": "rail"}, {"od": 30, "wall": "2 mm"}):
        edited = edit({"size": {"members": ["dash_bar"], **size}})
        assert edited.words == "dash bar: 30 x 2 mm E355+N"
        lines = changed_lines({"size": {"members": ["dash_bar"], **size}})
        assert lines == ["- tube: bar", "+ tube: rail"]


def test_a_new_size_makes_a_tube_with_the_radius_of_its_diameter():
    asked = {"size": {"members": ["roof_right", "dash_bar"], "wall": 2}}
    edited = edit(asked)
    assert "bar_2: {od: 38, wall: 2, steel: E355+N, clr: 114}" in edited.document.text
    plan = made(edited).plan
    assert plan.members["roof_left"].tube == plan.members["dash_bar"].tube == "bar_2"
    assert edited.words == "roof right and dash bar: 38 x 2 mm E355+N"


def test_a_tube_across_the_car_is_its_own_mirror():
    assert "is its own mirror" in str(refusal({"mirror": {"name": "header"}}))


def test_a_coordinate_on_the_other_side_takes_its_side_along():
    asked = {"move": {"members": "front_leg_left", "places": "end", "across": 300}}
    assert "{on: main_hoop, across: 300}" in changed_lines(asked)[1]


def test_a_height_on_a_hoop_is_taken_on_the_side_the_place_is_on():
    asked = {"move": {"members": "diagonal_hoop", "places": "end", "up": 1100}}
    assert "side: left" in changed_lines(asked)[1]
    other = {"move": {"members": "backstay_right", "places": "start", "up": 1100}}
    assert "{on: main_hoop, up: 1100, side: left}" in changed_lines(other)[1]  # the written side


def test_a_text_keeps_its_line_ends():
    text = opened()[0].text.replace("\n", "\r\n")
    before = document(text, file=MM.as_posix())
    after = apply(before, None, None, {"text": opened()[0].text.replace("1080 kg", "1090 kg")})
    assert after.document.text == text.replace("1080 kg", "1090 kg")
    assert after.words == "text: 1 line changed"


def test_role_and_note_are_written_where_they_stand():
    assert changed_lines({"role": {"members": ["header"], "role": "roof reinforcement"}}) == [
        "- role: transverse member",
        "+ role: roof reinforcement",
    ]
    note = 'say "when" # not: a comment'
    edited = edit({"note": {"name": "diagonal_hoop", "note": note}})
    assert made(edited).plan.members["diagonal_hoop"].note == note
    assert changed_lines({"note": {"name": "front_leg_right", "note": ""}})[0].startswith("- note:")


def test_a_mirror_takes_its_feet_along():
    edited = in_text(ONE_SIDE, {"mirror": {"name": "stay_left"}})
    plan = read_plan_text(edited.document.text)
    assert plan.members["stay_left"].mirror == "stay_right"
    assert plan.feet["back_left"].mirror == "back_right"
    assert edited.words == "stay left: mirrored as stay right"


# --- names


def test_a_new_name_follows_everywhere():
    edited = edit({"rename": {"member": "main_hoop", "to": "b_pillar_hoop"}})
    text = opened()[0].text
    assert edited.document.text == text.replace("main_hoop", "b_pillar_hoop")
    assert edited.words == "renamed main hoop to b pillar hoop"


def test_both_sides_are_renamed_where_their_names_go_by_the_side():
    edited = edit({"rename": {"member": "front_leg_right", "to": "a_leg_right"}})
    assert edited.words == "renamed front leg right to a leg right and front leg left to a leg left"
    assert edited.document.text == opened()[0].text.replace("front_leg_", "a_leg_")


def test_a_mirrors_new_name_leaves_the_written_sides():
    job = made(edit({"rename": {"member": "front_leg_right", "to": "leg"}}))
    assert job.plan.members["front_leg_left"].mirror == "leg"
    assert {m.mirror_of for m in job.cage.members if m.name == "leg"} == {"front_leg_left"}


@pytest.mark.parametrize(
    ("kind", "old", "used"),
    [
        ("point", "waist_right", "- new_name\n"),
        ("foot", "stay_left", "{foot: new_name}"),
        ("tube", "rail", "tube: new_name"),
    ],
)
def test_points_feet_and_tubes_are_renamed(kind, old, used):
    edited = edit({"rename": {kind: old, "to": "new_name"}})
    assert used in edited.document.text
    assert len(made(edited).cage.members) == len(opened()[1].cage.members)


def test_only_names_of_its_kind_are_renamed():
    text = ONE_SIDE.replace("left: {at", "bar: {at", 1).replace("{foot: left}", "{foot: bar}", 1)
    edited = in_text(text, {"rename": {"tube": "bar", "to": "tube38"}})
    assert "tube: tube38" in edited.document.text
    assert "- {foot: bar}" in edited.document.text


@pytest.mark.parametrize(
    ("asked", "code"),
    [
        ({"member": "header", "to": "dash_bar"}, "name-taken"),
        ({"member": "header", "to": "front_leg_right"}, "name-taken"),
        ({"member": "header", "to": "my-bar"}, "bad-name"),
        ({"member": "header", "foot": "stay_left", "to": "x"}, "one-of"),
        ({"to": "x"}, "one-of"),
        ({"tube": "brr", "to": "x"}, "unknown-tube"),
    ],
)
def test_names_that_cannot_be_given(asked, code):
    assert refusal({"rename": {**asked}}).problems[0].code == code


# --- the text


def test_a_whole_text_is_taken_and_its_lines_counted():
    text = opened()[0].text.replace("up: 700}, {on: front_leg_right", "up: 710}, {on: front_leg_right")
    edited = edit({"text": text})
    assert edited.document.text == text
    assert edited.words == "text: 1 line changed"


def test_going_back_to_the_old_text_is_exact():
    before = opened()[0]
    once = edit({
        "add": {"unnamed": [{"role": "roof reinforcement", "path": [[1600, 0, 1235], [1000, 0, 1188]]}]}
    })
    back = apply(once.document, None, None, {"text": before.text})
    assert back.document.text == before.text
    assert back.document.source.data == before.source.data


def test_every_comment_and_line_end_survives():
    text = opened()[0].text.replace("\n", "\r\n")
    before = document("\ufeff" + text, file=MM.as_posix())
    plan, cage = opened()[1].plan, opened()[1].cage
    after = apply(before, plan, cage, {"move": {"members": "front_leg_left", "places": 2, "up": 810}})
    assert after.document.mark == "\ufeff"
    assert after.document.text == text.replace("[530, -640, 800]", "[530, -640, 810]")


def test_what_stands_in_an_included_file_is_refused_with_its_name(tmp_path):
    (tmp_path / "parts").mkdir()
    start = ONE_SIDE.index("members:")
    (tmp_path / "parts" / "cage.yaml").write_text(ONE_SIDE[start : ONE_SIDE.index("feet:")])
    main = ONE_SIDE[:start] + "include: [parts/cage.yaml]\n" + ONE_SIDE[ONE_SIDE.index("feet:") :]
    before = document(main, file=(tmp_path / "plan.yaml").as_posix())
    for asked in (
        {"move": {"members": "stay_left", "places": "start", "across": -310}},
        {"rename": {"member": "stay_left", "to": "x"}},
        {"note": {"name": "stay_left", "note": "x"}},
    ):
        with pytest.raises(ProblemsFound, match=r"parts/cage\.yaml, which this plan includes") as found:
            apply(before, None, None, asked)
        assert found.value.problems[0].code == "in-other-file"
    here = apply(before, None, None, {"move": {"foot": "back_left", "up": 630, "host": True}})
    assert "back_left: {at: [2000, -420, 630]" in here.document.text


def test_a_value_used_twice_by_an_alias_is_not_changed_behind_ones_back():
    text = ONE_SIDE.replace("steel: E355+N, clr: 135}", "steel: &s E355+N, clr: 135}").replace(
        "{od: 38, wall: 2.5, steel: E355+N}", "{od: 38, wall: 2.5, steel: *s}"
    )
    edited = in_text(text, {"size": {"members": ["stay_left"], "wall": 2}})
    assert "steel: &s" in edited.document.text


TO_THE_POINT = """\
mirror: stay_right
    path: [{on: main_hoop, across: -300}, {point: arch, offset: [10, 10, 5], clr: 114}, {foot: back_left}]"""

ONE_SIDE = """\
# A hoop with one stay.
cagewright: 1
title: one side
tubes:
  hoop: {od: 45, wall: 2.5, steel: E355+N, clr: 135}
  bar: {od: 38, wall: 2.5, steel: E355+N}
members:
  main_hoop:
    role: main rollbar
    tube: hoop
    path:
      - {foot: left}
      - [1450, -560, 700]
      - [1450, -430, 1120]
      - [1450, 430, 1120]
      - [1450, 560, 700]
      - {foot: right}
  stay_left:   # the left one
    role: backstay
    tube: bar
    path: [{on: main_hoop, across: -300}, {foot: back_left}]
feet:
  left: {at: [1450, -560, 180], on: floor, plate: [130, 110, 3]}
  right: {at: [1450, 560, 180], on: floor, plate: [130, 110, 3]}
  back_left: {at: [2000, -420, 620], on: box, plate: [100, 80, 3], normal: [-0.6, 0.1, 0.8]}
"""
