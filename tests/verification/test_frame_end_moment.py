"""A straight cantilever rolled up by an end moment: M = 2 pi EI/L closes the circle (exact; second-hand).

M = pi EI/2L puts the tip at 2L/pi both ways, turned 90 degrees.
"""

from __future__ import annotations

import numpy as np
import pytest
from frame_shapes import chain, order, run

from cagewright.frame.assemble import assembly, backsolve, evaluate, factorise
from cagewright.frame.kernels_turn import move
from cagewright.frame.model import Material, clamped
from frame_materials import plain_sections

LENGTH = 100.0


def rolled(count: int, moment: float, stages: int = 20):
    """Tip place under an end moment brought on in stages (load control: the path never turns back)."""
    section = plain_sections(count, area=100.0, inertia_y=1.0, inertia_z=1.0, torsion=2.0)
    model = run(
        chain([(0, 0, 0), (LENGTH, 0, 0)], count),
        section,
        Material(young=1e4, shear=4e3),
        clamped(count + 1, [0]),
    )
    a = assembly(model)
    x, r = model.nodes.copy(), np.tile(np.eye(3), (count + 1, 1, 1))
    for stage in range(1, stages + 1):
        for _ in range(30):
            evaluate(a, x, r)
            short = -a.force
            short[-1, 4] -= moment * stage / stages
            short[0] = 0.0
            if np.abs(short).max() < 1e-9 * moment:
                break
            factorise(a)
            move(x, r, backsolve(a, short[None])[0])
        else:
            raise AssertionError("did not settle")
    return x[-1]


def test_quarter():
    tip = rolled(16, np.pi * 1e4 / (2 * LENGTH))
    assert tip == pytest.approx([2 * LENGTH / np.pi, 0.0, 2 * LENGTH / np.pi], rel=2e-3, abs=1e-6)


def test_full_circle_closes():
    # constant curvature is met exactly by equal chords, so the circle closes on any mesh
    for count in (8, 16):
        assert rolled(count, 2 * np.pi * 1e4 / LENGTH) == pytest.approx([0, 0, 0], abs=1e-6 * LENGTH)


def test_quarter_converges_at_second_order():
    want = 2 * LENGTH / np.pi
    errors = [rolled(n, np.pi * 1e4 / (2 * LENGTH))[0] - want for n in (4, 8, 16)]
    assert order(errors) == pytest.approx(2.0, abs=0.1)
