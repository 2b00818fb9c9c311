"""A given notch's gap against meshes of the tubes: made by trimesh, measured by python-fcl, to 0.1 mm."""

import math
from dataclasses import replace

import fcl
import numpy as np
import pytest
import trimesh

from cagewright.plan.read import read_plan_text
from cagewright.shape.given import fresh, notch_end, shortfall, slid, stands, to_grind, turned
from cagewright.shape.resolve import resolve

TWO_HOOPS = """cagewright: 1
title: a bar between two hoops
tubes:
  hoop: {{od: 45, wall: 2.5, steel: E355+N, clr: 135}}
  bar: {{od: 38, wall: 2.5, steel: E355+N}}
members:
  front: {{role: main rollbar, tube: hoop, path: [{{foot: f1}}, [0, -400, 0], [0, 600, 0], {{foot: f2}}]}}
  rear: {{role: main rollbar, tube: hoop, path: [{{foot: f3}}, [800, -400, 0], [800, 600, 0], {{foot: f4}}]}}
  bar:
    role: longitudinal member
    tube: bar
    path: [[0, {at}, 0], [800, {to}, 0]]
    given: {{start: {{angle: {angle} deg, od: {od}, offset: {offset}, heel: {heel}}}}}
feet:
  f1: {{at: [0, -400, -400], on: sill, plate: [100, 100, 3]}}
  f2: {{at: [0, 600, -400], on: sill, plate: [100, 100, 3]}}
  f3: {{at: [800, -400, -400], on: sill, plate: [100, 100, 3]}}
  f4: {{at: [800, 600, -400], on: sill, plate: [100, 100, 3]}}
"""


def end_of(*, at=0, to=0, angle=90.0, od=45.0, offset=0.0, heel="[0, 1, 0]"):
    """The bar's notched end, cut for a tube that need not be the one that is there."""
    text = TWO_HOOPS.format(at=at, to=to, angle=angle, od=od, offset=offset, heel=heel)
    cage = resolve(read_plan_text(text))
    return notch_end(cage, "bar", "start")


def cylinder(one, two, radius):
    """A fine mesh of a round bar."""
    return trimesh.creation.cylinder(radius=radius, segment=[one, two], sections=720)


def edge_on(mesh, end, radius, phi):
    """Where the bar's wall of that radius, coming from inside the bar, first meets the mesh's triangles."""
    cope = end.cope
    out = np.cos(phi)[:, None] * cope.zero + np.sin(phi)[:, None] * np.cross(cope.axis, cope.zero)
    start = cope.origin + radius * out + 200.0 * cope.axis
    a, b, c = (mesh.triangles[:, i] for i in range(3))
    run = []
    for one in start:  # Moller and Trumbore, 1997
        p = np.cross(-cope.axis, c - a)
        size = np.einsum("ij,ij->i", b - a, p)
        with np.errstate(all="ignore"):
            u = np.einsum("ij,ij->i", one - a, p) / size
            q = np.cross(one - a, b - a)
            v, t = q @ -cope.axis / size, np.einsum("ij,ij->i", c - a, q) / size
            run.append(np.nanmin(t[(u >= -1e-9) & (v >= -1e-9) & (u + v <= 1.0 + 1e-9)]))
    return start - np.array(run)[:, None] * cope.axis


def away_from(mesh, spots):
    """How far each spot is from the surface of the mesh, by python-fcl."""
    model = fcl.BVHModel()
    model.beginModel(len(mesh.vertices), len(mesh.faces))
    model.addSubModel(mesh.vertices, mesh.faces)
    model.endModel()
    there = fcl.CollisionObject(model)
    dots = (fcl.CollisionObject(fcl.Sphere(1e-3), fcl.Transform(spot)) for spot in spots)
    away = [fcl.distance(dot, there, fcl.DistanceRequest(), fcl.DistanceResult()) for dot in dots]
    return np.maximum(away, 0.0)


def front_hoop():
    """The top of the front hoop and its right-hand bend, as rings of triangles."""
    turns = np.linspace(0.0, math.pi / 2.0, 46)
    bend = np.array([0.0, 465.0, -135.0]) + 135.0 * np.column_stack([0 * turns, np.sin(turns), np.cos(turns)])
    line = np.vstack([[[0.0, -265.0, 0.0]], bend])
    ways = np.column_stack([0 * turns, np.cos(turns), -np.sin(turns)])
    ways = np.vstack([ways[:1], ways])
    round_ = np.linspace(0.0, math.tau, 120, endpoint=False)
    back = np.array([1.0, 0.0, 0.0])
    rings = [
        p + 22.5 * (np.cos(round_)[:, None] * back + np.sin(round_)[:, None] * np.cross(way, back))
        for p, way in zip(line, ways, strict=True)
    ]
    i, j = np.meshgrid(np.arange(len(line) - 1), np.arange(120), indexing="ij")
    a, b = (120 * i + j).ravel(), (120 * i + (j + 1) % 120).ravel()
    faces = np.vstack([np.column_stack([a, b, a + 120]), np.column_stack([b, b + 120, a + 120])])
    return trimesh.Trimesh(np.vstack(rings), faces, process=False)


