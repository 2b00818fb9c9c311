"""How a part goes in: by closed forms, by proofs, and its told way by python-fcl, an independent library."""

from itertools import pairwise

import fcl
import numpy as np
import pytest
from scipy.spatial.transform import Rotation, Slerp

from cagewright.fitup import kernels_way
from cagewright.fitup.carry import carried_in
from cagewright.fitup.kernels_way import sampled
from cagewright.fitup.opening import half_apart, never_through, opening_of
from cagewright.fitup.room import SPACING, Room, room_round
from cagewright.fitup.tacking import bench_group
from cagewright.fitup.way import (
    MARGINS,
    CarriedPart,
    _of,
    drawn_off,
    part_of,
    room_at,
    turned,
    way_between,
    way_in,
)
from cagewright.job.opening import open_job
from cagewright.job.order import shell_in
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import plain_body, shell_of
from fitted import EXAMPLES
from small_plans import HOOP_FEET, hoop, plan

UPRIGHT = [1.0, 0.0, 0.0, 0.0]


def quads(*corners):
    """Triangles (m, 3, 3) of quads given by their four corners in order."""
    return np.array([[q[i] for i in three] for q in corners for three in ((0, 1, 2), (0, 2, 3))], float)


def box(low, high):
    """The six sides of a box as triangles."""
    (a, b, c), (d, e, f) = low, high
    return quads(
        [(a, b, c), (d, b, c), (d, e, c), (a, e, c)], [(a, b, f), (d, b, f), (d, e, f), (a, e, f)],
        [(a, b, c), (d, b, c), (d, b, f), (a, b, f)], [(a, e, c), (d, e, c), (d, e, f), (a, e, f)],
        [(a, b, c), (a, e, c), (a, e, f), (a, b, f)], [(d, b, c), (d, e, c), (d, e, f), (d, b, f)],
    )  # fmt: skip


def wall_with_a_hole(wide, high, size=1500.0):
    """A wall at y = 0 with a hole ``wide`` along x and ``high`` up, its middle at (0, 0, 0)."""
    w, h, s = wide / 2, high / 2, size
    flat = [
        [(-s, -s), (s, -s), (s, -h), (-s, -h)], [(-s, h), (s, h), (s, s), (-s, s)],
        [(-s, -h), (-w, -h), (-w, h), (-s, h)], [(w, -h), (s, -h), (s, h), (w, h)],
    ]  # fmt: skip
    return quads(*[[(x, 0.0, z) for x, z in q] for q in flat])


def hole(wide, high):
    w, h = wide / 2, high / 2
    return opening_of(np.array([(-w, 0, -h), (w, 0, -h), (w, 0, h), (-w, 0, h)]), np.array([0.0, 900.0, 0.0]))


def rod(length, radius, along=0):
    """A straight rod with round ends, its middle at the origin."""
    tubes = np.zeros((1, 7))
    tubes[0, along], tubes[0, 3 + along], tubes[0, 6] = -length / 2, length / 2, radius
    return CarriedPart(tubes=tubes, names=("rod",), middle=np.zeros(3), reach=length / 2 + radius)


def meets_by_fcl(part: CarriedPart, poses, triangles, *, step=3.0, grown=0.0):
    """Whether the grown part meets the triangles anywhere on its way, by python-fcl."""
    model = fcl.BVHModel()
    model.beginModel(3 * len(triangles), len(triangles))
    model.addSubModel(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3))
    model.endModel()
    body = fcl.CollisionObject(model)
    middles, ways = (part.tubes[:, :3] + part.tubes[:, 3:6]) / 2, part.tubes[:, 3:6] - part.tubes[:, :3]
    long = np.linalg.norm(ways, axis=1)
    tubes = [fcl.Capsule(r + grown, float(size)) for r, size in zip(part.tubes[:, 6], long, strict=True)]
    lies = [laid(way / size) for way, size in zip(ways, long, strict=True)]
    for r, at in between_looks(part, poses, step):
        for tube, lie, middle in zip(tubes, lies, middles, strict=True):
            one = fcl.CollisionObject(tube, fcl.Transform(r @ lie, r @ middle + at))
            if fcl.collide(one, body, fcl.CollisionRequest(), fcl.CollisionResult()):
                return True
    return False


