"""Williams' toggle: a shallow fixed-ended pair of bars that snaps, and its flatter twin that does not.

Williams, Quart. J. Mech. Appl. Math. 17 (1964) 451-469. Semi-span 12.943 in, rise 0.386 in, E 1.03e7 psi,
A 0.183 in2, I 9.0e-4 in4 (geometry from memory); path from a 160-element program (computed). With a rise of
0.32 in there is no limit point at all.
"""

from __future__ import annotations

import numpy as np
import pytest
from frame_shapes import chain, flat, load_at, run

from cagewright.frame.continuation import Steps
from cagewright.frame.model import Material, clamped
from cagewright.frame.travel import push_point
from frame_materials import plain_sections

PATH = {
    0.05: 15.18,
    0.10: 25.19,
    0.15: 30.97,
    0.20: 33.48,
    0.30: 32.81,
    0.40: 31.26,
    0.50: 36.03,
    0.60: 53.19,
}


def toggle(rise: float, each: int = 40):
    nodes = chain([(0, 0, 0), (12.943, 0, rise), (25.886, 0, 0)], each)
    section = plain_sections(2 * each, area=0.183, inertia_y=9e-4, inertia_z=9e-4, torsion=1e-3)
    model = run(nodes, section, Material(young=1.03e7, shear=4e6), flat(clamped(len(nodes), [0, 2 * each])))
    assert load_at(model, each)[each, 2] == 0.0
    return push_point(
        model, node=each, direction=np.array([0, 0, -1.0]), target=0.6, steps=Steps(size=0.01, tolerance=1e-7)
    )


def test_path_and_limit():
    got = toggle(0.386)
    assert got.reached
    for v, load in PATH.items():
        assert np.interp(v, got.travel, got.load) == pytest.approx(load, rel=3e-3)
    k = int(np.argmax(got.load[got.travel < 0.35]))
    assert got.load[k] == pytest.approx(33.84, rel=3e-3)
    assert got.travel[k] == pytest.approx(0.232, abs=0.01)  # kept every 0.01
    assert set(got.negative_pivots[(got.travel > 0.26) & (got.travel < 0.37)]) == {1}
    assert set(got.negative_pivots[got.travel < 0.21]) == {0}


def test_flatter_one_has_no_limit_point():
    got = toggle(0.32)
    assert got.reached
    assert (np.diff(got.load) > 0.0).all()
    assert set(got.negative_pivots) == {0}
