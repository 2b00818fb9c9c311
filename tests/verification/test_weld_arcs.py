"""Welds that are not all round, against handbook line-weld properties and the code's worked strength.

Sources: properties of welds treated as a line (Blodgett, Design of Welded Structures, sec. 7.4: circle
S = pi d2/4 per unit throat; memory, and rederived here by integration); EN 1993-1-8:2005 4.5.3.3,
fvw,d = fu/(sqrt3 beta_w gamma_M2): 207.85 MPa for S235 (360, 0.8, 1.25) and 261.73 MPa for S355
(510, 0.9, 1.25), worked by hand with the factors from memory. Plastic capacities of arcs: closed forms below.
"""

import math

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from cagewright.frame.idealise import idealise
from cagewright.frame.weld_arcs import (
    WeldLine,
    fillet_strength,
    weld_factor,
    weld_hold,
    weld_use,
)
from push_cages import tee

R, A, F = 20.0, 2.5, 200.0


def ring(start=0.0, stop=360.0, n=3600):
    """A flat ring of radius 20 welded from ``start`` to ``stop`` degrees, throat 2.5 mm, 200 MPa."""
    phi = np.radians(start + (np.arange(n) + 0.5) * (stop - start) / n)
    return WeldLine(
        place=R * np.stack([np.cos(phi), np.sin(phi)], axis=1),
        length=np.full(n, R * math.radians(stop - start) / n),
        whole=2 * math.pi * R, throat=A, strength=F,
    )  # fmt: skip


@pytest.mark.parametrize(("fu", "factor", "expected"), [(360, 0.8, 207.85), (510, 0.9, 261.73)])
def test_code_strength(fu, factor, expected):
    assert fillet_strength(fu, partial=1.25) == pytest.approx(expected, abs=0.01)
    assert weld_factor(fu) == factor


def test_elastic_circle_is_the_handbooks():
    """S = pi d2/4 per unit throat, L = pi d."""
    line = ring()
    one = np.ones(1)
    assert weld_use(line, axial=0 * one, in_plane=one, out_of_plane=0 * one) == pytest.approx(
        1 / (math.pi * (2 * R) ** 2 / 4 * A * F), rel=1e-5
    )
    assert weld_use(line, axial=one, in_plane=0 * one, out_of_plane=0 * one) == pytest.approx(
        1 / (2 * math.pi * R * A * F)
    )


def test_plastic_circle():
    """All round: N = 2 pi r a f, M = 4 r2 a f about any axis."""
    hold = weld_hold(ring(n=360))
    assert hold.axial == pytest.approx(2 * math.pi * R * A * F, rel=1e-4)
    assert hold.in_plane == pytest.approx(4 * R**2 * A * F, rel=1e-3)
    assert hold.out_of_plane == pytest.approx(4 * R**2 * A * F, rel=1e-3)
    assert hold.share == pytest.approx(1.0)


def by_hand(open_half):
    """A ring with an arc of half angle ``open_half`` left out on one side (+first axis), per unit a f r.

    By direct integration: axial with its moment held by part of the line pushing the other way; the moment
    about the axis through the gap's middle line, and about the one square to it.
    """
    phi = np.linspace(open_half, 2 * math.pi - open_half, 200_001)
    mid = 0.5 * (phi[1:] + phi[:-1])
    d = np.diff(phi)
    x, y = np.cos(mid), np.sin(mid)

    def axial(b):
        return float((np.abs(1 + b * x) * d).sum())

    def turning(a):
        return float((np.abs(x + a) * d).sum())

    return (
        minimize_scalar(axial, bounds=(-5, 5), method="bounded").fun,
        float((np.abs(y) * d).sum()),
        minimize_scalar(turning, bounds=(-1, 1), method="bounded").fun,
    )


@pytest.mark.parametrize("half", [20, 45, 80])
def test_a_gap_costs_most_in_its_own_direction(half):
    hold = weld_hold(ring(half, 360 - half, n=720))
    axial, along_gap, across_gap = by_hand(math.radians(half))
    assert hold.axial == pytest.approx(axial * R * A * F, rel=2e-3)
    # the lever of the in-plane moment is the second coordinate, of the out-of-plane moment the first
    assert hold.in_plane == pytest.approx(along_gap * R**2 * A * F, rel=2e-3)
    assert hold.out_of_plane == pytest.approx(across_gap * R**2 * A * F, rel=2e-3)
    assert hold.out_of_plane < hold.in_plane < 4 * R**2 * A * F
    assert hold.share == pytest.approx(1 - half / 180)


def test_gap_signs_count_beside_a_pull():
    """With the gap on the +first side, a pull and a moment that opens the gap's side add up; reversed, less.

    Elastic line: centroid at -r sin(h)/(pi - h) on the first axis for a gap of half angle h.
    """
    line = ring(45, 315)
    h = math.pi / 4
    e = -R * math.sin(h) / (math.pi - h)
    assert float((line.place[:, 0] * line.length).sum() / line.length.sum()) == pytest.approx(e, rel=1e-5)
    pull, none = np.array([1e4]), np.zeros(1)
    alone = weld_use(line, axial=pull, in_plane=none, out_of_plane=none)[0]
    # an out-of-plane moment of -N e puts the pull through the weld's own middle: even stress
    eased = weld_use(line, axial=pull, in_plane=none, out_of_plane=-pull * e)[0]
    worse = weld_use(line, axial=pull, in_plane=none, out_of_plane=pull * e)[0]
    assert eased == pytest.approx(1e4 / (R * 1.5 * math.pi * A * F), rel=1e-5)
    assert eased < alone < worse


def place(**weld):
    return next(p for p in idealise(tee(**weld)).joints)


def test_open_on_top_loses_where_top_and_bottom_do_the_work():
    """A bar to the right on an upright: up and down is in the plane of both, so that moment loses more."""
    whole, top, front = place(throat=2.5), place(open_="top"), place(open_="front")
    assert top.weld_hold.share == pytest.approx(0.75, abs=0.03)
    assert top.weld_hold.in_plane < 0.75 * whole.weld_hold.in_plane
    assert top.weld_hold.in_plane < front.weld_hold.in_plane
    assert front.weld_hold.out_of_plane < top.weld_hold.out_of_plane
    assert top.weld_hold.axial < 0.75 * whole.weld_hold.axial


def test_the_length_is_the_copes_real_line():
    """38 on 45 at 90 degrees: 127.949 mm (exact, by quadrature)."""
    assert place(throat=2.5).weld.whole == pytest.approx(127.949, abs=0.05)


def test_a_whole_weld_of_the_wall_is_stronger_than_its_joint_and_a_small_one_is_not():
    assert place(throat=2.5).strength == place().strength
    assert "weld" not in place(throat=2.5).strength.governs
    assert place(throat=0.8).strength.governs == ("weld", "weld", "weld")
    assert place(open_=["top", "bottom"]).strength.governs[1] == "weld"