def laid(way):
    """The turn (3, 3) that lays the up axis along a unit way."""
    side = np.cross([1.0, 0, 0] if abs(way[0]) < 0.9 else [0, 1.0, 0], way)
    side = side / np.linalg.norm(side)
    return np.column_stack([side, np.cross(way, side), way])


def between_looks(part, poses, step):
    """Turns (3, 3) and places (3,) all along the way, no place moving further than ``step`` mm."""
    for one, two in pairwise(poses):
        turn = Slerp([0.0, 1.0], Rotation.concatenate([turned(one), turned(two)]))
        angle = (turned(one).inv() * turned(two)).magnitude()
        far = float(np.linalg.norm(two[:3] - one[:3])) + angle * part.reach
        for share in np.linspace(0.0, 1.0, int(far / step) + 2):
            yield turn(share).as_matrix(), one[:3] + share * (two[:3] - one[:3])


def room_of_triangles(triangles) -> Room:
    return room_round(sampled(triangles, SPACING))


def test_a_bar_that_fits_only_turned_is_turned_and_turned_back():
    """1200 mm of bar, to end across behind a hole 300 mm wide."""
    triangles, part = wall_with_a_hole(300, 500), rod(1200.0, 20.0)
    room, opening = room_of_triangles(triangles), hole(300, 500)
    way = way_in(part, room, opening, np.array([0.0, 700.0, 0.0]))
    assert way is not None
    assert way.poses[-1] == pytest.approx([0.0, 700.0, 0.0, *UPRIGHT])
    assert way.poses[0, 1] < -600.0
    # where its middle is in the wall it leans well out of the wall's plane
    shares = [Slerp([0, 1], Rotation.concatenate([turned(a), turned(b)])) for a, b in pairwise(way.poses)]
    i = next(i for i, (a, b) in enumerate(pairwise(way.poses)) if a[1] < 0.0 <= b[1])
    part_way = -way.poses[i, 1] / (way.poses[i + 1, 1] - way.poses[i, 1])
    lies = shares[i](part_way).apply([1.0, 0.0, 0.0])
    assert abs(lies[1]) > 0.5
    assert not meets_by_fcl(part, way.poses, triangles, grown=float(way.room.min()))


def test_the_same_seed_finds_the_same_way():
    triangles, part = wall_with_a_hole(300, 500), rod(1200.0, 20.0)
    room, opening, place = room_of_triangles(triangles), hole(300, 500), np.array([0.0, 700.0, 0.0])
    one, two = (way_in(part, room, opening, place) for _ in range(2))
    assert one is not None
    assert two is not None
    assert (one.poses == two.poses).all()


def corner(a, b, long=3000.0, high=120.0):
    """A passage ``a`` wide that turns into one ``b`` wide, between floor and ceiling ``high`` apart."""
    h = high / 2
    walls = [
        [(0, -long), (0, b)], [(0, b), (long, b)], [(a, -long), (a, 0)], [(a, 0), (long, 0)],
    ]  # fmt: skip
    sides = [[(*p, -h), (*q, -h), (*q, h), (*p, h)] for p, q in walls]
    flats = [[(0, -long, z), (long, -long, z), (long, b, z), (0, b, z)] for z in (-h, h)]
    return quads(*sides, *flats)


