"""Entries of lines into straight and bent tubes against numpy's own polynomial roots."""

import math

import numpy as np
import pytest

from cagewright.base.curves import Arc, Line
from cagewright.shape.intersections import (
    ring_intersections,
    ring_normals,
    rings,
    straight_intersections,
    straight_normals,
    straights,
)

FAR = np.array([1e6])


def ring(radius, turned=3.14):
    return Arc(
        centre=np.zeros(3), radius=radius, u=np.array([1.0, 0, 0]), v=np.array([0, 1.0, 0]), angle=turned
    )


def torus_roots(point, axis, big, small):
    """Every real w at which the line meets the whole torus, from the quartic expanded by numpy."""
    q = [np.poly1d([axis[i], point[i]]) for i in range(3)]
    square = q[0] * q[0] + q[1] * q[1] + q[2] * q[2]
    whole = (square + big**2 - small**2) ** 2 - 4 * big**2 * (q[0] * q[0] + q[1] * q[1])
    return np.array([r.real for r in whole.roots if abs(r.imag) < 1e-6])


def entries(point, axis, big, small, turned):
    """Those roots where the line enters, coming down from large w, on the arc."""
    found = []
    for w in torus_roots(point, axis, big, small):
        spot = point + w * axis
        angle = math.atan2(spot[1], spot[0]) % (2 * math.pi)
        flat = np.array([spot[0], spot[1], 0.0])
        out = spot - big * flat / np.linalg.norm(flat)
        if angle <= turned and out @ axis > 1e-3:
            found.append(w)
    return found


@pytest.mark.parametrize("turned", [0.6, 1.57, 2.9])
def test_bends_against_polynomial_roots(turned):
    rng = np.random.default_rng(int(10 * turned))
    tube = rings([ring(135.0, turned)], [22.5])
    checked = 0
    for _ in range(40):
        axis = rng.normal(size=3)
        axis /= np.linalg.norm(axis)
        base = rng.uniform(-180, 180, (1, 25, 3))
        ours = ring_intersections(base, axis[None], FAR, tube)[0]
        for point, w in zip(base[0], ours, strict=True):
            want = max(entries(point, axis, 135.0, 22.5, turned), default=-math.inf)
            if math.isinf(want) or math.isinf(w):
                assert w == want
            else:
                assert w == pytest.approx(want, abs=1e-5)
                checked += 1
    assert checked > 20


@pytest.mark.parametrize("axis", [[0, 1.0, 0], [0, 0, 1.0], [1.0, 0, 0]])
def test_lines_in_the_plane_and_square_to_it(axis):
    # the quartic loses its odd term: the case that trips closed forms
    tube = rings([ring(100.0)], [20.0])
    base = np.array([[[80.0, 40.0, 0.0], [60.0, 60.0, 5.0], [0.0, 110.0, -3.0]]])
    ours = ring_intersections(base, np.array([axis]), FAR, tube)[0]
    for point, w in zip(base[0], ours, strict=True):
        want = max(entries(point, np.array(axis), 100.0, 20.0, 3.14), default=-math.inf)
        assert w == pytest.approx(want, abs=1e-9)


def test_a_line_that_only_touches_counts():
    tube = rings([ring(100.0)], [20.0])
    base = np.array([[[0.0, 120.0, -50.0], [0.0, 120.0 + 1e-4, -50.0]]])
    touching, past = ring_intersections(base, np.array([[0, 0, 1.0]]), FAR, tube)[0]
    assert touching == pytest.approx(50.0, abs=1e-3)
    assert past == -math.inf


def test_straights_end_where_they_end():
    tube = straights([Line(start=np.zeros(3), stop=np.array([100.0, 0, 0]))], [20.0])
    base = np.array([[[50.0, 0, 0], [-1.0, 0, 0], [101.0, 0, 0], [50.0, 20.0, 0], [50.0, 20.001, 0]]])
    hits = straight_intersections(base, np.array([[0, 0, 1.0]]), FAR, tube)[0]
    assert hits == pytest.approx([20.0, -math.inf, -math.inf, 0.0, -math.inf], abs=1e-3)


def test_reach_is_kept():
    tube = straights([Line(start=np.zeros(3), stop=np.array([100.0, 0, 0]))], [20.0])
    base = np.array([[[50.0, 0, 0]]])
    assert straight_intersections(base, np.array([[0, 0, 1.0]]), np.array([19.0]), tube)[0, 0] == -math.inf


def test_normals_point_out():
    spot = np.array([[100.0, 0, 20.0], [0, 80.0, 0]])
    tubes = rings([ring(100.0)] * 2, [20.0] * 2)
    assert ring_normals(spot, tubes) == pytest.approx(np.array([[0, 0, 1], [0, -1, 0]]))
    flat = straights([Line(start=np.zeros(3), stop=np.array([9.0, 0, 0]))], [20.0])
    assert straight_normals(np.array([[4.0, 0, -20.0]]), flat) == pytest.approx(np.array([[0, 0, -1]]))
