"""The seated driver's parts and how near the tubes come to them, by hand."""

import numpy as np
import pytest

from body_cages import cage, straight
from cagewright.plan.types import PersonEntry
from cagewright.shape.seated import head_centre, limits, seated_gaps, seated_parts

HEAD = (0.0, 0.0, 900.0)


def driver(**more) -> PersonEntry:
    return PersonEntry(**{"hip": [-300, 0, 250], "head": list(HEAD), "helmet": 300, **more})


def parts(name: str, **more):
    return tuple(part for part in seated_parts(driver(**more)) if part.name == name)


def test_a_measured_head_is_where_it_was_measured():
    centre, doubt, source, certainty = head_centre(driver())
    assert tuple(centre) == HEAD
    assert (doubt, certainty) == (0.0, "shop")
    assert "measured" in source


def test_measured_eyes_place_the_head_half_its_length_behind_them():
    centre, doubt, _, certainty = head_centre(driver(head=None, eyes=[100, -330, 880]))
    assert centre == pytest.approx([100.0 + 199.5 / 2.0, -330.0, 880.0])
    assert (doubt, certainty) == (7.0, "computed")
    assert tuple(head_centre(driver(eyes=[100, -330, 880]))[0]) == HEAD


def test_a_measured_shoulder_is_the_top_of_the_bar():
    (shoulders,) = parts("shoulder", shoulder=[-150, 0, 700], back_angle="0 deg")
    assert (shoulders.one + shoulders.two) / 2.0 == pytest.approx([-150.0, 0.0, 625.0])


def test_a_taller_driver_s_head_is_higher():
    low = head_centre(driver(head=None, stature=1650))[0]
    high = head_centre(driver(head=None, stature=1900))[0]
    assert high[2] > low[2] + 50.0
    assert high[0] > low[0]


def test_measured_breadths_win():
    (shoulders,) = parts("shoulder", shoulders=500)
    assert shoulders.one[1] == pytest.approx(-(250.0 - 75.0))
    assert shoulders.doubt == 0.0
    (hips,) = parts("hip", hips=420)
    assert hips.two[1] == pytest.approx(110.0)


def test_breadth_without_a_measure_goes_by_stature_and_people():
    man, woman = (parts("hip", stature=1755, people=people)[0].two[1] for people in ("men", "women"))
    assert woman > man > 80.0


def test_measured_knees_win():
    assert [tuple(k.one) for k in parts("knee", knees=[[-700, -200, 400], [-700, 150, 410]])] == [
        (-700.0, -200.0, 400.0), (-700.0, 150.0, 410.0),
    ]  # fmt: skip
    assert len(parts("knee")) == 2


def test_the_gap_from_a_tube_to_the_helmet():
    bar = straight("bar", (-500, 0, 1100), (500, 0, 1100))
    (gap,) = seated_gaps(cage(bar), parts("helmet"))
    assert gap.gap == pytest.approx(200.0 - 150.0 - 19.0)
    assert gap.along == pytest.approx(500.0)
    assert tuple(gap.on_tube) == pytest.approx((0.0, 0.0, 1081.0))
    assert gap.overlap == 0.0


def test_a_tube_in_the_helmet_has_no_gap_but_an_overlap():
    bar = straight("bar", (-500, 0, 1000), (500, 0, 1000))
    (gap,) = seated_gaps(cage(bar), parts("helmet"))
    assert (gap.gap, gap.overlap) == (0.0, pytest.approx(69.0))


def test_what_the_helmet_can_reach():
    """300 mm of reach round a 150 mm ball, tube outside 281 mm away: a chord of sqrt(469^2 - 300^2)."""
    bar = straight("bar", (-900, 0, 1200), (900, 0, 1200))
    (gap,) = seated_gaps(cage(bar), parts("helmet"))
    reach = next(limit.reach for limit in limits() if limit.part == "helmet")
    half = np.sqrt((150.0 + 19.0 + reach) ** 2 - 300.0**2)
    ((start, stop),) = gap.reach
    assert (start, stop) == pytest.approx((900.0 - half, 900.0 + half), abs=6.0)  # looked at every 5 mm


def test_a_tube_out_of_reach_is_not_padded_and_a_far_one_not_told():
    near, far = straight("near", (-500, 0, 1450), (500, 0, 1450)), straight("far", (0, 0, 4000), (1, 0, 4000))
    (gap,) = seated_gaps(cage(near, far), parts("helmet"))
    assert (gap.member, gap.reach) == ("near", ())


def test_nearest_first():
    a, b = straight("a", (-500, 0, 1150), (500, 0, 1150)), straight("b", (-500, 0, 1100), (500, 0, 1100))
    assert [gap.member for gap in seated_gaps(cage(a, b), parts("helmet"))] == ["b", "a"]
