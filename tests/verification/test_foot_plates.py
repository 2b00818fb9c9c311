"""Foot springs against handbook plate cases.

Sources: Roark's Formulas for Stress and Strain, trunnion on a round plate with a clamped edge, theta =
gamma M / (E t3), nu 0.3 (table values from memory; the independent energy integral below confirms them);
Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells: clamped plate with a central load P,
w = P a2 / (16 pi D). The in-plane case is checked against finite elements written here.
"""

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_bvp

from cagewright.frame.feet import (
    YOUNG,
    FootGround,
    dishing_tilt,
    foot_hold,
    grounds,
    panel_dishing,
    panel_stiffness,
    panel_strength,
    panel_tilting,
    punching,
    sheet_sliding,
    wall_part,
)
from cagewright.frame.model import Hinges, Material, Springs, frame_model, tube_sections
from cagewright.frame.supports import hinge_rows, spring_rows
from cagewright.frame.travel import Steps, push_point

RIGIDITY = YOUNG * 2.0**3 / (12 * (1 - 0.09))


@pytest.mark.parametrize(
    ("ratio", "gamma"),
    [(0.1, 1.149), (0.15, 0.818), (0.2, 0.596), (0.25, 0.438), (0.3, 0.321), (0.4, 0.167), (0.5, 0.081)],
)
def test_trunnion_on_a_clamped_plate(ratio, gamma):
    stiff = panel_tilting(span=100, boss=100 * ratio, thickness=2)
    assert YOUNG * 2**3 / stiff == pytest.approx(gamma, abs=6e-4)


def test_a_small_boss_is_a_central_load():
    stiff = panel_stiffness(span=100, boss=0.01, thickness=2)
    assert 1 / stiff == pytest.approx(100**2 / (16 * math.pi * RIGIDITY), rel=1e-4)


@pytest.mark.parametrize("boss", [10.0, 30.0, 60.0])
def test_a_rigid_boss_against_the_plate_equation(boss):
    """The axisymmetric plate equation solved as a boundary-value problem by scipy."""

    def slope(r, y):  # y = w, w', w'' + w'/r ; load only at the boss: D d/dr(lap w) = P/(2 pi r)
        return np.vstack([y[1], y[2] - y[1] / r, 1.0 / (2 * math.pi * r * RIGIDITY)])

    def edges(at_boss, at_edge):
        return np.array([at_boss[1], at_edge[0], at_edge[1]])

    r = np.linspace(boss, 100, 200)
    found = solve_bvp(slope, edges, r, np.zeros((3, r.size)), tol=1e-8)
    assert abs(found.sol(boss)[0]) == pytest.approx(
        1 / panel_stiffness(span=100, boss=boss, thickness=2), rel=1e-5
    )


@pytest.mark.parametrize("boss", [5.0, 20.0, 50.0])
def test_sliding_against_plane_stress_energy(boss):
    """Plane stress on the ring by linear finite elements along the radius, from above the true stiffness."""
    a, t, nu = 100.0, 2.0, 0.3
    nodes = np.geomspace(boss, a, 400)
    stiff = ring_stiffness(nodes, t, nu)
    assert stiff == pytest.approx(sheet_sliding(span=a, boss=boss, thickness=t), rel=2e-3)


def ring_stiffness(r: np.ndarray, t: float, nu: float) -> float:
    """Linear finite elements along r of u = f(r) cos, v = g(r) sin; both -1 times sliding on the boss."""
    n = len(r)
    k = np.zeros((2 * n, 2 * n))
    c = YOUNG * t / (1 - nu**2)
    for i in range(n - 1):
        h = r[i + 1] - r[i]
        for xi, weight in ((-1 / math.sqrt(3), 1.0), (1 / math.sqrt(3), 1.0)):
            s = (1 + xi) / 2
            rad = r[i] + s * h
            shape, slope = np.array([1 - s, s]), np.array([-1, 1]) / h
            err, ett, grt = np.zeros(4), np.zeros(4), np.zeros(4)  # order f0 f1 g0 g1
            err[:2] = slope
            ett[:2], ett[2:] = shape / rad, shape / rad
            grt[:2], grt[2:] = -shape / rad, slope - shape / rad
            local = np.outer(err, err) + np.outer(ett, ett) + nu * (np.outer(err, ett) + np.outer(ett, err))
            local += (1 - nu) / 2 * np.outer(grt, grt)
            index = [i, i + 1, n + i, n + i + 1]
            k[np.ix_(index, index)] += c * math.pi * local * rad * weight * h / 2
    held = {n - 1: 0.0, 2 * n - 1: 0.0, 0: 1.0, n: -1.0}
    free = [i for i in range(2 * n) if i not in held]
    u = np.zeros(2 * n)
    for i, value in held.items():
        u[i] = value
    u[free] = np.linalg.solve(k[np.ix_(free, free)], -k[free] @ u)
    return float(u @ k @ u)


