"""Forty-five degree bend of radius 100 under a dead tip force out of its plane.

Bathe and Bolourchi, Int. J. Numer. Methods Eng. 14 (1979) 961-986; tip places for GJ of J = 1/6 and of the
true J = 0.1406 from a continuum rod (computed); Simo and Vu-Quoc 1986, 8 elements (second-hand).
"""

from __future__ import annotations

import numpy as np
import pytest
from frame_shapes import arc, order, run

from cagewright.frame.continuation import Steps
from cagewright.frame.model import Material, clamped
from frame_arc import push_arc
from frame_materials import plain_sections

ROD = {
    1.0 / 6.0: {300: (58.779, 22.245, 40.192), 450: (52.238, 18.508, 48.504), 600: (47.150, 15.685, 53.476)},
    0.140577: {300: (58.536, 22.113, 40.481), 450: (51.969, 18.369, 48.705), 600: (46.892, 15.558, 53.608)},
}


def tips(torsion: float, count: int):
    section = plain_sections(
        count, area=1.0, inertia_y=1 / 12, inertia_z=1 / 12, torsion=torsion, shear=5 / 6
    )
    model = run(arc(100.0, 45.0, count), section, Material(young=1e7, shear=5e6), clamped(count + 1, [0]))
    pattern = np.zeros((count + 1, 6))
    pattern[-1, 2] = 1.0
    got = push_arc(
        model,
        pattern=pattern,
        measure=pattern[:, :3],
        target=54.5,
        steps=Steps(size=1.0, tolerance=1e-8),
        most=600,
    )
    assert got.reached
    return got.load, got.displacement[:, -1] + model.nodes[-1]


@pytest.mark.parametrize("torsion", ROD)
def test_tip_places(torsion):
    load, places = tips(torsion, 16)
    for wanted, place in ROD[torsion].items():
        got = [np.interp(wanted, load, places[:, k]) for k in range(3)]
        assert got == pytest.approx(place, rel=2e-3)


def test_eight_elements_are_within_a_percent_of_simo_and_vu_quoc():
    # 1 %: they leave J unstated, and J alone moves the tip by 0.6 %
    load, places = tips(1.0 / 6.0, 8)
    got = [np.interp(600.0, load, places[:, k]) for k in range(3)]
    assert got == pytest.approx((47.23, 15.79, 53.37), rel=1e-2)


def test_converges_at_second_order():
    at = []
    for count in (4, 8, 16):
        load, places = tips(1.0 / 6.0, count)
        k = int(np.argmin(np.abs(load - 600)))
        spread = slice(k - 2, k + 3)
        at.append(np.polyval(np.polyfit(load[spread] - 600, places[spread, 0], 3), 0.0))
    assert order([at[0] - at[1], at[1] - at[2]]) == pytest.approx(2.0, abs=0.35)
