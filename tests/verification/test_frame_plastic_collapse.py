"""Plastic collapse loads of portals and beams from limit analysis.

Fixed-base portal, height h, span L, sway force H, centre load V: combined lambda (H h + V L/2) = 6 Mp, sway
lambda H h = 4 Mp, beam lambda V L/2 = 4 Mp; pinned bases 4 Mp and 2 Mp (any plastic-design text; lower bound
by linear programming and mechanisms, computed). Beams: simply supported 4 Mp/L, propped 6 Mp/L, fixed 8 Mp/L.

The tubes are given a hundred times the stiffness of steel, so that they collapse before they have moved
enough to change the statics: the plateau is then the rigid-plastic load. What is left: the ring of 24 fibres
is 0.29 % strong in the planes of its axes (computed: 1/(12 sin 7.5 deg) over 2/pi), and the hinge sits at the
Gauss point, a fifth of an element in from the end.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from frame_shapes import YOUNG, chain, flat, tube_run

from cagewright.frame.continuation import Steps
from cagewright.frame.model import clamped
from cagewright.frame.travel import push_pattern
from cagewright.stock.sections import properties, round_section

FY = 350.0
STIFF = 100.0 * YOUNG
STRONG = 1.0 / (12.0 * np.sin(np.pi / 24.0)) / (2.0 / np.pi)
MP = properties(round_section(45.0, 2.5)).plastic * FY

PORTALS = [
    (1, 1, 1, 2, True, 3.0), (1, 2, 1, 2, True, 2.0), (1, 4, 1, 2, True, 1.0), (2, 1, 1, 1, True, 2.0),
    (30, 60, 4, 6, True, 0.02), (1, 2, 1, 2, False, 4 / 3), (30, 60, 4, 6, False, 0.0133333),
]  # fmt: skip


def plateau(model, pattern, way, target: float) -> float:
    measure = np.zeros((len(model.nodes), 3))
    measure[way[0], way[1]] = way[2]
    got = push_pattern(model, pattern=pattern, measure=measure, target=target, steps=Steps(size=target / 40))
    assert got.reached
    assert any(e.kind == "hinge" for e in got.events)
    return float(got.load.max())


def test_plastic_moment():
    assert pytest.approx(1582.3e3, rel=1e-4) == MP


@pytest.mark.parametrize("shear", [False, True])
@pytest.mark.parametrize(("h", "v", "rise", "span", "built_in", "factor"), PORTALS)
def test_portal(h, v, rise, span, built_in, factor, shear):
    unit = 2000.0 / max(rise, span)  # mm for one unit of length
    height, width, each = rise * unit, span * unit, 60
    nodes = chain([(0, 0, 0), (0, 0, height), (width, 0, height), (width, 0, 0)], each)
    fixed = clamped(len(nodes), [0, 3 * each])
    if not built_in:
        fixed[[0, 3 * each], 4] = False
    model = tube_run(
        nodes, fy=FY, hardening=1e-6, shear=shear, fixed=flat(fixed), young=STIFF, rigidity=0.4 * STIFF
    )
    # hinges in bending alone, as the theorem has them
    model = replace(model, torsion="elastic")
    pattern = np.zeros((len(nodes), 6))
    pattern[each, 0] = h
    pattern[each + each // 2, 2] = -v
    sways = factor * h * rise > 0.0 and not (h == 1 and v == 4)
    way = (each, 0, 1.0) if sways else (each + each // 2, 2, -1.0)
    load = plateau(model, pattern, way, 1.5e-3 * (height if sways else width))
    want = factor * MP / unit
    assert load == pytest.approx(STRONG * want, rel=0.01)
    assert load == pytest.approx(want, rel=0.013)  # the ring's 0.29 % and the Gauss point's place on top


BEAMS = [("simple", 4.0), ("propped", 6.0), ("fixed", 8.0)]


@pytest.mark.parametrize("shear", [False, True])
@pytest.mark.parametrize(("ends", "times"), BEAMS)
def test_beam(ends, times, shear):
    span, each = 1000.0, 64
    nodes = chain([(0, 0, 0), (span / 2, 0, 0), (span, 0, 0)], each)
    fixed = np.zeros((len(nodes), 6), bool)
    fixed[0, :3] = True
    fixed[-1, 2] = True
    fixed[0, 4] = ends in ("propped", "fixed")
    fixed[-1, 4] = ends == "fixed"
    model = tube_run(
        nodes, fy=FY, hardening=1e-6, shear=shear, fixed=flat(fixed), young=STIFF, rigidity=0.4 * STIFF
    )
    # hinges in bending alone, as the theorem has them
    model = replace(model, torsion="elastic")
    pattern = np.zeros((len(nodes), 6))
    pattern[each, 2] = -1.0
    load = plateau(model, pattern, (each, 2, -1.0), 0.3)
    assert load == pytest.approx(STRONG * times * MP / span, rel=0.01)


def test_tube_numbers():
    assert pytest.approx(12.66e3, rel=1e-3) == 8.0 * MP / 1000.0
    assert pytest.approx(10.55e3, rel=1e-3) == 4.0 * MP / 600.0


def test_finer_mesh_closes_on_the_plateau():
    """The hinge spreads over half an element, so the plateau comes down with the mesh, at first order."""
    loads = []
    for each in (4, 8, 16):
        nodes = chain([(0, 0, 0), (500, 0, 0)], each)
        model = tube_run(nodes, fy=FY, hardening=1e-5, fixed=flat(clamped(each + 1, [0])), young=STIFF)
        pattern = np.zeros((each + 1, 6))
        pattern[-1, 2] = -1.0
        loads.append(plateau(model, pattern, (each, 2, -1.0), 0.6))
    drops = [loads[0] - loads[1], loads[1] - loads[2]]
    assert np.log2(drops[0] / drops[1]) == pytest.approx(1.0, abs=0.35)
