"""Copes against boolean cuts of solids.

Source: the Open CASCADE kernel through build123d 0.13 (a general solid modeller), run once by
scripts/copes_renew_solids.py, which shares no code with the package; its curves are kept in tests/data/copes
(computed). Every point of the solid's edge must lie on the cope within 0.05 mm along the branch: straight and
bent mains, offset, odd angles, and two or three mains at once.
"""

import itertools
import json
import math
from pathlib import Path

import numpy as np
import pytest

from cagewright.plan.types import Plan
from cagewright.shape.recut import recut
from cagewright.shape.resolve import resolve

CASES = sorted((Path(__file__).parents[1] / "data" / "copes").glob("*.json"))
WITHIN = 0.05
FINE = 1440


def plan_of(case):
    """The case's tubes as a plan: every far end on a foot, the branch last so that it is cut."""
    members, tubes, feet = {}, {}, {}
    every = [(f"main_{i}", main) for i, main in enumerate(case["mains"])] + [("branch", case["branch"])]
    for name, tube in every:
        tubes[name] = {
            "od": tube["od"],
            "wall": tube.get("wall", 2.5),
            "steel": "E355+N",
            "clr": tube.get("clr"),
        }
        path = [{"at": p} for p in tube["path"]]
        for i in (0, -1):
            if name == "main_0" or i == -1:
                feet[f"{name}_foot_{i % 2}"] = {
                    "at": tube["path"][i],
                    "on": "rigid",
                    "plate": [100, 100, 3],
                    "normal": np.subtract(tube["path"][1 if i == 0 else -2], tube["path"][i]).tolist(),
                }
                path[i] = {"foot": f"{name}_foot_{i % 2}"}
        members[name] = {"role": "diagonal", "tube": name, "path": path}
    return Plan.model_validate({
        "cagewright": 1,
        "title": "case",
        "tubes": tubes,
        "members": members,
        "feet": feet,
    })


def unrolled(cope, radius, points):
    """Points (..., 3) on the wall as (round the wall from phi = 0, up the branch), mm."""
    away = np.asarray(points) - cope.origin
    phi = np.arctan2(away @ np.cross(cope.axis, cope.zero), away @ cope.zero) % (2.0 * math.pi)
    return np.stack((radius * phi, away @ cope.axis), axis=-1)


def to_edges(cope, radius, wall, edges):
    """Largest distance from the cope's points to the solid's edges on the unrolled wall, mm."""
    ours = np.stack((radius * cope.phi, wall), axis=1)
    around = 2.0 * math.pi * radius
    best = np.full(len(ours), np.inf)
    for edge in edges:
        flat = unrolled(cope, radius, edge)
        for a, b in itertools.pairwise(flat):
            run = b - a
            run[0] = (run[0] + around / 2.0) % around - around / 2.0
            off = ours - a
            off[:, 0] = (off[:, 0] + around / 2.0) % around - around / 2.0
            share = np.clip(off @ run / max(run @ run, 1e-18), 0.0, 1.0)
            best = np.minimum(best, np.hypot(*(off - share[:, None] * run).T))
    return float(best.max())


def left_over(cope, radius, wall, edges):
    """How far up the branch from the cope any edge of the solid stands, mm: metal inside a main."""
    flat = np.concatenate([unrolled(cope, radius, edge) for edge in edges])
    step = 2.0 * math.pi * radius / len(wall)
    before = np.floor(flat[:, 0] / step).astype(int) % len(wall)
    ours = np.maximum(wall[before], wall[(before + 1) % len(wall)])
    return float((flat[:, 1] - ours).max())


@pytest.mark.parametrize("file", CASES, ids=[c.stem for c in CASES])
def test_solid_edges(file):
    case = json.loads(file.read_text(encoding="utf-8"))
    cope = recut(resolve(plan_of(case)), "branch", "start", points=FINE)
    outside = case["branch"]["od"] / 2.0
    inside = outside - case["branch"]["wall"]
    assert to_edges(cope, outside, cope.outside, case["outside"]) < WITHIN
    assert to_edges(cope, inside, cope.inside, case["inside"]) < WITHIN
    assert left_over(cope, outside, cope.outside, case["outside"]) < WITHIN
    assert left_over(cope, inside, cope.inside, case["inside"]) < WITHIN


def test_every_main_of_a_corner_is_met():
    case = json.loads((CASES[0].parent / "corner_of_three.json").read_text(encoding="utf-8"))
    cope = recut(resolve(plan_of(case)), "branch", "start", points=72)
    assert set(cope.on.tolist()) == {0, 1, 2}


def test_a_main_half_a_millimetre_too_thick_is_told():
    case = json.loads(CASES[0].read_text(encoding="utf-8"))
    case["mains"][0]["od"] += 0.5
    cope = recut(resolve(plan_of(case)), "branch", "start", points=72)
    assert to_edges(cope, case["branch"]["od"] / 2.0, cope.outside, case["outside"]) > WITHIN
