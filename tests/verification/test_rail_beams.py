"""Rails as beams in closed form: bending about tilted principal axes, shear centre, torsion, plastic moments.

Sources: beam theory as any handbook has it (unsymmetric bending, St Venant torsion, plastic hinges); the
sections' own figures are held against tables in test_rail_sections.py.
"""

import math

import numpy as np
import pytest

from cagewright.frame.linear import solve_linear
from cagewright.stock.sections import Section, properties
from rails_made import E, G, rail

ANGLE = Section(shape="angle", width=60.0, depth=40.0, wall=5.0, corner=6.0)
EQUAL = Section(shape="angle", width=40.0, depth=40.0, wall=4.0, corner=6.0)
BOX = Section(shape="rectangle", width=60.0, depth=40.0, wall=3.0, corner=6.0)
FLAT = Section(shape="flat", width=40.0, depth=6.0, wall=6.0)
ALL = pytest.mark.parametrize("section", [ANGLE, EQUAL, BOX, FLAT], ids=lambda s: s.shape)
LONG = 1000.0


def tip(section, force, moment=(0.0, 0.0, 0.0), *, at="shear centre", count=16):
    """Movement and turn (6,) of the tip under a force there, N, and a moment, N mm; shear left out."""
    p = properties(section)
    arm = np.array([0.0, *(p.shear_centre if at == "shear centre" else p.centroid)])
    model = rail(section, LONG, count, shear=False)
    loads = np.zeros((1, count + 1, 6))
    loads[0, -1] = [*force, *(np.cross(arm, force) + np.array(moment))]
    moved = solve_linear(model, loads).displacement[0, -1]
    return moved[:3] + np.cross(moved[3:], arm), moved[3:]


@ALL
@pytest.mark.parametrize("way", [0.0, 30.0, 90.0])
def test_a_force_through_the_shear_centre_bends_and_does_not_twist(section, way):
    """w = F L3 / (3 E) I^-1, the inertia tensor turned to the section's axes.

    2 %: a coupled element's pull is even along it while its odd bending is not, which falls with its length.
    """
    p = properties(section)
    c, s = math.cos(p.turn), math.sin(p.turn)
    spread = p.minor * np.outer((c, s), (c, s)) + p.inertia * np.outer((-s, c), (-s, c))
    force = 1000.0 * np.array([math.cos(math.radians(way)), math.sin(math.radians(way))])
    want = LONG**3 / (3.0 * E) * np.linalg.solve(spread, force)
    moved, turned = tip(section, (0.0, *force))
    assert moved[1:] == pytest.approx(want, rel=0.02, abs=0.02 * np.abs(want).max())
    assert abs(turned[0]) < 1e-3 * float(np.abs(turned).max())


@pytest.mark.parametrize("section", [ANGLE, EQUAL], ids=["unequal", "equal"])
def test_a_force_through_an_angles_centroid_twists_it(section):
    p = properties(section)
    off = np.array(p.centroid) - np.array(p.shear_centre)
    _, turned = tip(section, (0.0, 0.0, 1000.0), at="centroid")
    assert turned[0] == pytest.approx(1000.0 * off[0] * LONG / (G * p.torsion), rel=1e-3)


@pytest.mark.parametrize("section", [ANGLE, EQUAL], ids=["unequal", "equal"])
def test_a_pull_through_the_centroid_bends_nothing(section):
    p = properties(section)
    moved, turned = tip(section, (10_000.0, 0.0, 0.0), at="centroid")
    assert moved[0] == pytest.approx(10_000.0 * LONG / (E * p.area), rel=1e-6)
    assert np.abs(turned).max() < 1e-9


@ALL
def test_torque_turns_it_by_st_venant(section):
    _, turned = tip(section, (0.0, 0.0, 0.0), (20_000.0, 0.0, 0.0))
    assert turned[0] == pytest.approx(20_000.0 * LONG / (G * properties(section).torsion), rel=1e-6)
