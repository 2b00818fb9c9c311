import math
from dataclasses import replace

import pytest

from cagewright.make.cutlist import clocking_words, cut_list, end_straight, rough, tube_words
from cagewright.stock.shop import NO_SHOP
from cagewright.stock.steels import Steel
from cagewright.stock.tubes import round_tube
from handmade import BAR, flat
from shopmade import BAR_DIE, DEG, HOOP_DIE, SHOP, cage_of, tee, tube_through

SETBACK = 135.0 * math.tan(45.0 * DEG)


def hoop(first: float, last: float):
    """A 90 degree bend with finished straights of ``first`` and ``last`` mm."""
    return tube_through(((0, 0, 0), (0, 0, first + SETBACK), (last + SETBACK, 0, first + SETBACK)))


def test_finished_length_is_straights_and_arc():
    row = cut_list(cage_of(hoop(400.0, 300.0)), SHOP)[0]
    assert row.finished == pytest.approx(400.0 + 300.0 + 135.0 * math.pi / 2.0, abs=1e-9)


def test_trim_at_each_end_where_the_straights_are_long():
    spare = rough(hoop(400.0, 300.0), SHOP)
    assert (spare.first, spare.last, spare.starts_at) == (10.0, 10.0, "start")
    assert (spare.grip, spare.tail) == (0.0, 0.0)
    assert spare.length == pytest.approx(720.0 + 135.0 * math.pi / 2.0)


def test_grip_is_made_up_where_the_first_straight_is_short():
    spare = rough(hoop(100.0, 100.0), SHOP)
    # grip 160 less straight 100 less trim 10 leaves 50; tail 90 is within 100
    assert (spare.first, spare.grip, spare.last, spare.tail) == pytest.approx((60.0, 50.0, 10.0, 0.0))


def test_tail_is_made_up_where_the_last_straight_is_short():
    spare = rough(hoop(400.0, 50.0), SHOP)
    assert (spare.last, spare.tail) == pytest.approx((40.0, 30.0))


def test_bending_from_the_end_is_chosen_where_it_saves_tube():
    spare = rough(hoop(100.0, 400.0), SHOP)
    assert spare.starts_at == "end"
    assert (spare.first, spare.last) == (10.0, 10.0)


def test_equal_lengths_start_at_the_start():
    assert rough(hoop(100.0, 100.0), SHOP).starts_at == "start"


def test_grip_is_of_the_die_that_makes_the_first_bend():
    tight = replace(HOOP_DIE, name="tight", clr=100.0, grip=500.0, tail=0.0)
    shop = replace(SHOP, dies=(tight, *SHOP.dies))
    assert rough(hoop(400.0, 400.0), shop).grip == 0.0


def test_without_a_die_there_is_only_the_trim():
    assert rough(hoop(20.0, 20.0), NO_SHOP).length == pytest.approx(
        40.0 + 135.0 * math.pi / 2.0 + 2.0 * NO_SHOP.trim
    )


def test_a_cope_shortens_the_straight_to_the_bend():
    cage = tee()
    branch = cage.members[1]
    assert end_straight(branch, "start") == pytest.approx(branch.length)
    assert branch.length == pytest.approx(500.0 - branch.ends[0].cut.outside.min())


def test_ends_in_words():
    start, end = (cut_list(tee(), SHOP)[1].start, cut_list(tee(), SHOP)[1].end)
    assert (start, end) == ("cope on main, hole saw", "square")
    wrapped = cut_list(tee(bent_main=True), SHOP)[1].start
    assert wrapped == "cope on main, needs the wrap"


def test_a_tilted_flat_end_says_its_angle():
    tilted = flat((0, 0, 0), (0, 0, 1), (math.sin(12.3 * DEG), 0, math.cos(12.3 * DEG)), 19.0)
    member = tube_through(((0, 0, 0), (0, 0, 500)), tube=BAR, start=tilted)
    row = cut_list(cage_of(member), SHOP)[0]
    assert row.start == "flat, 12.3°"
    assert row.finished == pytest.approx(500.0 + 19.0 * math.tan(12.3 * DEG))


@pytest.mark.parametrize(
    ("od", "wall", "units", "words"),
    [
        (45.0, 2.5, "mm", "45 x 2.5 mm E355+N"),
        (44.45, 2.413, "in", "1 3/4 x 0.095 in E355+N"),
        (45.0, 2.5, "in", "1.772 x 0.098 in E355+N"),
    ],
)
def test_tube_in_words(od, wall, units, words):
    assert tube_words(round_tube(od=od, wall=wall, steel=BAR.steel), units) == words


def test_bar_die_is_not_taken_for_the_hoop():
    assert BAR_DIE.od != HOOP_DIE.od
    steel = Steel(name="E355+N", tensile=490.0, source="made up for tests", certainty="memory")
    thin = tube_through(
        ((0, 0, 0), (0, 0, 300), (300, 0, 300)), tube=round_tube(od=30.0, wall=2.0, steel=steel)
    )
    assert rough(thin, SHOP).grip == 0.0


def lies(member, which, **changes):
    """The words for one end after ``changes`` to the member or to that end."""
    end = replace(member.ends[which], clocking=changes.pop("clocking", 0.0))
    ends = (end, member.ends[1]) if which == 0 else (member.ends[0], end)
    return clocking_words(replace(member, ends=ends, **changes), end)


def test_a_square_end_lies_any_way():
    assert lies(hoop(400.0, 300.0), 0) == "–"


@pytest.mark.parametrize(
    ("clocking", "words"),
    [
        (0.0, "heel in line with the inside of the nearest bend"),
        (math.pi, "heel opposite the inside of the nearest bend"),
        (30 * DEG, "heel 30.0° clockwise of the inside of the nearest bend"),
        (-12.5 * DEG, "heel 12.5° anticlockwise of the inside of the nearest bend"),
    ],
)
def test_a_cope_is_clocked_from_the_bend(clocking, words):
    cope = tee().members[1].ends[0].cut
    spots = ((0, 0, 0), (0, 0, 600), (600, 0, 600))
    member = tube_through(spots, tube=BAR, clr=114.0, start=cope)
    assert lies(member, 0, clocking=clocking) == words


def test_a_straight_tubes_second_cope_is_clocked_from_its_first():
    cope = tee().members[1].ends[0].cut
    member = tube_through(((0, 0, 0), (0, 0, 600)), tube=BAR, start=cope, end=cope)
    assert lies(member, 0) == "heel anywhere round the tube"
    assert lies(member, 1, end_clocking=90 * DEG) == "heel 90.0° clockwise of the heel at the start"
    single = tube_through(((0, 0, 0), (0, 0, 600)), tube=BAR, end=cope)
    assert lies(single, 1) == "heel anywhere round the tube"


def test_a_tilted_foot_is_clocked_by_its_long_side():
    tilted = flat((0, 0, 0), (0, 0, 1), (math.sin(0.2), 0, math.cos(0.2)), 19.0)
    member = tube_through(((0, 0, 0), (0, 0, 600), (600, 0, 600)), tube=BAR, clr=114.0, start=tilted)
    assert lies(member, 0, clocking=0.1).startswith("long side 5.7° clockwise")
