"""One tube brought to a gap under constraints: beside lines and surfaces whose answer is known by hand."""

from dataclasses import replace

import numpy as np
import pytest

from cagewright.draft.beside import LEADS, beside_lines, beside_mesh, cloud_beside
from cagewright.draft.freedoms import missing_freedom
from cagewright.draft.tighten import BETTER, Loose, gained, path_of, tightened
from cagewright.shape.mesh import mesh_of
from cagewright.shape.shell import body_line

RADIUS, GAP = 19.0, 10.0


def tube(places, *, reach=70.0, least_straight=50.0, clr=114.0) -> Loose:
    places = np.array(places, dtype=float)
    ways = np.zeros((2 * (len(places) - 2), len(places), 3))
    for i in range(1, len(places) - 1):
        ways[2 * i - 2, i, 1], ways[2 * i - 1, i, 2] = 1.0, 1.0
    return Loose(
        places=places, radii=(clr,) * len(places), radius=RADIUS, ways=ways, reach=reach,
        least_straight=least_straight,
    )  # fmt: skip


def roof(height: float = 1200.0):
    """A level roof line across, and a tube under it from side to side."""
    line = body_line("roof", "roof", np.array([[0.0, y, height] for y in (-700.0, 0.0, 700.0)]), middle=600.0)
    return beside_lines([line], (), -np.inf)


START = [[0.0, -600.0, 400.0], [0.0, -500.0, 1140.0], [0.0, 500.0, 1150.0], [0.0, 600.0, 400.0]]


def test_a_straight_under_a_straight_comes_to_the_gap():
    done = tightened(tube(START), roof(), target=GAP, least=2.0)
    # the axis stands gap + radius under the line; the bends' ends hang lower, and the worst counts too: 4 mm
    assert done.places[1:3, 2] == pytest.approx([1200.0 - GAP - RADIUS] * 2, abs=4.0)
    assert done.before is not None
    assert done.after is not None
    assert done.after[1] == pytest.approx(GAP, abs=1.5)
    assert done.before[1] > done.after[1]


def test_it_never_goes_nearer_than_the_least_gap():
    bowed = np.array([
        [0.0, y, 1200.0 - 30.0 * np.cos(np.pi * y / 1400.0)] for y in np.linspace(-700, 700, 15)
    ])
    line = body_line("roof", "roof", bowed, middle=600.0)
    done = tightened(tube(START), beside_lines([line], (), -np.inf), target=GAP, least=8.0)
    assert done.after is not None
    assert done.after[0] >= 8.0 - 0.05
    assert any("may not go nearer" in word for word in done.held)


def test_a_tube_that_starts_through_the_roof_is_brought_under_it():
    over = [[x, y, z + (60.0 if z > 1000.0 else 0.0)] for x, y, z in START]
    done = tightened(tube(over), roof(), target=GAP, least=2.0)
    assert done.after is not None
    assert done.after[0] >= 2.0 - 0.05
    assert done.places[1:3, 2].max() < 1200.0 - RADIUS


def test_the_reach_is_a_distance_and_said_to_be_used_up():
    # up to the roof and out to the side: each way alone could take all of the reach
    body = np.array([[0.0, y, 1290.0 - abs(y) / 10.0] for y in np.linspace(-900, 900, 19)])
    line = body_line("roof", "roof", body, middle=600.0)
    done = tightened(tube(START, reach=40.0), beside_lines([line], (), -np.inf), target=GAP, least=2.0)
    moved = np.linalg.norm(done.places - np.array(START), axis=1)
    assert moved.max() <= 40.0 + 1e-3
    assert moved.max() == pytest.approx(done.moved)
    assert "2 of 2 bends are moved as far as they may" in done.held


def test_only_a_result_that_lies_better_by_its_own_measure_is_taken():
    start = tube(START)
    done = tightened(start, roof(), target=GAP, least=2.0)
    near, off = done.places, np.array([[0.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, 1.0], [0.0, 0.0, 0.0]])

    def better(was: Loose, places) -> bool:
        return gained(was, places, roof(), target=GAP, least=5.0).over(BETTER)

    assert better(start, near)
    assert not better(tube(near), np.array(START))
    assert not better(tube(near), near)
    # 30 mm too low is worse than 2 mm from the roof by the mean, but that is under the least gap
    low, touching = near - 30.0 * off, near + 7.0 * off
    assert better(tube(low), near)
    assert not better(tube(low), touching)
    # one that stands through the roof may come out of it as far as it can
    assert better(tube(near + 40.0 * off), touching)


def test_the_ends_and_the_plane_stay():
    done = tightened(tube(START), roof(), target=GAP, least=2.0)
    assert done.places[[0, -1]] == pytest.approx(np.array(START)[[0, -1]])
    assert done.places[:, 0] == pytest.approx(0.0)


