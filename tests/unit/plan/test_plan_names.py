"""What names refer to, mirrors, circles, and what is impossible at sight."""

import re
from collections import Counter
from pathlib import Path

import pytest
from plans import SOUND, broken, only, problems, sound, spot

from cagewright.base.problems import ProblemsFound
from cagewright.plan.read import read_plan_text
from cagewright.plan.report import MOST

EXAMPLES = Path(__file__).parents[3] / "examples"
MORE = (
    SOUND
    + """\
plates: {web: {corners: [arch, sill, [1, 2, 3]], thickness: 2}}
gussets: {corner: {between: [main, stay], leg: 90, thickness: 1.5, near: arch}}
belts: {mounts: {lap: {at: {on: main, up: 200, side: left, near: sill}}}}
seat: {mounts: {front: {at: arch_right}}}
pushes: {roof: {kind: point, at: {on: main, across: 0}, direction: [0, 0, -1]}}
shell:
  lines: {roof: {path: [arch, [1, 2, 3]], mirror: roof_right}}
  scan: {file: shell.stl, units: mm, points: [{scan: [0, 0, 0], car: sill}]}
"""
)

UNKNOWN = [
    ("unknown-tube", "tube: bar", "tube: baar", "baar", "bar"),
    ("unknown-point", "-300}, arch]", "-300}, arhc]", "arhc", "arch"),
    ("unknown-foot", "{foot: base}", "{foot: bass}", "bass", "base"),
    ("unknown-member", "{on: main, across: -300}", "{on: man, across: -300}", "man, across", "main"),
    ("unknown-member", "mirror: stay_right", "cut: [main, mian]", "mian", "main"),
    ("unknown-member", "mirror: stay_right", "cut: {end: mian}", "mian", "main"),
    ("unknown-point", "at: sill", "at: sil", "sil,", "sill"),
    ("unknown-point", "at: sill", "at: {point: sil, offset: [0, 0, 5]}", "sil,", "sill"),
    ("unknown-point", "corners: [arch", "corners: [arhc", "arhc", "arch"),
    ("unknown-member", "[main, stay]", "[main, sty]", "sty", "stay"),
    ("unknown-point", "near: arch", "near: arhc", "arhc", "arch"),
    ("unknown-member", "{on: main, up: 200", "{on: mian, up: 200", "mian", "main"),
    ("unknown-point", "near: sill", "near: sil", "sil}", "sill"),
    ("unknown-point", "at: arch_right", "at: arch_rigth", "arch_rigth", "arch_right"),
    ("unknown-member", "{on: main, across: 0}", "{on: mian, across: 0}", "mian", "main"),
    ("unknown-point", "car: sill", "car: sil", "sil}", "sill"),
    ("unknown-point", "path: [arch, [", "path: [arhc, [", "arhc", "arch"),
    (
        "unknown-steel",
        "od: 38, wall: 2.5, steel: E355+N",
        "od: 38, wall: 2.5, steel: E355-N",
        "E355-N",
        "E355+N",
    ),
]


@pytest.mark.parametrize(("code", "old", "new", "mark", "nearest"), UNKNOWN)
def test_a_name_of_nothing_is_located(code: str, old: str, new: str, mark: str, nearest: str):
    text = broken(old, new, MORE)
    problem = only(text)
    assert (problem.code, problem.nearest) == (code, nearest)
    assert (problem.where.line, problem.where.col) == spot(text, mark)


def test_of_many_names_of_nothing_the_first_are_told_and_the_rest_counted():
    rows = "".join(
        f"  more{i}: {{role: diagonal, tube: none{i}, path: [arch, [1, 2, 3]]}}\n" for i in range(250)
    )
    told = problems(SOUND.replace("members:\n", "members:\n" + rows, 1))
    assert Counter(p.code for p in told) == {"unknown-tube": MOST, "more-problems": 1}
    rest = next(p for p in told if p.code == "more-problems")
    assert rest.found == f"there are {250 - MOST} more problems"


@pytest.mark.parametrize(
    ("old", "new", "advice"),
    [
        ("{foot: base}", "base", "base is a foot, written {foot: base}"),
        ("-300}, arch]", "-300}, main]", "main is a member, written {on: main, up: ...}"),
        ("{foot: base}", "{foot: arch}", "arch is a point, written arch"),
        ("{on: main, across: -300}", "{on: base, across: -300}", "base is a foot, written {foot: base}"),
    ],
)
def test_a_name_of_another_kind_says_how_it_is_written(old: str, new: str, advice: str):
    assert advice in only(broken(old, new)).wanted


def test_a_name_whose_entry_is_wrong_is_known():
    text = broken("od: 38, wall", "od: x, wall")
    assert [p.code for p in problems(text)] == ["bad-quantity"]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("mirror: stay_right", "mirror: main"),
        ("mirror: stay_right", "mirror: stay"),
        ("mirror: arch_right", "mirror: sill"),
        ("mirror: roof_right", "mirror: roof"),
        ("plate: [130, 110, 3]", "plate: [130, 110, 3], mirror: base"),
        ("thickness: 2}", "thickness: 2, mirror: web}"),
    ],
)
def test_a_mirror_needs_a_name_of_its_own(old: str, new: str):
    text = broken(old, new, MORE).replace("at: arch_right", "at: arch")
    assert only(text).code == "name-taken"


def test_two_mirrors_of_one_name():
    text = broken(
        "  stay:",
        "  other: {role: backstay, tube: bar, mirror: stay_right, path: [[1, 2, 3], arch]}\n  stay:",
    )
    assert only(text).code == "name-taken"


