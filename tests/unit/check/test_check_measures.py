"""What measures read off a cage, against plain geometry worked by hand beside each test."""

import math
from dataclasses import replace

import numpy as np
import pytest
from cages import IN, bar, cage, foot, full_cage, gusset, hoop, line, post_cage, tube

from aboard import aboard
from cagewright.check.attitude import driver_side, ends_named, is_straight, lean_of, out_of_plane, side_of
from cagewright.check.bench import Gauged
from cagewright.check.measures.door import attachment, first_crossing, inside
from cagewright.check.measures.helmet import side_gap
from cagewright.check.measures.weight import lines_met
from cagewright.check.readings import Amount, YesNo
from cagewright.check.rules import FOOT, Landmark, Rule, WeightStep, Written
from cagewright.check.vocabulary import MEASURES
from cagewright.plan.types import PersonEntry, Role
from cagewright.shape.types import Cage
from cagewright.stock.bolts import strength_of

CAGE: tuple[Role, ...] = ("main rollbar",)


def take(
    measure: str, one: Cage, bench: Gauged | None = None, **terms: object
) -> tuple[Amount, ...] | tuple[YesNo, ...]:
    rule = Rule.model_construct(
        id="t", clause="1", title="t", measure=measure, certainty="read", source="t", **terms
    )
    return MEASURES[measure].take(one, rule, bench or Gauged())


def values(measure: str, one: Cage, **terms: object) -> list[float | None]:
    return [a.low for a in take(measure, one, **terms) if isinstance(a, Amount)]


SQUARE = np.array([[0.0, 0.0], [0.0, 10.0], [10.0, 10.0], [10.0, 0.0], [0.0, 0.0]])


@pytest.mark.parametrize(
    ("point", "holds"), [((5, 5), True), ((-1, 5), False), ((11, 5), False), ((5, 11), False)]
)
def test_inside_an_outline(point: tuple[float, float], holds: bool):
    assert inside(np.array([point], dtype=float), SQUARE).tolist() == [holds]


def test_an_outline_with_a_notch():
    notched = np.array([[0, 0], [0, 10], [5, 4], [10, 10], [10, 0]], dtype=float)
    assert inside(np.array([[5.0, 3.9], [5.0, 4.1]]), notched).tolist() == [True, False]


def test_the_first_crossing_is_the_nearest_one():
    hit = first_crossing(np.array([-5.0, 2.0]), np.array([15.0, 6.0]), SQUARE)
    assert hit is not None
    assert hit == pytest.approx([0.0, 3.0])  # 5/20 of the way: 2 + 0.25 * 4
    assert first_crossing(np.array([-5.0, 2.0]), np.array([-1.0, 2.0]), SQUARE) is None


def test_an_attachment_outside_the_opening_counts_where_the_bar_crosses_its_edge():
    sloped = bar("m", "doorbar", (-100, -650, 100), (300, -650, 300))
    edge = np.array([[0.0, 0.0], [0.0, 400.0], [200.0, 400.0], [200.0, 0.0]])
    assert attachment(sloped, "start", edge) == pytest.approx(
        150.0
    )  # a quarter of the way up from 100 to 300
    assert attachment(sloped, "end", edge) == pytest.approx(250.0)  # at x = 200
    within = bar("m", "doorbar", (50, -650, 100), (300, -650, 300))
    assert attachment(within, "start", edge) == pytest.approx(100.0)
    away = bar("m", "doorbar", (-100, -650, 500), (300, -650, 600))
    assert attachment(away, "end", edge) == pytest.approx(600.0)


def test_a_line_that_is_level_with_the_top_is_1_and_its_base_0():
    edges = [line("door_opening_left", (0, -700, 200), (0, -700, 1200), (900, -700, 1200), (900, -700, 200))]
    for z, share in ((200.0, 0.0), (700.0, 0.5), (1200.0, 1.0)):
        one = cage(bar("m", "doorbar", (-100, -650, z), (1000, -650, z)), lines=edges)
        assert values("height in opening", one, members=("doorbar",), opening="door opening") == [
            pytest.approx(share)
        ]
    other_side = cage(bar("m", "doorbar", (-100, 650, 500), (1000, 650, 500)), lines=edges)
    assert values("height in opening", other_side, members=("doorbar",), opening="door opening") == [None]