def test_folding_strength_of_a_point_load_is_the_textbook_one():
    m = 180 * 2**2 / 4
    assert panel_strength(span=100, boss=1e-6, thickness=2, yield_strength=180) == pytest.approx(
        4 * math.pi * m
    )


def test_the_floor_gives_long_before_the_sill():
    floor, sill = (foot_hold(grounds()[name], (120, 100)) for name in ("floor", "sill"))
    assert floor.push < sill.push / 5
    assert floor.normal < sill.normal / 100
    assert floor.governs == "panel folds"
    assert sill.pull == pytest.approx(punching(grounds()["sill"], (120, 100)))


def test_a_bigger_plate_is_stiffer_and_stronger():
    for ground in grounds().values():
        small, large = foot_hold(ground, (80, 75)), foot_hold(ground, (140, 120))
        assert large.normal > small.normal
        assert large.push > small.push
        assert large.tilting > small.tilting


def test_a_slender_wall_buckles_before_it_yields():
    thin = FootGround(
        name="x", kind="box", thickness=0.6, depth=200, yield_strength=180, source="test", certainty="shop"
    )
    assert wall_part(thin) < 0.5
    assert wall_part(grounds()["box"]) > wall_part(thin)


def test_sizes_of_nothing_are_refused():
    with pytest.raises(ValueError, match="more than 0"):
        foot_hold(grounds()["floor"], (0, 100))


def test_dishing_is_the_yielding_skins_balance():
    """dw/dr = P / (2 pi r fy t), integrated from boss to edge by quadrature."""
    pull, t, a, b = 180.0, 0.8, 150.0, 61.8
    drop, _ = quad(lambda r: 1.0 / (2 * math.pi * r * pull * t), b, a)
    assert panel_dishing(span=a, boss=b, thickness=t, yield_strength=pull) == pytest.approx(1 / drop)


def test_a_tilting_boss_in_a_skin_against_the_membrane_equation():
    """(r w')' - w/r = 0 for w(r) cos(phi) by scipy; M = pi T b2 (|w'(b)| + 1), edge pull up and outwards."""
    pull, t, a, b = 180.0, 0.8, 150.0, 61.8

    def slope(r, y):
        return np.vstack([y[1], (y[0] / r - y[1]) / r])

    r = np.linspace(b, a, 100)
    start = np.zeros((2, r.size))
    found = solve_bvp(slope, lambda at, end: np.array([at[0] - b, end[0]]), r, start, tol=1e-8)
    moment = math.pi * pull * t * b**2 * (abs(found.sol(b)[1]) + 1.0)
    assert dishing_tilt(span=a, boss=b, thickness=t, yield_strength=pull) == pytest.approx(moment, rel=1e-5)


@pytest.mark.parametrize("normal", [(0.0, 0.0, 1.0), (0.0, 0.6, 0.8)])
def test_a_sheet_folds_then_dishes_then_tears_in_the_model(normal):
    """A bar pushed square into a floor: the sum of two springs that give, worked by hand at each travel."""
    hold = foot_hold(grounds()["floor"], (120, 100))
    n = np.array(normal)
    nodes = np.array([[0, 0, 0], 100 * n, [0, 0, 0]])
    upright = normal == (0.0, 0.0, 1.0)
    rows = spring_rows(n, hold) if upright else []
    posts = [] if upright else hinge_rows(n, hold)
    fixed = np.zeros((3, 6), np.bool_)
    fixed[2] = True
    model = frame_model(
        nodes=nodes if not upright else nodes[:2],
        elements=np.array([[0, 1]]),
        sections=tube_sections(np.array([60.0]), np.array([20.0])),
        materials=(Material(young=210e3, shear=81e3),),
        fixed=fixed if not upright else fixed[:2],
        springs=Springs(
            node=np.zeros(len(rows), np.int64), dof=np.array([r[0] for r in rows], np.int64),
            stiffness=np.array([r[1] for r in rows]), capacity=np.array([r[2:] for r in rows]).reshape(-1, 2),
        ),
        hinges=Hinges(
            ends=np.tile([2, 0], (len(posts), 1)).astype(np.int64).reshape(-1, 2),
            axes=np.array([r[0] for r in posts]).reshape(-1, 3, 3),
            stiffness=np.array([r[1] for r in posts]).reshape(-1, 6),
            capacity=np.array([r[2] for r in posts]).reshape(-1, 3),
        ),
    )  # fmt: skip
    answer = push_point(model, node=1, direction=-n, target=90.0, steps=Steps(size=2.0))
    assert answer.reached
    for w, load in zip(answer.travel, answer.load, strict=True):
        by_hand = min(hold.normal * w, hold.push) + min(hold.dishing * w, hold.tear - hold.push)
        # the bar itself gives a little, and a hinge keeps a thousandth of its stiffness
        assert load == pytest.approx(by_hand, rel=0.02, abs=30.0)
    assert hold.tear > 20 * hold.push
