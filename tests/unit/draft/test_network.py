"""Points from coordinates and distances by least squares, and the reading that the others contradict."""

import numpy as np
import pytest

from cagewright.draft.network import Observation, solve

SQUARE = {"a": (0.0, 0.0, 0.0), "b": (300.0, 0.0, 0.0), "c": (300.0, 400.0, 0.0), "d": (0.0, 400.0, 0.0)}


def coordinate(point: str, axis: int, seen: float, spread: float = 2.0, reading: str = "tape") -> Observation:
    return Observation(
        reading=reading, part=point, value=str(axis), seen=seen, spread=spread, point=point, axis=axis
    )


def distance(a: str, b: str, seen: float) -> Observation:
    return Observation(
        reading="tape", part=f"{a}{b}", value="distance", seen=seen, spread=2.0, point=a, other=b
    )


def square(**slips: float) -> list[Observation]:
    """Every coordinate, side and diagonal of a rectangle of 300 by 400: a 3-4-5 triangle twice."""
    seen = [coordinate(n, i, p[i]) for n, p in SQUARE.items() for i in range(3)]
    sides = [("a", "b", 300.0), ("b", "c", 400.0), ("c", "d", 300.0), ("a", "d", 400.0)]
    seen += [distance(a, b, size) for a, b, size in (*sides, ("a", "c", 500.0), ("b", "d", 500.0))]
    return [
        Observation(**{**{k: getattr(o, k) for k in o.__slots__}, "seen": o.seen + slips.get(o.part, 0.0)})
        for o in seen
    ]


def test_a_sound_set_gives_its_points_back():
    solved = solve(square(), dict.fromkeys(SQUARE, (10.0, 10.0, 0.0)))
    for name, place in SQUARE.items():
        assert solved.points[name] == pytest.approx(place, abs=1e-6)
    assert solved.slips == ()
    assert solved.loose == ()


def test_a_point_is_found_from_three_distances_alone():
    # trilateration: 3-4-5 triangles again, by hand; the start picks the side of the plane
    known = [coordinate(n, i, SQUARE[n][i], 0.01) for n in "abd" for i in range(3)]
    to_top = [distance(n, "t", size) for n, size in (("a", 500.0), ("b", 500.0), ("d", np.hypot(500.0, 0.0)))]
    solved = solve([*known, *to_top], {**SQUARE, "t": (100.0, 150.0, 300.0)})
    assert solved.points["t"] == pytest.approx((150.0, 200.0, np.sqrt(250000 - 150**2 - 200**2)), abs=0.05)


@pytest.mark.parametrize("part", ["ab", "bc", "ac", "bd"])
def test_a_slip_in_a_distance_is_named(part):
    solved = solve(square(**{part: 50.0}), SQUARE)
    (slip,) = solved.slips
    assert slip.reading.part == part
    assert slip.reading.seen - slip.others == pytest.approx(50.0, abs=1e-6)


def test_a_small_scatter_is_no_slip():
    solved = solve(square(ab=3.0, bc=-3.0, bd=2.0), SQUARE)
    assert solved.slips == ()


def test_two_slips_are_both_named():
    solved = solve(square(ab=50.0, bd=-40.0), SQUARE)
    assert {s.reading.part for s in solved.slips} == {"ab", "bd"}


def test_what_cannot_be_told_apart_is_said():
    # one line of three marks: a wrong half or a wrong whole look the same
    marks = [coordinate("a", i, 0.0, 0.01) for i in range(3)] + [
        coordinate("b", 0, 650.0), coordinate("b", 1, 0.0, 0.01), coordinate("b", 2, 0.0, 0.01),
        distance("a", "b", 600.0),
    ]  # fmt: skip
    (slip,) = solve(marks, SQUARE).slips
    assert len(slip.alike) == 1


def test_a_point_that_nothing_fixes_is_loose():
    solved = solve([*square(), coordinate("e", 0, 100.0)], SQUARE)
    assert solved.loose == ("e",)
    assert set(solved.points) == set(SQUARE)


def test_a_number_without_a_check_is_told():
    solved = solve([*square(), *(coordinate("e", i, 5.0) for i in range(3))], SQUARE)
    # nothing but its own three numbers tells where e is
    assert {o.part for o in solved.unchecked if o.value in "01"} == {"e"}


def test_a_points_spread_is_its_readings_and_smaller_where_more_was_read():
    once = solve([coordinate("e", i, 5.0) for i in range(3)], SQUARE)
    assert once.spreads["e"] == pytest.approx([2.0] * 3)
    # the mean of four readings is out by half as much (any text on errors)
    four = solve([coordinate("e", i, 5.0) for i in range(3) for _ in range(4)], SQUARE)
    assert four.spreads["e"] == pytest.approx([1.0] * 3)


def test_the_residuals_spread_is_the_chi_square_one():
    # variance of unit weight has expectation 1 where the spreads are right (any text on adjustment)
    rng = np.random.default_rng(7)
    squares = []
    for _ in range(60):
        noisy = [
            Observation(**{**{k: getattr(o, k) for k in o.__slots__}, "seen": o.seen + rng.normal(0.0, 2.0)})
            for o in square()
        ]
        squares.append(solve(noisy, SQUARE, most=0).scatter ** 2)
    # 6 degrees of freedom, 60 sets: standard error of the mean is sqrt(2 / 360) = 0.075; 4 of them allowed
    assert np.mean(squares) == pytest.approx(1.0, abs=0.3)