@pytest.mark.parametrize(("share", "goes"), [(0.93, True), (1.04, False)])
def test_the_longest_rod_round_a_corner(share, goes):
    """(a^(2/3) + b^(2/3))^(3/2) is the longest thin rod that goes level round a corner (textbook calculus).

    A rod of radius r with a margin m goes at least as a thin one does through passages narrower by twice
    both. Between floor and ceiling it may lean by 0.2 % of its length, no more.
    """
    a, b, radius = 500.0, 700.0, 8.0
    room = room_of_triangles(corner(a, b))
    longest = (a ** (2 / 3) + b ** (2 / 3)) ** 1.5
    less = 2.0 * (radius + MARGINS[-1])
    thin = ((a - less) ** (2 / 3) + (b - less) ** (2 / 3)) ** 1.5
    part = rod(share * (thin if goes else longest), radius, along=1)
    begin = np.array([[a / 2, -1600.0, 0.0, *UPRIGHT]])
    end = np.r_[1600.0, b / 2, 0.0, np.cos(np.pi / 4), 0.0, 0.0, -np.sin(np.pi / 4)]
    random = np.random.default_rng(3)
    turn = random.uniform(-np.pi / 2 - 0.2, 0.2, 20_000)
    targets = np.zeros((len(turn), 7))
    targets[:, 0], targets[:, 1] = random.uniform(0, 1000, len(turn)), random.uniform(-1000, b, len(turn))
    targets[:, 3], targets[:, 6] = np.cos(turn / 2), np.sin(turn / 2)
    way = way_between(part, room, begin, end, targets, MARGINS[-1])
    assert (way is not None) == goes


def ring_plan():
    """A hoop and a bar between its legs: a closed ring."""
    rows = {
        "hoop": hoop(),
        "low": (
            "bar",
            [{"on": "hoop", "side": "left", "up": 300}, {"on": "hoop", "side": "right", "up": 300}],
        ),
    }
    return resolve(plan(rows, feet=HOOP_FEET))


def test_a_ring_wider_than_the_hole_never_passes():
    cage = ring_plan()
    # the ring is at least as narrow as the straight line across at half its height
    small, large = hole(500, 500), hole(900, 900)
    never = never_through(cage.members, small)
    assert never is not None
    assert never.what == "ring"
    assert never.room == pytest.approx(500.0 * 2**0.5)
    assert never.size > never.room
    assert never_through(cage.members, large) is None
    # without the bar it is no ring any more, and nothing is proven
    assert never_through(cage.members[:1], small) is None


def test_the_bar_that_makes_it_a_ring_waits_outside():
    """Without it the hoop is threaded through a hole far smaller than itself, one leg first."""
    cage = ring_plan()
    edge = hole(640, 640).edge + np.array([0.0, -1000.0, 700.0])
    found = carried_in(cage, shell_of(cage, None), edge, ["hoop", "low"])
    assert found.never is not None
    assert (found.members, found.waits, found.where) == (("hoop",), ("low",), "car")
    assert found.way is not None
    assert found.way.poses[0, 1] < -1000.0 - 500.0


def test_a_circle_is_its_diameter_across_half_way_round():
    turn = np.linspace(0.0, 2.0 * np.pi, 200, endpoint=False)
    circle = 300.0 * np.column_stack([np.cos(turn), np.sin(turn), 0.0 * turn])
    assert half_apart(circle) == pytest.approx(600.0, abs=5.0)
    # a long thin one is as narrow as it is wide
    assert half_apart(circle * [1.0, 0.2, 1.0]) == pytest.approx(120.0, abs=5.0)


def test_a_tube_thicker_than_the_hole_never_passes():
    never = never_through(ring_plan().members[:1], hole(400, 30))
    assert never is not None
    assert never.what == "tube"
    assert never.size == 45.0


def test_an_opening_needs_an_area():
    with pytest.raises(ValueError, match="area"):
        opening_of(np.array([[0.0, 0, 0], [1, 0, 0], [2, 0, 0]]), np.zeros(3))


def test_the_opening_faces_out_of_the_car():
    assert hole(300, 500).out == pytest.approx([0.0, -1.0, 0.0])


def test_room_is_the_distance_to_the_nearest_metal():
    """A rod along x, under a flat ceiling: as far as that is, less its radius; 4 mm too little at most."""
    ceiling = quads([(-900, -900, 0), (900, -900, 0), (900, 900, 0), (-900, 900, 0)])
    room, part = room_of_triangles(ceiling), rod(800.0, 20.0)
    for away in (25.0, 33.0, 47.5):
        told = room_at(part, room, np.r_[3.0, 7.0, -away, UPRIGHT])
        assert away - 20.0 - 4.0 < told <= away - 20.0
    assert room_at(part, room, np.r_[3.0, 7.0, -12.0, UPRIGHT]) < 0.0


