import math
from dataclasses import replace

import numpy as np
import pytest

from cagewright.make.weights import cut_volume, member_weight, polygon, weigh
from cagewright.plan.types import BoltsEntry
from cagewright.shape.types import Foot, Gusset, Plate
from handmade import BAR, HOOP, flat, saddle
from shopmade import DEG, cage_of, tee, tube_through


def test_a_metre_of_tube():
    # 38 x 2.5: 2.1887 kg/m; 45 x 2.5: 2.6203 kg/m (A = pi/4 (D2 - d2) at 7850 kg/m3, computed)
    bar = member_weight(tube_through(((0, 0, 0), (0, 0, 1000)), tube=BAR))
    assert bar.mass == pytest.approx(2.1887, abs=5e-5)
    assert bar.centre == pytest.approx([0.0, 0.0, 500.0])
    assert member_weight(tube_through(((0, 0, 0), (0, 0, 1000)))).mass == pytest.approx(2.6203, abs=5e-5)


def test_a_square_bend_balances_where_lines_and_arc_do():
    member = tube_through(((0, 0, 0), (0, 0, 435), (335, 0, 435)))
    got = member_weight(member)
    arc = 135.0 * math.pi / 2.0
    # centre of a quarter circle: 2 R / pi from its centre each way (Pappus)
    parts = [
        (300.0, 0.0, 150.0),
        (arc, 135.0 - 270.0 / math.pi, 300.0 + 270.0 / math.pi),
        (200.0, 235.0, 435.0),
    ]
    total = sum(p[0] for p in parts)
    assert got.mass == pytest.approx(2.6203e-3 * total, rel=1e-4)
    assert got.centre == pytest.approx([
        sum(p[0] * p[1] for p in parts) / total,
        0.0,
        sum(p[0] * p[2] for p in parts) / total,
    ])


def by_quadrature(tube, height):
    """Volume, and moment (to phi = 0, to phi = 90, along), under ``height(r, phi)`` over the section."""
    n, m = 2000, 40
    phi = (np.arange(n) + 0.5) * 2.0 * np.pi / n
    r = tube.bore / 2.0 + (np.arange(m) + 0.5) * tube.wall / m
    rr, pp = np.meshgrid(r, phi)
    area = rr * (2.0 * np.pi / n) * (tube.wall / m)
    w = height(rr, pp)
    moment = [
        np.sum(w * area * rr * np.cos(pp)),
        np.sum(w * area * rr * np.sin(pp)),
        np.sum(0.5 * w**2 * area),
    ]
    return float(np.sum(w * area)), np.array(moment)


@pytest.mark.parametrize("angle", [90.0, 60.0, 45.0])
@pytest.mark.parametrize("offset", [0.0, 2.0])
def test_a_cope_takes_off_what_the_exact_surface_does(angle, offset):
    cage = tee(angle=angle, offset=offset)
    end = cage.members[1].ends[0]
    cope = end.cut
    volume, moment = cut_volume(BAR, end)
    true, true_moment = by_quadrature(BAR, lambda r, p: saddle(p, r, 22.5, angle * DEG, offset))
    axes = np.array([cope.zero, np.cross(cope.axis, cope.zero), cope.axis])
    local = axes @ (moment - volume * cope.origin)
    # the cut is taken straight across the wall, where the saddle bulges a few hundredths of a millimetre: a
    # tenth of a gram a cut
    assert volume == pytest.approx(true, rel=3e-3)
    assert abs(volume - true) * 7.85e-6 < 2e-4
    # 400 mm4 move the centre of half a metre of this tube by 0.003 mm
    assert local == pytest.approx(true_moment, abs=400.0)


def test_a_tilted_cut_keeps_the_weight_and_moves_the_centre():
    slope = math.tan(20.0 * DEG)
    normal = np.array([math.sin(20.0 * DEG), 0.0, math.cos(20.0 * DEG)])
    end = tube_through(
        ((0, 0, 0), (0, 0, 500)), tube=BAR, start=flat((0, 0, 0), (0, 0, 1), normal, 19.0)
    ).ends[0]
    volume, moment = cut_volume(BAR, end)
    true, true_moment = by_quadrature(BAR, lambda r, p: -slope * r * np.cos(p))
    axes = np.array([end.cut.zero, np.cross(end.cut.axis, end.cut.zero), end.cut.axis])
    assert volume == 0.0
    assert true == pytest.approx(0.0, abs=1e-6)
    assert axes @ moment == pytest.approx(true_moment, rel=1e-3, abs=1e-3)


def test_a_coped_tube_weighs_less_by_its_cut():
    cage = tee()
    got = member_weight(cage.members[1])
    true, _ = by_quadrature(BAR, lambda r, p: saddle(p, r, 22.5, math.pi / 2.0, 0.0))
    assert got.mass == pytest.approx((278.82 * 500.0 - true) * 7.85e-6, rel=1e-4)


