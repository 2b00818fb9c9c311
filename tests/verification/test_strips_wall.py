"""A storey of a published shear wall test as strips, in OpenSees and here.

The wall is one half of the storey tested by P. A. Timler and G. L. Kulak, University of Alberta Structural
Engineering Report 114 (1983): sheet 5 mm, 3750 by 2500 mm, posts W310x129, beam W460x144 with pinned corners,
sheet yielding at 271 MPa, 5395 kN on both halves when a weld tore. All these figures and the pins from
memory, unchecked: no worked example with its numbers could be read (AISC Design Guide 20 and University of
Alberta Report 261 were found, but only their first pages). What is held firmly is therefore the curve of the
same frame and strips in OpenSees (general research code; kept as data, computed outside, renewed by
scripts/frame_renew_strips.py); the test's load is a rough check from memory.
"""

import json
import math
from pathlib import Path

import numpy as np
import pytest

from cagewright.frame.model import Bars, ElementSections, Hinges, Material, bilinear, frame_model
from cagewright.frame.strips import chords, pull_angle
from cagewright.frame.travel import Steps, push_pattern
from frame_materials import plain_sections

KEPT = json.loads((Path(__file__).parents[1] / "data" / "frame" / "strips-wall.json").read_text())
WALL = KEPT["wall"]
TESTED = 5395e3
"""N on both halves, from memory, unchecked."""


def sections(wall) -> ElementSections:
    rows = [
        plain_sections(len(wall[pieces]), area=wall[part]["area"], inertia_y=wall[part]["inertia"],
                       inertia_z=wall[part]["inertia"], torsion=2.0 * wall[part]["inertia"])
        for part, pieces in (("post", "posts"), ("bar", "beam"))
    ]  # fmt: skip
    names = ElementSections.__dataclass_fields__
    return ElementSections(**{n: np.concatenate([getattr(r, n) for r in rows]) for n in names})


def pushed(wall, *, strips=True):
    """The curve of the beam's middle, as in the kept one."""
    flat = np.array(wall["nodes"])
    nodes = np.stack([flat[:, 0], np.zeros(len(flat)), flat[:, 1]], axis=1)
    fixed = np.zeros((len(nodes), 6), np.bool_)
    rows = wall["strips"] if strips else wall["strips"][:0]
    met = {n for pair in (*wall["posts"], *wall["beam"], *rows) for n in pair[:2]}
    fixed[np.ix_(sorted(met), [1, 3, 5])] = True  # in its plane
    fixed[[n for n in wall["fixed"] if n in met]] = True
    young = wall["E"]
    model = frame_model(
        nodes=nodes, elements=np.array([*wall["posts"], *wall["beam"]]), sections=sections(wall), fixed=fixed,
        materials=(
            Material(young=young, shear=young / 2.6,
                     curve=bilinear(fy=wall["post_fy"], hardening=wall["hardening"], young=young)),
            Material(young=young, shear=young / 2.6,
                     curve=bilinear(fy=wall["sheet_fy"], hardening=0.0, young=young)),
        ),
        hinges=Hinges(
            ends=np.array([[b, a] for a, b in wall["pins"]]), axes=np.tile(np.eye(3), (2, 1, 1)),
            stiffness=np.tile([1e9, 1e9, 1e9, 1.0, 1.0, 1.0], (2, 1)), capacity=np.full((2, 3), np.inf),
        ),
        bars=Bars(
            ends=np.array([r[:2] for r in rows], np.int64).reshape(-1, 2),
            area=np.array([r[2] for r in rows], float),
            material=np.ones(len(rows), np.int64), slack=np.ones(len(rows), np.bool_),
        ),
    )  # fmt: skip
    pattern = np.zeros((len(nodes), 6))
    pattern[wall["pushed"][len(wall["pushed"]) // 2], 0] = 1.0
    got = push_pattern(model, pattern=pattern, measure=pattern[:, :3], target=wall["target"],
                       steps=Steps(size=0.5))  # fmt: skip
    assert got.reached, got.end
    return got


def gap(got, kept) -> float:
    """Largest difference of load all along, over the peak."""
    load = np.array(kept["load_N"])
    return float(np.abs(np.interp(kept["travel_mm"], got.travel, got.load) - load).max() / load.max())


def test_strips_and_frame_follow_opensees_all_along():
    got = pushed(WALL)
    assert gap(got, KEPT["curve"]) < 0.005
    area = np.array([row[2] for row in WALL["strips"]])
    flowing = got.bars[-1] > 0.999 * WALL["sheet_fy"] * area
    assert 4 < flowing.sum() < len(area), "far past yield, and not all alike: the posts bow"


def test_the_bare_frame_too_so_that_the_sheet_s_part_is_held():
    got = pushed(WALL, strips=False)
    assert gap(got, KEPT["bare"]) < 0.005
    assert max(KEPT["bare"]["load_N"]) < 0.25 * max(KEPT["curve"]["load_N"])


def test_a_sheet_two_percent_thinner_would_be_noticed():
    thin = {**WALL, "strips": [[a, b, 0.98 * area] for a, b, area in WALL["strips"]]}
    assert gap(pushed(thin), KEPT["curve"]) > 0.005


def test_the_kept_strips_are_ours():
    """Angle and strips of the kept wall come out of the same functions that strip a cage's plates."""
    angle = pull_angle(thickness=WALL["thickness"], width=WALL["width"], height=WALL["height"],
                       post_area=WALL["post"]["area"], post_inertia=WALL["post"]["inertia"],
                       beam_area=WALL["bar"]["area"])  # fmt: skip
    assert angle == pytest.approx(WALL["angle"], rel=1e-12)
    w, h = WALL["width"], WALL["height"]
    outline = np.array([[0, 0], [w, 0], [w, h], [0, h]])
    found = chords(outline, np.array([math.sin(angle), math.cos(angle)]), len(WALL["strips"]))
    nodes = np.array(WALL["nodes"])
    for ((a, b), breadth), (i, j, area) in zip(found, WALL["strips"], strict=True):
        assert nodes[i] == pytest.approx(a, abs=1e-3)
        assert nodes[j] == pytest.approx(b, abs=1e-3)
        assert area == pytest.approx(breadth * WALL["thickness"], rel=1e-9)


def test_the_tested_load_is_met_within_what_memory_is_worth():
    """Both halves at 25 mm of drift; 15 %: measures, steels and pins from memory, hardening of the sheet and
    the fish plates round it left out, and the test ended by a tearing weld."""
    both = 2.0 * pushed(WALL).load[-1]
    assert both == pytest.approx(TESTED, rel=0.15)
    assert both < TESTED, "left out: hardening and fish plates, both of which add"
