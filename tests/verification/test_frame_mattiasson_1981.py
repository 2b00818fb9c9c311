"""Elastica cantilever under a dead tip load.

Mattiasson, Int. J. Numer. Methods Eng. 17 (1981) 145-153. Rows alpha = P L2/EI of 1, 2, 5, 10 verified
against a published list; the others computed once by shooting (tolerance 1e-12).
"""

from __future__ import annotations

import numpy as np
import pytest
from frame_shapes import chain, order, run

from cagewright.frame.continuation import Steps
from cagewright.frame.model import Material, clamped
from cagewright.frame.travel import push_pattern
from frame_materials import plain_sections

TABLE = {
    0.2: (0.06636, 0.00265, 0.09964),
    1.0: (0.30172, 0.05643, 0.46135),
    2.0: (0.49346, 0.16064, 0.78175),
    5.0: (0.71379, 0.38763, 1.21537),
    10.0: (0.81061, 0.55500, 1.43029),
}


def cantilever(count: int):
    # long and thin, so that stretch (which the elastica leaves out) is below the fifth figure
    section = plain_sections(count, area=1e3, inertia_y=1.0, inertia_z=1.0, torsion=2.0)
    steel = Material(young=1e4, shear=4e3)
    return run(chain([(0, 0, 0), (100, 0, 0)], count), section, steel, clamped(count + 1, [0]))


def at_drop(count: int, drop: float):
    model = cantilever(count)
    pattern = np.zeros((count + 1, 6))
    pattern[-1, 2] = 1.0
    got = push_pattern(
        model,
        pattern=pattern,
        measure=pattern[:, :3],
        target=100 * drop,
        steps=Steps(size=5 * drop, tolerance=1e-6),
    )
    r = got.turn[-1, -1]
    return got.load[-1], -got.displacement[-1, -1, 0] / 100.0, np.arctan2(-r[2, 0], r[0, 0]), got


@pytest.mark.parametrize("alpha", TABLE)
def test_tip_path(alpha):
    drop, back, turn = TABLE[alpha]
    load, moved, turned, got = at_drop(32, drop)
    assert got.reached
    assert load == pytest.approx(alpha, rel=2e-3)
    assert moved == pytest.approx(back, abs=2e-5 + 1e-3 * back)
    assert abs(turned) == pytest.approx(turn, rel=1e-3)


def test_second_order_convergence():
    drop = 0.7137918
    loads = [at_drop(n, drop)[0] for n in (8, 16, 32)]
    # order from three meshes, no outside value needed
    assert order([loads[0] - loads[1], loads[1] - loads[2]]) == pytest.approx(2.0, abs=0.15)
    assert loads[2] + (loads[2] - loads[1]) / 3.0 == pytest.approx(5.0, rel=2e-4)