def test_straights_stay_as_long_as_the_die_needs():
    stepped = np.array([
        [0.0, -700.0, 1200.0],
        [0.0, -60.0, 1200.0],
        [0.0, 60.0, 1260.0],
        [0.0, 700.0, 1260.0],
    ])
    line = body_line("roof", "roof", stepped, middle=600.0)
    places = [[0.0, -600.0, 1150.0], [0.0, -150.0, 1165.0], [0.0, 150.0, 1215.0], [0.0, 600.0, 1220.0]]
    loose = tube(places, least_straight=160.0, reach=120.0)
    done = tightened(loose, beside_lines([line], (), -np.inf), target=GAP, least=1.0)
    path = path_of(done.places, loose.radii)
    assert path is not None
    assert path.pieces[2].length >= 160.0 - 0.1
    assert path.pieces[2].length <= 175.0  # the step alone would have it near 100: the die is what holds it


def test_what_cannot_be_bent_has_no_path():
    assert path_of(np.array([[0.0, 0.0, 0.0], [0.0, 50.0, 0.0], [0.0, 50.0, 50.0]]), (114.0,) * 3) is None
    assert (
        path_of(np.array([[0.0, 0.0, 0.0], [0.0, 500.0, 0.0], [0.0, 500.0, 500.0]]), (114.0,) * 3) is not None
    )


def test_beside_a_corner_a_tube_does_not_turn_round_the_line():
    line = body_line(
        "rail", "roof rail", np.array([[0.0, -500.0, 1200.0], [1000.0, -500.0, 1200.0]]), middle=600.0
    )
    # half way between the level roof and the upright side
    assert line.inward[0] == pytest.approx([0.0, np.sqrt(0.5), -np.sqrt(0.5)])
    rail = np.array([[x, -500.0, 1200.0] for x in (400.0, 500.0, 600.0)])
    look = beside_lines([line], (), -np.inf)
    inside = look(rail + 40.0 * line.inward[0])
    assert inside.follows.all()
    assert inside.away == pytest.approx([40.0] * 3)
    beside = look(rail + 40.0 * np.cross(line.inward[0], [1.0, 0.0, 0.0]))
    assert beside.away == pytest.approx([0.0] * 3, abs=1e-9)


def test_the_bend_that_is_missing_is_named_with_what_it_would_bring():
    peaked = np.array([[0.0, -700.0, 1130.0], [0.0, 0.0, 1230.0], [0.0, 700.0, 1130.0]])
    look = beside_lines([body_line("roof", "roof", peaked, middle=600.0)], (), -np.inf)
    start = tube(START)
    done = tightened(start, look, target=GAP, least=2.0)
    lack = missing_freedom(start, done.places, look, target=GAP, least=2.0)
    assert lack is not None
    assert lack.freed == "bends"
    assert lack.between[0] == (2, 3)
    assert lack.now.worst - lack.then.worst >= 10.0
    assert lack.then.share > lack.now.share + 0.1
    flat = tightened(start, roof(), target=GAP, least=2.0)
    corners = missing_freedom(start, flat.places, roof(), target=GAP, least=2.0)
    assert corners is not None
    assert corners.freed == "radius"
    assert corners.tube.radii == pytest.approx([0.6 * 114.0] * 4)
    assert corners.then.worst < corners.now.worst - 2.0


def test_where_nothing_that_is_tried_helps_that_is_told():
    stepped = [[0.0, -700.0, 1130.0], [0.0, -10.0, 1130.0], [0.0, 10.0, 1190.0], [0.0, 700.0, 1190.0]]
    look = beside_lines([body_line("roof", "roof", np.array(stepped), middle=600.0)], (), -np.inf)
    start = replace(tube(START), ways=tube(START).ways[:0])
    lack = missing_freedom(start, start.places, look, target=GAP, least=2.0)
    assert lack is not None
    assert lack.freed in ("end", "nothing")
    assert lack.then == lack.now


@pytest.mark.parametrize(("foot", "follows"), [(150.0, False), (LEADS - 5.0, True)])
def test_a_straight_that_only_leads_from_a_foot_to_the_body_follows_nothing(foot, follows):
    corners = [[x, -500.0, z] for x in (-500.0, 500.0) for z in (-200.0, 2000.0)]
    wall = mesh_of(np.array(corners), np.array([[0, 1, 2], [1, 3, 2]]))
    up = np.arange(0.0, 1600.0, 20.0)
    off = np.where(up < 800.0, foot + (30.0 - foot) * up / 800.0, 30.0)
    points = np.stack([np.zeros(len(up)), off - 500.0, up], axis=1)
    near = cloud_beside(wall, points, 40.0)
    assert near is not None
    seen = beside_mesh(wall, middle=700.0, skip=250.0, near=near)(points)
    assert seen.follows[(up > 600.0) & (up < 780.0)].all() == follows
    assert seen.follows[up > 820.0].all()
    assert not seen.follows[up <= 250.0].any()
    assert seen.counts[up > 250.0].all()