# The line from (0, 0) to (300, 400) in side view: the point (100, 0) is 80 mm off it (100 sin of the 4-3
# angle).
@pytest.mark.parametrize(
    ("point", "gap"),
    [((100, 0, 0), 80.0), ((0, 0, 125), -75.0), ((-30, 0, -40), 50.0), ((150, 7, 200), 0.0)],
)
def test_side_gap(point: tuple[float, ...], gap: float):
    a, b = np.array([0.0, 3.0, 0.0]), np.array([300.0, -9.0, 400.0])
    assert side_gap(np.array(point, dtype=float), a, b) == pytest.approx(gap, abs=1e-9)
    assert side_gap(np.array(point, dtype=float), b, a) == pytest.approx(gap, abs=1e-9)


def test_without_a_front_rollbar_the_line_runs_to_the_foremost_transverse_member():
    one = full_cage()
    (gap,) = values("helmet under line", one, line="front")
    # from (1600, 1235) to (1000, 1195): at back 1395 the line is 1235 - 205 * 40/600 up; less the
    # head's 915, square to it
    above = 1235 - 205 * 40 / 600 - 915
    assert gap == pytest.approx(above * 600 / math.hypot(600, 40) - 150.0)


@pytest.mark.parametrize("lean", [0.0, 0.05, 0.3])
@pytest.mark.parametrize("splay", [0.0, 200.0])
def test_a_plane_hoop_leans_as_its_plane(lean: float, splay: float):
    back = 1000 * math.tan(lean)
    one = bar(
        "h", "main rollbar", (0, -600 - splay, 0), (back, -600, 1000), (back, 600, 1000), (0, 600 + splay, 0)
    )
    assert lean_of(one, -math.inf) == pytest.approx(lean, abs=1e-9)
    assert out_of_plane(one) == pytest.approx(0.0, abs=1e-6)


def test_a_round_hoop_without_straights_leans_as_the_plane_that_fits():
    s = math.sin(0.2)
    points = [
        (200 * s * math.sin(a), 200 * math.cos(a), 200 * math.cos(0.2) * math.sin(a))
        for a in np.linspace(0, math.pi, 13)
    ]
    one = bar("h", "main rollbar", *points, clr=150.0)
    assert max(abs(p.stop[2] - p.start[2]) for p in one.path.pieces if hasattr(p, "direction")) < 100.0
    assert lean_of(one, -math.inf) == pytest.approx(0.2, abs=1e-6)


def test_a_straight_member_is_no_hoop():
    assert lean_of(bar("m", "main rollbar", (0, 0, 0), (0, 0, 900)), -math.inf) is None
    assert is_straight(bar("m", "main rollbar", (0, 0, 0), (0, 0, 900)))
    assert not is_straight(hoop())


def test_ends_by_words():
    one = bar("m", "diagonal", (0, 0, 900), (500, 0, 100))
    named = {word: ends_named(one, word) for word in ("upper", "lower", "front", "rear", "each")}
    assert named == {
        "upper": ("start",), "lower": ("end",), "front": ("start",), "rear": ("end",),
        "each": ("start", "end"),
    }  # fmt: skip


def test_sides():
    assert side_of(bar("m", "doorbar", (0, -600, 0), (900, -600, 0))) == "left"
    assert side_of(bar("m", "doorbar", (0, 600, 0), (900, 600, 0))) == "right"
    assert side_of(bar("m", "diagonal", (0, -600, 0), (0, 600, 900))) == "middle"
    assert driver_side(cage(driver=PersonEntry(hip=(0, 330, 0)))) == "right"
    assert driver_side(cage(driver=PersonEntry(hip=(0, 10, 0)))) == "middle"
    assert driver_side(cage()) is None


