"""Reading a plan: each kind of problem of a single value, places, units and shorthands."""

import math

import pytest
from plans import SOUND, broken, only, problems, spot

from cagewright.plan.read import read_plan_text
from cagewright.plan.types import AtCoordinates, AtFoot, AtPoint, OnMember, Plan, where_of


def read(text: str) -> Plan:
    return read_plan_text(text, file="plan.yaml")


def test_the_sound_plan_is_read():
    plan = read(SOUND)
    assert plan.title == "Test cage"
    assert plan.members["stay"].path == (OnMember(on="main", across=-300), AtPoint(point="arch"))
    assert plan.members["main"].path[:2] == (AtFoot(foot="base"), AtCoordinates(at=(1450, -430, 1120)))
    assert plan.points["sill"].at == (1450, -560, 180)


CARS = [
    ("2026-05", "2026-07", None),
    ("2026", "2026-02", None),
    ("2026-07", "2026-05", "dates-reversed"),
    ("2026-13", "2027", "bad-date"),
    ("May 2026", "2027", "bad-date"),
]


@pytest.mark.parametrize(("built", "logbook", "code"), CARS)
def test_when_the_car_was_built(built: str, logbook: str, code: str | None):
    car = f"car: {{mass: 1080 kg, built: {built}, logbook: {logbook}}}"
    text = SOUND.replace("title: Test cage", f"title: Test cage\n{car}")
    if code is None:
        plan = read(text)
        assert plan.car is not None
        assert (plan.car.built, plan.car.logbook) == (built, logbook)
        return
    problem = only(text)
    assert (problem.code, problem.where.line) == (code, spot(text, car)[0])
    assert problem.where.col == 1 + car.index(logbook if code == "dates-reversed" else built)


CASES = [
    ("unknown-key", "across: -300", "acros: -300", "acros", "across"),
    ("unknown-key", "title: Test cage", "title: Test cage\nmemebers: {}", "memebers", "members"),
    ("unknown-key", "{on: main, across: -300}", "{onn: main, across: -300}", "onn", "on"),
    ("unknown-word", "backstay", "backstray", "backstray", "backstay"),
    ("unknown-word", "on: sill", "on: sil", "sil,", "sill"),
    ("unknown-word", "cagewright: 1", "cagewright: 2", "2", None),
    ("missing-key", "    tube: bar\n", "", "stay:", None),
    ("missing-key", "title: Test cage\n", "", None, None),
    ("missing-key", "{on: main, across: -300}", "{across: -300}", "{across", None),
    ("bad-quantity", "od: 45", "od: 45 furlongs", "45 furlongs", None),
    ("bad-quantity", "od: 45", "od: .nan", ".nan", None),
    ("bad-quantity", "od: 45", "od: -.inf", "-.inf", None),
    ("bad-quantity", "od: 45", "od: 1e9", "1e9", None),
    ("bad-quantity", "od: 45", "od: 999999999999999999999999", "999999999999999999999999", None),
    ("bad-quantity", "od: 45", "od: 1 3/7 in", "1 3/7", None),
    ("bad-quantity", "od: 45", "od: [45]", "od: [45]", None),
    ("bad-quantity", "od: 45", "od: true", "true", None),
    ("bad-quantity", "across: -300", "part: half", "half", None),
    (
        "bad-quantity",
        "plate: [130, 110, 3]",
        "plate: [130, 110, 3], bolts: {count: 2.5, size: 8}",
        "2.5, size",
        None,
    ),
    ("out-of-range", "od: 45", "od: -45", "-45", None),
    ("out-of-range", "across: -300", "part: 1.5", "1.5", None),
    (
        "out-of-range",
        "plate: [130, 110, 3]",
        "plate: [130, 110, 3], bolts: {count: 2000, size: 8}",
        "2000, size",
        None,
    ),
    ("wrong-count", "[1450, -430, 1120]", "[1450, -430]", "[1450, -430]", None),
    ("wrong-count", "[1450, -430, 1120]", "[1450, -430, 1120, 3]", "[1450, -430,", None),
    ("wrong-count", "path: [{on: main, across: -300}, arch]", "path: [arch]", "path: [arch]", None),
    ("wrong-type", "path: [{on: main, across: -300}, arch]", "path: arch", "arch\nfeet", None),
    ("wrong-type", "  bar: {od: 38, wall: 2.5, steel: E355+N}", "  bar: 38", "38", None),
    ("wrong-type", "title: Test cage", "title: [Test, cage]", "title", None),
    ("wrong-type", "mirror: stay_right", "removable: 7", "7\n", None),
    ("too-long", "title: Test cage", f"title: {'x' * 600}", "x" * 600, None),
    ("bad-name", "mirror: stay_right", "mirror: stay-right", "stay-right", "stay_right"),
    ("bad-name", "  stay:", "  2nd stay:", "2nd stay", None),
    ("not-a-place", "{on: main, across: -300}", "7", "7, arch", None),
    ("not-a-place", "{on: main, across: -300}", "{}", "{}, arch", None),
    ("not-a-place", "at: sill", "at: 7", "7, on", None),
    ("one-of", "across: -300", "across: -300, up: 3", "{on: main", None),
    ("one-of", "{on: main, across: -300}", "{on: main}", "{on: main}", None),
    ("one-of", "mirror: stay_right", "cut: {}", "cut", None),
    ("no-direction", "plate: [130, 110, 3]", "plate: [130, 110, 3], normal: [0, 0, 0]", "normal", None),
]


