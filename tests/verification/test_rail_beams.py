"""Rails as beams in closed form: bending about tilted principal axes, shear centre, torsion, plastic moments.

Sources: beam theory as any handbook has it (unsymmetric bending, St Venant torsion, plastic hinges); the
sections' own figures are held against tables in test_rail_sections.py.
"""

import json
import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from cagewright.frame.linear import solve_linear
from cagewright.frame.model import HardeningCurve
from cagewright.frame.travel import push_point
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


CALCULIX = json.loads((Path(__file__).parents[1] / "data" / "frame" / "calculix_rails.json").read_text())


@pytest.mark.parametrize("row", CALCULIX["torsion_mm4"], ids=lambda r: f"{r['width']:g} {r['long']:g}")
def test_torsion_against_bricks_with_ends_free_to_warp(row):
    """CalculiX, C3D8I bricks, four through the wall; 3 %: Roark's formula is a fitted one.

    With ends held against warping the same bar is stiffer, which the beams leave out: by 3 to 33 % here, the
    more the shorter it is.
    """
    made = Section(shape=row["shape"], width=row["width"], depth=row["depth"], wall=row["wall"])
    assert properties(made).torsion == pytest.approx(row["free"], rel=0.03)
    assert 1.02 < row["held"] / row["free"] < 1.35


def test_warping_left_out_matters_less_the_longer_the_bar():
    for short, long in zip(CALCULIX["torsion_mm4"][::2], CALCULIX["torsion_mm4"][1::2], strict=True):
        assert short["held"] / short["free"] > long["held"] / long["free"]


def test_a_box_pushed_past_yield_against_calculix():
    """B32R with a BOX section; 6.5 %: its beams become bricks, stiff where held."""
    box = CALCULIX["box"]
    curve = HardeningCurve(strain=np.zeros(1), stress=np.array([box["fy"]]), tail=box["slope"])
    section = Section(shape="rectangle", width=box["width"], depth=box["depth"], wall=box["wall"])
    model = rail(section, box["long"], 15, curve)
    found = push_point(model, node=15, direction=np.array([0.0, 0.0, 1.0]), target=box["target"])
    travel, load = (np.array(CALCULIX["push"][k]) for k in ("travel_mm", "load_N"))
    ours = np.interp(travel, found.travel, found.load)
    assert found.reached
    assert np.abs(ours - load).max() < 0.065 * load.max()


@ALL
def test_a_cantilever_folds_at_its_plastic_moment(section):
    """M_p over the arm, about each principal axis; 10 %: an unequal angle yields askew."""
    p = properties(section)
    curve = HardeningCurve(strain=np.zeros(1), stress=np.array([235.0]), tail=20.0)
    model = rail(section, 400.0, 10, curve)
    for way, plastic in ((p.turn + math.pi / 2.0, p.plastic), (p.turn, p.plastic_minor)):
        load = np.array([0.0, math.cos(way), math.sin(way)])
        model_ = replace(model, stubs=np.zeros_like(model.stubs))  # loaded through the shear centre itself
        found = push_point(model_, node=10, direction=load, target=60.0)
        at = float(np.interp(60.0, found.travel, found.load))
        assert at == pytest.approx(235.0 * plastic / 400.0, rel=0.1)