def test_members_per_side_follow_the_driver():
    left = [bar(f"l{i}", "doorbar", (0, -600, 100 * i), (900, -600, 100 * i)) for i in range(3)]
    right = [bar("r", "doorbar", (0, 600, 100), (900, 600, 100))]
    for y, number in ((-330.0, 3.0), (330.0, 1.0)):
        one = cage(*left, *right, driver=PersonEntry(hip=(0, y, 0)))
        assert values("members per side", one, members=("doorbar",), side="driver") == [number]
    (both,) = take("members per side", cage(*left, *right), members=("doorbar",), side="driver")
    assert isinstance(both, Amount)
    assert (both.low, both.high) == (1, 3)


def test_the_middle_of_a_cross_is_not_an_end():
    through = bar("a", "roof reinforcement", (1600, -400, 1235), (1000, 400, 1235))
    half = bar("b", "roof reinforcement", (1600, 400, 1235), (1300, 0, 1235))
    on = bar("on", "main rollbar", (1600, -800, 1235), (1600, 800, 1235))
    ahead = bar("ahead", "front rollbar", (1000, -800, 1235), (1000, 800, 1235))
    off = [bar(f"off{y}", "backstay", (1600, y, 1235), (2000, y, 900)) for y in (-450, 450)]
    far = [bar("far", "longitudinal member", (1000, 430, 1235), (1600, 430, 1235))]
    near = Landmark(joint_of=("backstay", "longitudinal member"), on=("main rollbar", "front rollbar"))
    one = cage(through, half, on, ahead, *off, *far)
    found = values("end distance", one, members=("roof reinforcement",), near=near, end="each")
    assert found == [pytest.approx(v) for v in (50.0, 30.0, 30.0)]


@pytest.mark.parametrize(("apart", "ends"), [(140.0, 2), (160.0, 4)])
def test_the_point_of_a_v_is_not_an_end(apart: float, ends: int):
    small = tube(38.0, 2.5)
    vee = [
        bar(f"r{y}", "roof reinforcement", (1600, y * apart / 2, 1235), (1000, y * 400, 1235), size=small)
        for y in (-1, 1)
    ]
    on = [bar(f"on{x}", "main rollbar", (x, -800, 1235), (x, 800, 1235)) for x in (1000, 1600)]
    off = [bar(f"off{x}", "backstay", (x, -450, 1235), (x + 400, -450, 900)) for x in (1000, 1600)]
    near = Landmark(joint_of=("backstay",), on=("main rollbar",))
    found = values(
        "end distance", cage(*vee, *on, *off), members=("roof reinforcement",), near=near, end="each"
    )
    assert len(found) == ends


def test_an_end_is_near_feet_of_the_cage_only():
    diagonal = bar("d", "diagonal", (1600, 0, 300), (1600, 600, 1200))
    seat = bar("s", "seat mount", (1600, 10, 200), (1600, 300, 200))
    feet = [foot("seat", (1600, 10, 200), "s"), foot("cage", (1600, 0, 150), "d")]
    near = FOOT
    assert values(
        "end distance", cage(diagonal, seat, feet=feet), members=("diagonal",), near=near, end="lower"
    ) == [150.0]


def test_the_diagonal_of_the_main_rollbar_is_told_from_another():
    one = full_cage()
    other = bar("between_stays", "diagonal", (1900, -418, 958.57), (2100, 428, 774.29), size=tube(38, 2.5))
    both = replace(one, members=(*one.members, other))
    assert values("member count", both, members=("diagonal",)) == [2.0]
    assert values("member count", both, members=("diagonal",), joined_to=("main rollbar",)) == [1.0]


def test_same_both_sides_looks_at_the_whole_length():
    left = bar("l", "doorbar", (600, -650, 300), (1100, -700, 320), (1600, -650, 300), clr=150)
    right = bar("r", "doorbar", (600, 650, 300), (1600, 650, 300))
    short = bar("r", "doorbar", (600, 650, 300), (1100, 650, 300))
    for other in (right, short):
        found = take("same both sides", cage(left, other), members=("doorbar",))
        assert [a.holds for a in found if isinstance(a, YesNo)] == [False, False]
    reverse = bar("r", "doorbar", (1600, 650, 300), (1100, 700, 320), (600, 650, 300), clr=150)
    found = take("same both sides", cage(left, reverse), members=("doorbar",))
    assert [a.holds for a in found if isinstance(a, YesNo)] == [True, True]