def test_what_touches_is_not_drawn_off():
    room = room_of_triangles(quads([(-900, -900, 0), (900, -900, 0), (900, 900, 0), (-900, 900, 0)]))
    part = rod(800.0, 20.0)
    assert drawn_off(part, room, np.r_[0.0, 0.0, -21.0, UPRIGHT]) is None
    off = drawn_off(part, room, np.r_[0.0, 0.0, -25.0, UPRIGHT])
    assert off is not None
    assert off[2] < -25.0


@pytest.mark.slow
@pytest.mark.parametrize("name", ["brackwater", "pellworth"])
def test_the_demos_go_in_and_fcl_finds_no_metal_on_their_way(name):
    """By the surfaces, not by the search's points; what is guessed beside its place is left out."""
    job = open_job(EXAMPLES / f"{name}.yaml")
    shell, names = shell_in(job), bench_group(job.cage)
    line = next(x for x in job.cage.lines if x.name == "door_opening_left")
    found = carried_in(job.cage, shell, line.points, names)
    assert found.way is not None
    assert (found.waits, found.never, found.where) == ((), None, "car")
    part = part_of([m for m in job.cage.members if m.name in names])
    body, opening = plain_body(shell, job.cage.feet), opening_of(line.points, part.middle)
    metal = np.concatenate([body.corners[body.faces], skin_round(opening)])
    place = np.concatenate([part.tubes[:, :3], part.tubes[:, 3:6]]) + part.middle
    ends = np.linalg.norm(metal.mean(axis=1)[:, None] - along(place), axis=2).min(axis=1)
    assert not meets_by_fcl(part, found.way.poses, metal[ends > 80.0], step=8.0)
    # the same way with the part grown by 50 mm does meet it
    assert meets_by_fcl(part, found.way.poses, metal[ends > 80.0], step=40.0, grown=50.0)


def along(places):
    return np.concatenate([
        a + np.linspace(0, 1, 9)[:, None] * (b - a) for a, b in zip(*np.split(places, 2), strict=True)
    ])


def skin_round(opening):
    """200 mm of flat skin round each side of the hole, as far as it is flat."""
    edge, middle = opening.edge, opening.at
    out = [p + 200.0 * (p - middle) / np.linalg.norm(p - middle) for p in edge]
    rows = zip(edge, np.roll(edge, -1, axis=0), np.roll(out, -1, axis=0), out, strict=True)
    return quads(*rows)


def test_a_turn_moves_the_ends():
    """Half a turn moves a place 400 mm from the middle along half a circle of it: pi times 400."""
    moved = kernels_way.apart(
        np.array([0, 0, 0, *UPRIGHT]), np.array([0, 0, 30.0, 0.0, 0.0, 0.0, 1.0]), 400.0
    )
    assert moved == pytest.approx(30.0 + np.pi * 400.0)


def test_a_stretch_that_is_barred_half_way_is_told_at_once():
    """A rod 40 mm thick toward a wall: 6 mm before it, 274 of 600 mm are free."""
    room, part = room_of_triangles(wall_with_a_hole(10, 10)), rod(400.0, 20.0)
    aside, here, beyond = (
        np.r_[x, y, 0.0, UPRIGHT] for x, y in ((500.0, 300.0), (0.0, 300.0), (0.0, -300.0))
    )
    asked = (part.reach, part.tubes, _of(room), 6.0, 6.0)
    for all_or_none in (True, False):
        assert kernels_way.free_share(here, aside, *asked, all_or_none)[0] == 1.0
    assert kernels_way.free_share(here, beyond, *asked, True)[0] == 0.0
    assert kernels_way.free_share(here, beyond, *asked, False)[0] == pytest.approx(274.0 / 600.0, abs=0.02)