def test_a_steel_with_the_name_of_a_built_in_one():
    text = SOUND + "steels: {E355+N: {yield_strength: 400, tensile: 500, source: mill sheet}}\n"
    assert only(text).code == "name-taken"
    own = SOUND.replace("E355+N", "Mill 7")
    own += "steels: {Mill 7: {yield_strength: 400, tensile: 500, source: mill sheet}}\n"
    assert sound(own).steels["Mill 7"].yield_strength == 400


LOOPS = """\
  a: {role: diagonal, tube: bar, path: [{on: b, part: 0.5}, arch]}
  b: {role: diagonal, tube: bar, path: [{on: main, across: 0}, {on: c, along: 30}]}
  c: {role: diagonal, tube: bar, path: [arch, {on: a, up: 900}]}
feet:
"""


def test_a_circle_is_named_as_a_loop_at_its_first_member():
    text = broken("feet:\n", LOOPS)
    problem = only(text)
    assert problem.code == "circular"
    assert "a -> b -> c -> a" in problem.found
    assert (problem.where.line, problem.where.col) == spot(text, "b, part")


def test_a_circle_through_mirrors_is_reported_once():
    text = broken("{on: main, across: -300}", "{on: stay_right, part: 0.5}")
    problem = only(text)
    assert problem.code == "circular"
    assert "stay -> stay_right -> stay" in problem.found


def test_a_long_circle():
    names = [f"m{i}" for i in range(300)]
    rows = "".join(
        f"  {a}: {{role: diagonal, tube: bar, path: [{{on: {b}, part: 0.5}}, arch]}}\n"
        for a, b in zip(names, [*names[1:], "m0"], strict=True)
    )
    assert only(broken("feet:\n", rows + "feet:\n")).found.count("->") == 300


def test_two_circles_are_two_problems():
    two = LOOPS.replace("feet:\n", "  d: {role: diagonal, tube: bar, path: [{on: d, up: 1}, arch]}\nfeet:\n")
    found = problems(broken("feet:\n", two))
    assert [p.code for p in found] == ["circular", "circular"]
    assert "d -> d" in found[1].found


def test_resting_on_one_another_in_a_row_is_no_circle():
    row = LOOPS.replace("{on: a, up: 900}", "{on: main, up: 900, side: left}")
    assert len(sound(broken("feet:\n", row)).members) == 5


SENSE = [
    ("wall-too-thick", "od: 38, wall: 2.5", "od: 38, wall: 25", "25, steel"),
    ("clr-too-small", "clr: 135", "clr: 22.5", "22.5}"),
    ("clr-too-small", "- [1450, -430, 1120]", "- {at: [1450, -430, 1120], clr: 20}", "20}"),
    ("no-clr", ", clr: 135", "", "[1450, -430"),
    ("clr-at-end", "{on: main, across: -300}", "{on: main, across: -300, clr: 100}", "100}"),
    ("clr-at-end", "at: sill", "at: {point: sill, clr: 100}", "100}"),
    ("foot-in-path", "- [1450, 430, 1120]", "- {foot: base}", None),
    ("cut-itself", "mirror: stay_right", "cut: stay", "stay\n    path"),
    ("same-member", "[main, stay]", "[main, main]", "main], leg"),
    ("missing-key", "kind: point, at: {on: main, across: 0}, ", "kind: point, ", "roof: {kind"),
    ("missing-key", ", direction: [0, 0, -1]", "", "roof: {kind"),
]


@pytest.mark.parametrize(("code", "old", "new", "mark"), SENSE)
def test_the_impossible_is_located(code: str, old: str, new: str, mark: str | None):
    text = broken(old, new, MORE)
    problem = only(text)
    assert problem.code == code
    if mark:
        assert (problem.where.line, problem.where.col) == spot(text, mark)


def test_a_radius_at_the_place_is_enough():
    text = broken(", clr: 135", "").replace("- [1450, -430, 1120]", "- {at: [1450, -430, 1120], clr: 135}")
    problem = only(text)
    assert "place 3" in problem.found


def test_cut_on_ones_own_mirror():
    text = broken("mirror: stay_right", "mirror: stay_right\n    cut: stay_right")
    assert only(text).code == "cut-itself"


def test_a_name_is_read_as_it_is_shown_too():
    """Wherever a plan refers to something: ``main hoop`` is main_hoop; where it gives the name, it is not."""
    text = (EXAMPLES / "brackwater.yaml").read_text(encoding="utf-8")
    names = ("main_hoop", "front_leg_left", "front_leg_right", "hoop_left", "waist_right", "doorbar_top_left")
    said = text
    for name in names:
        said = re.sub(rf"(?<!  ){name}\b(?!:)", name.replace("_", " "), said)
    assert said.count("main hoop") > 5
    assert "mirror: front leg right" in said
    assert read_plan_text(said, folder=EXAMPLES) == read_plan_text(text, folder=EXAMPLES)
    with pytest.raises(ProblemsFound, match="has the name 'main hoop'"):
        read_plan_text(text.replace("  main_hoop:", "  main hoop:"), folder=EXAMPLES)


def test_an_inch_plan_is_told_in_inches():
    text = SOUND.replace("title:", "units: in\ntitle:", 1)
    found = "\n".join(p.found for p in problems(text.replace("wall: 2.5", "wall: 30", 1)))
    assert 'has a wall of 30"' in found
    assert " mm" not in found