@pytest.mark.parametrize(("code", "old", "new", "mark", "nearest"), CASES)
def test_a_wrong_value_is_located(code: str, old: str, new: str, mark: str | None, nearest: str | None):
    text = broken(old, new)
    problem = only(text)
    assert (problem.code, problem.nearest) == (code, nearest)
    assert (problem.where.line, problem.where.col) == (spot(text, mark) if mark else (0, 0))
    assert problem.found
    assert problem.wanted


def test_words_of_a_problem():
    text = broken("across: -300", "acros: -300")
    assert str(only(text)) == (
        "plan.yaml:22:23: members.stay.path.1 has the key 'acros'; wanted one of on, up, back, across, "
        "along, part, side, near, clr. Did you mean 'across'? [unknown-key]"
    )


def test_every_problem_comes_in_one_pass_in_file_order():
    text = broken("od: 45", "od: x")
    text = broken("backstay", "backstray", text)
    text = broken("on: main", "on: mian", text)
    text = broken("at: sill", "at: sil", text)
    assert [p.code for p in problems(text)] == ["bad-quantity", "unknown-word", "unknown-point"]
    text = broken("backstray", "backstay", text)
    assert [p.code for p in problems(text)] == ["bad-quantity", "unknown-member", "unknown-point"]


def test_more_problems_than_anyone_reads_are_counted():
    text = SOUND + "".join(f"zz{i}: 1\n" for i in range(500))
    found = problems(text)
    assert len(found) == 201
    assert [p.found for p in found if p.code == "more-problems"] == ["there are 300 more problems"]


def test_the_words_of_yaml_1_1_are_words():
    text = broken("title: Test cage", "title: on\nnote: no")
    plan = read(text)
    assert (plan.title, plan.note) == ("on", "no")


@pytest.mark.parametrize(("word", "value"), [("yes", True), ("no", False), ("true", True), ("false", False)])
def test_yes_and_no(word: str, value: bool):
    assert read(broken("mirror: stay_right", f"removable: {word}")).members["stay"].removable is value


def test_bare_numbers_are_text_where_text_is_wanted():
    plan = read(broken("title: Test cage", "title: 2024"))
    assert plan.title == "2024"


@pytest.mark.parametrize(
    ("written", "mm"),
    [("45", 45), ("45 mm", 45), ("1 3/4 in", 44.45), ('1-3/4"', 44.45), ("4.5 cm", 45), ("0x2d", 45)],
)
def test_lengths_in_a_plan_in_mm(written: str, mm: float):
    assert read(broken("od: 45", f"od: {written}")).tubes["hoop"].od == mm


def test_bare_numbers_in_a_plan_in_inches():
    text = broken("title: Test cage", "title: Test cage\nunits: in")
    plan = read(broken("plate: [130, 110, 3]", "plate: [5, 4, 3 mm], contact: 18", text))
    assert plan.tubes["hoop"].od == 45 * 25.4
    assert plan.feet["base"].plate == (127.0, 101.6, 3.0)
    assert plan.feet["base"].contact == 18 * 645.16
    assert plan.points["sill"].at == (1450 * 25.4, -560 * 25.4, 180 * 25.4)


def test_angles_masses_and_areas():
    text = SOUND + "car: {mass: 2400 lb}\ndriver: {hip: [1210, -330, 265], back_angle: 25}\n"
    plan = read(broken("plate: [130, 110, 3]", "plate: [130, 110, 3], contact: 140 cm2", text))
    assert plan.car is not None
    assert plan.car.mass == pytest.approx(2400 * 0.45359237)
    assert plan.driver is not None
    assert plan.driver.back_angle == pytest.approx(math.radians(25))
    assert plan.feet["base"].contact == 14_000


@pytest.mark.parametrize(
    ("written", "cut"),
    [
        ("main", {"either": ("main",)}),
        ("[main]", {"either": ("main",)}),
        ("{start: main}", {"start": ("main",)}),
        ("{start: [main], either: main}", {"start": ("main",), "either": ("main",)}),
    ],
)
def test_short_ways_to_say_what_an_end_is_cut_on(written: str, cut: dict[str, tuple[str, ...]]):
    found = read(broken("mirror: stay_right", f"cut: {written}")).members["stay"].cut
    assert found is not None
    assert {key: names for key, names in found if names} == cut


def test_where_values_stand():
    plan = read(SOUND)
    where = {
        ("members", "stay"): (18, 3),
        ("members", "stay", "path", 0): (22, 12),
        ("members", "stay", "path", 0, "across"): (22, 31),
        ("members", "stay", "path", 1, "point"): (22, 38),
        ("members", "stay", "tube"): (20, 11),
        ("members", "stay", "note"): (18, 3),
        ("points", "sill", "at", 2): (8, 22),
        ("nothing",): (0, 0),
    }
    for keys, (line, col) in where.items():
        found = where_of(plan, keys)
        assert (found.line, found.col) == (line, col), keys


def test_a_plan_made_in_code_stands_nowhere():
    plan = Plan.model_validate({"cagewright": 1, "title": "x"})
    assert str(where_of(plan, ("members", "a"))) == "plan"


def test_plans_that_say_the_same_are_equal_wherever_it_stands():
    assert read(SOUND) == read("# a comment\n" + SOUND)
    assert read(SOUND) != read(broken("od: 45", "od: 46"))
