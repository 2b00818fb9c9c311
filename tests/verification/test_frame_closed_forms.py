"""Linear frames against closed forms of beam theory (any strength-of-materials handbook; computed).

L bracket, quarter-circle cantilever, fixed-base portal under sway (Kleinlogel's k = Ib h/(Ic L)), and the
shear-flexible cantilever P L^3/3EI + P L/GAs (Timoshenko 1921). 45 x 2.5 mm tube, E 210 GPa, G 81 GPa.
"""

from __future__ import annotations

import numpy as np
import pytest
from frame_shapes import SHEAR, YOUNG, arc, chain, load_at, order, run, tube_run

from cagewright.frame.linear import solve_linear
from cagewright.frame.model import Material, clamped
from frame_materials import plain_sections

AREA, INERTIA = 333.79, 75625.0
"""45 x 2.5 mm, mm2 and mm4, five figures."""


def tip(model, **load):
    return solve_linear(model, load_at(model, -1, **load)[None]).displacement[0, -1]


def test_l_bracket():
    model = tube_run(chain([(0, 0, 0), (500, 0, 0), (500, 300, 0)], 3))
    assert tip(model, force=(0, 0, 1000.0))[2] == pytest.approx(6.8634, rel=1e-5)


@pytest.mark.parametrize(("radius", "out", "inside"), [(135.0, 0.19321, 0.12168), (500.0, 9.81604, 6.18178)])
def test_quarter_bend(radius, out, inside):
    model = tube_run(arc(radius, 90.0, 32))
    assert tip(model, force=(0, 0, 1000.0))[2] == pytest.approx(out, rel=1e-3)
    # in plane, along the start's tangent; the closed form leaves out stretch, pi P R/4EA more
    stretch = np.pi * 1000.0 * radius / (4 * YOUNG * AREA)
    assert tip(model, force=(1000.0, 0, 0))[0] == pytest.approx(inside + stretch, rel=1e-3)


def test_quarter_bend_converges_at_second_order():
    # nodes on the circle: the chords' geometry error falls with the square of the mesh
    errors = [tip(tube_run(arc(500.0, 90.0, n)), force=(0, 0, 1000.0))[2] - 9.816038 for n in (8, 16, 32)]
    assert order(errors) == pytest.approx(2.0, abs=0.1)


def test_portal_sway():
    fixed = clamped(31, [0, 30])
    nodes = chain([(0, 0, 0), (0, 0, 1000), (1200, 0, 1000), (1200, 0, 0)], 10)
    # the closed form's members do not stretch
    section = plain_sections(30, area=1e4 * AREA, inertia_y=INERTIA, inertia_z=INERTIA, torsion=2 * INERTIA)
    model = run(nodes, section, Material(young=YOUNG, shear=SHEAR), fixed)
    loads = np.zeros((1, 31, 6))
    loads[0, [10, 20], 0] = 500.0
    sway = solve_linear(model, loads).displacement[0, [10, 20], 0].mean()
    assert sway == pytest.approx(3.9354, rel=1e-4)


@pytest.mark.parametrize("length", [40.0, 100.0, 400.0, 2000.0])
@pytest.mark.parametrize("count", [1, 4])
def test_cantilever_with_shear_is_exact_for_any_mesh(length, count):
    model = tube_run(chain([(0, 0, 0), (length, 0, 0)], count), shear=True)
    want = 1000.0 * length**3 / (3 * YOUNG * INERTIA) + 1000.0 * length / (SHEAR * 0.5 * AREA)
    for way in (1, 2):
        assert tip(model, force=np.eye(3)[way] * 1000.0)[way] == pytest.approx(want, rel=3e-5)


def test_bend_factor_divides_bending_stiffness_only():
    straight = tube_run(chain([(0, 0, 0), (500, 0, 0)], 4))
    bent = tube_run(chain([(0, 0, 0), (500, 0, 0)], 4), bend_factor=np.full(4, 2.2))
    assert tip(bent, force=(0, 0, 1.0))[2] == pytest.approx(
        2.2 * tip(straight, force=(0, 0, 1.0))[2], rel=1e-9
    )
    for load in ({"force": (1.0, 0, 0)}, {"moment": (1.0, 0, 0)}):
        assert tip(bent, **load) == pytest.approx(tip(straight, **load), rel=1e-9)


def test_rigid_stubs_leave_the_clear_span():
    stubs = np.zeros((1, 2, 3))
    stubs[0, 0, 0], stubs[0, 1, 0] = 60.0, -40.0
    model = tube_run(chain([(0, 0, 0), (500, 0, 0)], 1), stubs=stubs)
    # load at the node, 40 mm beyond the tube's end; tube built in 60 mm out
    clear, over, ei = 400.0, 40.0, YOUNG * INERTIA
    drop = 1000.0 * (clear**3 / 3 + clear**2 * over + clear * over**2) / ei
    assert tip(model, force=(0, 0, 1000.0))[2] == pytest.approx(drop, rel=3e-5)