CASES = [
    {},
    {"od": 51.0},
    {"od": 40.0},
    {"angle": 60.0, "to": 400, "heel": "[0, -1, 0]"},
    {"angle": 84.0, "heel": "[0, -1, 0]"},
    {"offset": 3.0},
    {"heel": "[0, 0.9, 0.4]"},
    {"at": 470, "to": 470},  # beside the bend, which begins 135 mm before the corner at 600
]


@pytest.mark.parametrize("case", CASES, ids=str)
def test_the_gap_against_meshes(case):
    end = end_of(**case)
    found = stands(end)
    cope, given = end.cope, {"angle": 90.0, "od": 45.0, "offset": 0.0} | case
    aside = np.cross(cope.axis, cope.zero)
    b = math.radians(given["angle"])
    along = math.cos(b) * cope.axis - math.sin(b) * cope.zero
    middle = cope.origin + given["offset"] * aside
    cut_for = cylinder(middle - 400.0 * along, middle + 400.0 * along, given["od"] / 2.0)
    meets = front_hoop()
    phi, gap = found.phi[::3], found.gap[::3]
    least = np.full(len(phi), np.inf)
    for radius in (19.0, 16.5):
        edge = edge_on(cut_for, end, radius, phi)
        away = away_from(meets, edge)
        inside = np.linalg.norm(edge - _axis_points(edge), axis=1) < 22.5
        least = np.minimum(least, np.where(inside, -away, away))
    assert np.abs(gap - least).max() < 0.1


def _axis_points(spots):
    """The nearest points of the front hoop's centre line: its straight, or its bend."""
    flat = np.column_stack([0 * spots[:, 0], np.clip(spots[:, 1], -265.0, 465.0), 0 * spots[:, 0]])
    way = spots - [0.0, 465.0, -135.0]
    way[:, 0] = 0.0
    bent = np.array([0.0, 465.0, -135.0]) + 135.0 * way / np.linalg.norm(way, axis=1)[:, None]
    return np.where((spots[:, 1] > 465.0)[:, None], bent, flat)


def test_a_notch_cut_for_what_it_meets_is_closed_all_round():
    for case in ({}, {"angle": math.degrees(math.atan2(800, 400)), "to": 400, "heel": "[0, -1, 0]"}):
        found = stands(end_of(**case))
        assert np.abs(found.gap).max() < 1e-6
        assert abs(found.home) < 1e-6


def test_a_notch_for_a_larger_tube_goes_home_by_the_difference_in_radius():
    found = stands(end_of(od=51.0))
    assert found.home == pytest.approx(3.0, abs=1e-6)
    assert float(found.pushed.min()) == pytest.approx(0.0, abs=1e-6)


def test_turning_puts_a_notch_right_that_was_clocked_wrong():
    end = end_of(heel="[0, 0.9, 0.4]")
    shift = turned(end, limit=0.01)
    assert math.degrees(shift.by) == pytest.approx(-math.degrees(math.atan2(0.4, 0.9)), abs=0.3)
    assert shift.left < 0.02


def test_moving_along_puts_a_notch_right_whose_angle_is_a_little_out():
    shift, way = slid(end_of(angle=89.3), limit=0.05)
    # by hand: 0.7 deg over the 800 mm to the other end is 9.8 mm
    assert abs(shift.by) == pytest.approx(9.8, abs=1.2)
    assert abs(float(way[1])) == pytest.approx(1.0)
    assert shift.left < 0.06


def test_what_is_ground_off_leaves_no_more_than_the_limit():
    end = end_of(angle=80.0)
    grind = to_grind(end, limit=1.0)
    assert grind is not None
    ground = replace(
        end,
        cope=replace(
            end.cope,
            outside=end.cope.outside + grind.off,
            inside=end.cope.inside + grind.off,
            origin=end.cope.origin - grind.advance * end.cope.axis,
        ),
    )
    left = stands(ground)
    assert 0.8 < float(left.gap.max()) < 1.05
    # outside and bore are ground alike, so the wall touches at one of its two edges only
    assert float(shortfall(ground.cope, fresh(ground)).min()) > -0.06


def test_a_mirrored_member_has_the_mirrored_notch():
    text = TWO_HOOPS.format(at=-200, to=-150, angle=80, od=45, offset=3, heel="[0, 1, 0.2]")
    text = text.replace("    given:", "    mirror: twin\n    given:")
    text = text.replace("-400, ", "-500, ").replace(" 600, ", " 500, ")
    cage = resolve(read_plan_text(text))
    one, two = (stands(notch_end(cage, name, "start")).gap for name in ("bar", "twin"))
    assert np.allclose(one, np.roll(two[::-1], 1), atol=1e-6)
    assert np.ptp(one) > 1.0
