"""Straights and bends of a path: tangent points, planes, clockings, and the faults."""

import math

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line, tangent_at
from cagewright.shape.paths import bends_of, corners_of, laid_out, overlapping, repeated


def path_of(points, radius=100.0):
    places = [np.array(p, dtype=float) for p in points]
    corners, faults = corners_of(places, [radius] * len(places))
    assert not faults
    path = laid_out(places, corners)
    return path, bends_of(path, corners)


def test_square_bend_in_one_plane():
    path, (bend,) = path_of([[0, 0, 0], [0, 0, 300], [400, 0, 300]])
    assert [type(p) for p in path.pieces] == [Line, Arc, Line]
    assert bend.start == pytest.approx(200)
    assert bend.stop == pytest.approx(200 + 50 * math.pi)
    assert path.length == pytest.approx(200 + 50 * math.pi + 300)
    # up, then back: the thumb of the right hand points to +across
    assert bend.normal == pytest.approx([0, 1, 0])
    assert bend.apex == pytest.approx([0, 0, 300])


def test_pieces_join_without_a_kink():
    path, _ = path_of([[0, 0, 0], [0, 0, 400], [500, 200, 500], [900, -300, 400]])
    for piece, after in zip(path.pieces, path.pieces[1:], strict=False):
        assert piece.stop == pytest.approx(after.start, abs=1e-9)
    for s in path.starts[1:-1]:
        assert tangent_at(path, s - 1e-7) == pytest.approx(tangent_at(path, s + 1e-7), abs=1e-8)


@pytest.mark.parametrize("turned", [0, 37, 90, -90, -150, 180])
def test_clocking_is_how_far_the_tube_is_turned_between_bends(turned):
    # up, a square bend to the back, then a square bend down: rolled right-handed about the back direction
    a = math.radians(turned)
    last = np.array([600.0, 0, 400]) + 400 * np.array([0, math.sin(a), -math.cos(a)])
    _, (first, second) = path_of([[0, 0, 0], [0, 0, 400], [600, 0, 400], last.tolist()])
    assert first.clocking == 0.0
    assert math.degrees(second.clocking) == pytest.approx(turned)


def test_a_place_on_a_straight_is_a_mark():
    path, bends = path_of([[0, 0, 0], [0, 0, 150], [0, 0, 400], [500, 0, 400]])
    assert len(bends) == 1
    assert len(path.pieces) == 3


def test_a_bend_that_uses_up_its_straight_leaves_none():
    path, _ = path_of([[0, 0, 0], [0, 0, 100], [100, 0, 100]])
    assert [type(p) for p in path.pieces] == [Arc]


def test_bends_that_use_up_the_straight_between_them_join():
    path, bends = path_of([[0, 0, 0], [0, 0, 300], [200, 0, 300], [200, 0, 0]])
    assert bends[0].stop == pytest.approx(bends[1].start)
    assert len(path.pieces) == 4


def faults_of(points, radius=100.0, units="mm"):
    places = [np.array(p, dtype=float) for p in points]
    corners, faults = corners_of(places, [radius] * len(places))
    return faults + overlapping(places, corners, units)


def test_overlapping_bends_say_which_and_by_how_much():
    (fault,) = faults_of([[0, 0, 0], [0, 0, 300], [190, 0, 300], [190, 0, 0]])
    assert fault.code == "bend-overlap"
    assert fault.found.startswith("the bends at place 2 and place 3 need 200.0 mm")
    assert "10.0 mm too few" in fault.found


def test_overlap_in_inches():
    (fault,) = faults_of([[0, 0, 0], [0, 0, 300], [190, 0, 300], [190, 0, 0]], units="in")
    assert '7/16" (-1.1 mm) too few' not in fault.found
    assert '13/32" too few' in fault.found


def test_a_bend_longer_than_its_leg():
    (fault,) = faults_of([[0, 0, 0], [0, 0, 90], [400, 0, 90]])
    assert fault.found.startswith("the bend at place 2 need")
    assert fault.index == 1


def test_doubling_back():
    (fault,) = faults_of([[0, 0, 0], [0, 0, 900], [50, 0, 10]])
    assert fault.code == "bend-too-sharp"


def test_no_radius():
    (fault,) = faults_of([[0, 0, 0], [0, 0, 900], [500, 0, 900]], radius=None)
    assert fault.code == "no-clr"


def test_repeated_places():
    places = [np.zeros(3), np.array([0, 0, 0.001]), np.array([0, 0, 5.0])]
    assert [f.code for f in repeated(places)] == ["zero-straight"]
    assert not repeated(places[1:])
