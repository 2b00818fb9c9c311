"""The same frame files in OpenSees (general research code; curves kept as data, computed outside).

Pushovers: dispBeamColumn, two Gauss points, corotational, Steel01, the same 24 fibres, no shear flexibility.
Linear: elasticBeamColumn and ElasticTimoshenkoBeam. Renew with scripts/frame_renew_opensees.py.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from cagewright.frame.linear import solve_linear
from cagewright.frame.neutral import parse_frame, run_push

DATA = Path(__file__).resolve().parents[1] / "data" / "frame"
CURVES = ["cage-roof", "cage-side", "braced-roof", "braced-side", "portal-roof", "portal-side"]


def kept(name: str) -> dict:
    """The kept data, with torque as those elements take it: apart from the fibres, elastic."""
    data = json.loads((DATA / f"{name}.json").read_text())
    data["frame"]["torsion"] = "elastic"
    return data


@pytest.mark.parametrize("name", CURVES)
def test_pushover_within_half_a_percent_of_peak_all_along(name):
    data = kept(name)
    model, push = parse_frame(json.dumps(data["frame"]))
    got, _ = run_push(model, push)
    assert got.reached
    travel, load = np.array(data["curve"]["travel_mm"]), np.array(data["curve"]["load_N"])
    assert travel[-1] == pytest.approx(push.target, rel=1e-6)
    assert len(got.events) > 20, "the push is meant to go far past yield"
    off = np.abs(np.interp(travel, got.travel, got.load) - load)
    assert off.max() < 0.005 * load.max()


def test_a_frame_a_percent_stronger_would_be_noticed():
    data = kept("portal-side")
    data["frame"]["fy"] *= 1.01
    model, push = parse_frame(json.dumps(data["frame"]))
    got, _ = run_push(model, push)
    travel, load = np.array(data["curve"]["travel_mm"]), np.array(data["curve"]["load_N"])
    assert np.abs(np.interp(travel, got.travel, got.load) - load).max() > 0.005 * load.max()


@pytest.mark.parametrize("name", ["linear-plain", "linear-shear"])
def test_linear_to_a_millionth(name):
    data = kept(name)
    model, push = parse_frame(json.dumps(data["frame"]))
    loads = np.zeros((1, len(model.nodes), 6))
    loads[0, push.node, :3] = push.direction
    moved = solve_linear(model, loads).displacement[0]
    want = np.array(data["displacement"])
    assert np.abs(moved[:, :3] - want[:, :3]).max() < 1e-6 * np.abs(want[:, :3]).max()
    assert np.abs(moved[:, 3:] - want[:, 3:]).max() < 1e-6 * np.abs(want[:, 3:]).max()


def test_shear_softens_the_cage_by_several_percent():
    plain, sheared = (np.abs(np.array(kept(f"linear-{k}")["displacement"])).max() for k in ("plain", "shear"))
    assert sheared > 1.02 * plain