def test_base_structure_names_what_is_missing():
    one = cage(hoop(), bar("s", "backstay", (1600, 0, 1235), (2300, 0, 590)))
    structures = ({"main rollbar": 1, "backstay": 2}, {"lateral rollbar": 2, "backstay": 2})
    (answer,) = take("base structure", one, structures=structures)
    assert isinstance(answer, YesNo)
    assert answer.holds is False
    assert "add 1 backstay" in answer.advice


def test_a_folded_gusset_counts_as_two_and_only_at_its_own_joint():
    main = bar("main", "main rollbar", (1600, -800, 700), (1600, 800, 700))
    two = [bar(f"m{y}", "backstay", (1600, y, 700), (2000, y, 700)) for y in (-400, 400)]
    sheets = [
        gusset("a", "main", "m-400", (1650, -400, 700)),
        gusset("b", "main", "m400", (1650, 400, 700), kind="flat"),
    ]
    assert values("gussets per joint", cage(main, *two, gussets=sheets), joints_of=("backstay",)) == [
        2.0,
        1.0,
    ]
    far = [gusset("a", "main", "m-400", (1600, 0, 700))]
    assert values("gussets per joint", cage(main, *two, gussets=far), joints_of=("backstay",)) == [0.0, 0.0]


def test_lugs_or_sleeve():
    one = cage(
        bar("m", "diagonal", (0, 0, 0), (0, 500, 500), removable=True),
        bar("n", "diagonal", (0, 0, 0), (0, 9, 9)),
    )
    lugs = Gauged(readings={"lug thickness": {"m": 5.0}})
    assert [a.spot.members for a in take("lug width", one, lugs, members=("diagonal",))] == [("m",)]
    assert take("sleeve length", one, lugs, members=("diagonal",)) == ()
    assert len(take("sleeve length", one, members=("diagonal",))) == 1


def test_a_hoop_in_two_halves():
    left = bar("left", "main rollbar", (0, -600, 0), (0, -600, 1000), (0, 0, 1000))
    right = bar("right", "main rollbar", (0, 600, 0), (0, 600, 1000), (0, 0, 1000))
    brace = bar("b", "backstay", (0, -300, 1000), (500, -300, 500))
    found = take("one piece", cage(left, right, brace), members=CAGE)
    assert [a.holds for a in found if isinstance(a, YesNo)] == [False, False]
    assert [
        a.holds for a in take("one piece", cage(hoop(), brace), members=CAGE) if isinstance(a, YesNo)
    ] == [True]


def test_angles_at_a_joint():
    main = hoop()
    splayed = bar("s", "backstay", (1600, 0, 1235), (2300, 300, 535))
    one = cage(main, splayed)
    to_plane = math.asin(700 / math.sqrt(700**2 + 300**2 + 700**2))
    assert values("angle to hoop", one, joints_of=("backstay",)) == [pytest.approx(to_plane)]
    # to the hoop's own axis, which runs across there
    to_axis = math.acos(300 / math.sqrt(700**2 + 300**2 + 700**2))
    assert values("included angle", one, joints_of=("backstay",)) == [pytest.approx(to_axis)]
    assert values("depth below top", one, joints_of=("backstay",)) == [pytest.approx(22.5)]


@pytest.mark.parametrize("upward", [True, False])
def test_an_included_angle_is_the_smaller_one_whichever_way_the_main_runs(upward: bool):
    ends = [(1600, -600, 200), (1600, -600, 1200)]
    main = bar("main", "main rollbar", *(ends if upward else reversed(ends)))
    brace = bar("s", "backstay", (1600, -600, 1000), (2100, -600, 500))
    assert values("included angle", cage(main, brace), joints_of=("backstay",)) == [
        pytest.approx(math.pi / 4)
    ]