def test_a_cut_away_from_the_path_end_counts_from_there():
    member = tube_through(
        ((0, 0, 0), (0, 0, 1000)), tube=BAR, start=flat((0, 0, 30), (0, 0, 1), (0, 0, 1), 19.0)
    )
    got = member_weight(member)
    assert got.mass == pytest.approx(2.1887 * 0.97, abs=1e-4)
    assert got.centre[2] == pytest.approx(515.0)


@pytest.mark.parametrize(
    ("corners", "area", "centre"),
    [
        ([(0, 0, 0), (30, 0, 0), (0, 40, 0)], 600.0, (10.0, 40.0 / 3.0, 0.0)),
        ([(0, 0, 5), (0, 10, 5), (20, 10, 5), (20, 0, 5)], 200.0, (10.0, 5.0, 5.0)),
        # an L of 20 x 20 less its corner of 10 x 10
        ([(0, 0, 0), (20, 0, 0), (20, 10, 0), (10, 10, 0), (10, 20, 0), (0, 20, 0)],
         300.0, (25 / 3, 25 / 3, 0)),
        ([(0, 0, 0), (10, 0, 0), (20, 0, 0)], 0.0, (10.0, 0.0, 0.0)),
    ],
)  # fmt: skip
def test_polygon(corners, area, centre):
    got_area, got_centre = polygon(np.array(corners, float))
    assert got_area == pytest.approx(area)
    assert got_centre == pytest.approx(centre)


def corner(**more):
    """Two tubes that meet at a right angle at the origin."""
    up = tube_through(((0, 0, 0), (0, 0, 800)), name="up")
    back = tube_through(((0, 0, 0), (800, 0, 0)), name="back", tube=BAR)
    return cage_of(up, back, **more)


def gusset(kind):
    return Gusset(name="g", between=("up", "back"), point=np.zeros(3), leg=90.0, thickness=1.5, kind=kind)


def part(cage, name):
    return next(p for p in weigh(cage).parts if p.name == name)


def test_a_flat_gusset_is_its_triangle():
    got = part(corner(gussets=(gusset("flat"),)), "g")
    # between the outsides: 22.5 mm off the upright's axis, 19 mm off the other's
    assert got.mass == pytest.approx(0.5 * (90.0 - 19.0) * (90.0 - 22.5) * 1.5 * 7.85e-6)
    assert got.centre == pytest.approx([(2 * 22.5 + 90.0) / 3, 0.0, (2 * 19.0 + 90.0) / 3])


def test_a_folded_gusset_is_two_triangles_and_a_strip():
    got = part(corner(gussets=(gusset("folded"),)), "g")
    # its sides touch the 38 on its middle, and the 45 where it is 19 mm beside its own
    off = math.sqrt(22.5**2 - 19.0**2)
    sheet = 2.0 * 0.5 * 90.0 * (90.0 - off) + 38.0 * math.hypot(90.0, 90.0 - off)
    assert got.mass == pytest.approx(sheet * 1.5 * 7.85e-6)


def test_a_gusset_on_a_passing_tube_lies_in_the_smaller_angle():
    cage = tee(angle=60.0)
    g = Gusset(name="g", between=("main", "branch"), point=np.zeros(3), leg=90.0, thickness=2.0, kind="flat")
    got = part(replace(cage, gussets=(g,)), "g")
    sine, cotangent = math.sin(60 * DEG), 1.0 / math.tan(60 * DEG)
    legs = 90.0 - 19.0 / sine - 22.5 * cotangent, 90.0 - 22.5 / sine - 19.0 * cotangent
    assert got.mass == pytest.approx(0.5 * legs[0] * legs[1] * sine * 2.0 * 7.85e-6)
    assert got.centre[1] > 0.0


def test_plates_and_feet_weigh():
    square = np.array([(0, 0, 0), (100, 0, 0), (100, 100, 0), (0, 100, 0)], float)
    plate = Plate(name="web", corners=square, thickness=2.0, members=("up",))
    foot = Foot(name="f", point=np.zeros(3), normal=np.array([0.0, 0.0, 1.0]), seat="sill",
                plate=(130.0, 110.0, 3.0),
                contact=14300.0, bolts=BoltsEntry(count=3, size="8 mm"), members=("up",))  # fmt: skip
    cage = corner(plates=(plate,), feet=(foot,))
    assert part(cage, "web").mass == pytest.approx(0.157)
    assert part(cage, "f").mass == pytest.approx(130 * 110 * 3 * 7.85e-6)
    assert part(cage, "f").centre == pytest.approx([0.0, 0.0, 1.5])


def test_the_whole_is_its_parts():
    got = weigh(corner(gussets=(gusset("flat"),)))
    assert got.mass == pytest.approx(sum(p.mass for p in got.parts))
    moment = sum(p.mass * p.centre for p in got.parts)
    assert got.centre == pytest.approx(moment / got.mass)
    assert [p.kind for p in got.parts] == ["member", "member", "gusset"]


def test_hoop_is_heavier_than_bar():
    assert HOOP.od > BAR.od