def test_helmet_against_tubes():
    one = full_cage()
    (gap,) = values("helmet to tube", one, members=CAGE)
    # the hoop's plane is 205 mm behind the head; in it the leg at -600 is 270 mm across: the axis is
    # hypot away
    assert gap == pytest.approx(math.hypot(205, 270) - 22.5 - 150)
    (above,) = values("above helmet", one, members=CAGE)
    assert above == pytest.approx(1235 - 22.5 - 915 - 150)
    (depth,) = values("helmet inside cage", one, members=tuple({m.role for m in one.members}))
    assert depth == pytest.approx(
        600 - 330 - 22.5 - 150, abs=0.5
    )  # the door side, straight up from sill to waist


def test_a_helmet_outside_is_less_than_nothing():
    one = replace(full_cage(), people=aboard(PersonEntry(hip=(0, 0, 0), head=(1400, -900, 900))))
    (depth,) = values("helmet inside cage", one, members=tuple({m.role for m in one.members}))
    assert depth is not None
    assert depth == pytest.approx(-(300 + 22.5 + 150), abs=0.5)
    flat = cage(hoop(), driver=PersonEntry(hip=(0, 0, 0), head=(1600, 0, 800)))
    assert values("helmet inside cage", flat, members=CAGE) == [-150.0]


def test_width_where_the_hoop_does_not_reach():
    low = cage(hoop(top=600.0), driver=PersonEntry(hip=(1210, -330, 265)))
    assert values("width at shoulder", low, members=CAGE) == [0.0]
    (span,) = take("width at shoulder", cage(hoop(), driver=PersonEntry(hip=(1210, -330, 265))), members=CAGE)
    assert isinstance(span, Amount)
    assert (span.low, span.high) == (pytest.approx(1155.0), pytest.approx(1245.0))


@pytest.mark.parametrize(
    ("low", "high", "met"),
    [
        (0, 100, [0]),
        (100, 100, [0]),
        (100.5, 100.5, [1]),
        (150, 250, [1, 2]),
        (0, math.inf, [0, 1, 2]),
        (201, 999, [2]),
    ],
)
def test_lines_of_a_weight_table(low: float, high: float, met: list[int]):
    table = (up_to(100.0), up_to(200.0), up_to(None))
    assert [table.index(step) for step in lines_met(table, low, high)] == met


def up_to(mass: float | None) -> WeightStep:
    most = None if mass is None else Written(value=mass, text=f"{mass} kg")
    return WeightStep.model_construct(up_to=most, sizes=())


def test_heavier_than_a_table_goes():
    table = (up_to(100.0),)
    assert lines_met(table, 101.0, 101.0) == ()


# ISO 898-1: the first figure is a hundredth of the tensile strength; SAE J429 grade 5 120 ksi, grade 8 150
# ksi (memory).
@pytest.mark.parametrize(
    ("grade", "strength"),
    [("8.8", 800.0), ("4.6", 400.0), ("10.9", 1000.0), ("grade 5", 827.4), ("A2-70", None)],
)
def test_bolt_grades(grade: str, strength: float | None):
    assert strength_of(grade) == (None if strength is None else pytest.approx(strength, rel=1e-3))


def test_plate_area_over_the_largest_tube_that_lands():
    one = post_cage(tube(1.75 * IN, 2.4), foot("f", (1600, -600, 200), "m", plate=(4 * IN, 5 * IN, 3)))
    assert values("foot plate area over OD", one, feet_of=CAGE) == [pytest.approx(20 / 1.75 * IN)]


@pytest.mark.parametrize(
    ("across", "back", "shares"),
    [
        # the joint is 800 from the rail's left end and 1200 from its right, and the stay is 1000 long
        (400, 300, [400 / 800, 300 / 1000]),
        (-300, 700, [300 / 1200, 700 / 1000]),
        (-700, 800, []),  # beyond half way on both: a brace of its own
    ],
)
def test_a_corner_tubes_reach_is_told_on_the_side_it_lies(across: float, back: float, shares: list[float]):
    rail = bar("rail", "main rollbar", (1600, -1200, 700), (1600, 800, 700))
    stay = bar("stay", "backstay", (1600, 0, 700), (2600, 0, 700))
    corner = bar("c", "cage reinforcement", (1600, across, 700), (1600 + back, 0, 700))
    found = values("corner reach", cage(rail, stay, corner), members=("cage reinforcement",))
    assert found == pytest.approx(shares)
