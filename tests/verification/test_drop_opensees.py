"""Two frames struck by a mass, in OpenSees (general research code; motions kept as data, computed outside).

Newmark's mean acceleration, dispBeamColumn, two Gauss points, corotational, Steel01, the same 24 fibres and
lumped masses. Renew with scripts/drop_renew_opensees.py.
"""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest

from cagewright.frame.body import on_ground
from cagewright.frame.follow import follow
from cagewright.frame.moving import Pace, lumped, mover
from cagewright.frame.neutral import parse_frame

DATA = Path(__file__).resolve().parents[1] / "data" / "frame"


def both(name: str, stronger: float = 1.0) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time ms, travel mm there and here of the struck node; ``stronger`` multiplies the yield stress here."""
    data = json.loads((DATA / f"{name}.json").read_text())
    data["frame"]["fy"] *= stronger
    model, push = parse_frame(json.dumps(data["frame"]))
    masses = lumped(model)
    mass = data["mass_t"]
    masses[push.node, :3] += mass
    start = np.zeros_like(masses)
    start[push.node, :3] = push.direction * data["speed_mm_s"] * mass / masses[push.node, 0]
    time, there = (np.array(data["motion"][key]) for key in ("time_ms", "travel_mm"))
    pace = Pace(longest=2e-4, rho=0.9)
    run = follow(mover(on_ground(model), mass=masses, pace=pace), start, until=time[-1] * 1e-3)
    assert run.reached
    assert len(run.solution.events) > 10, "the blow is meant to go far past yield"
    assert np.abs(run.account.gap).max() < 0.005 * run.account.given
    assert abs(run.account.numerical[-1]) < 0.02 * run.account.given
    here = run.solution.displacement[:, push.node] @ push.direction
    return time, there, np.interp(time, run.solution.travel, here)


@pytest.mark.parametrize("name", ["struck-portal", "struck-cage"])
def test_the_struck_node_moves_within_half_a_percent_all_along(name):
    _, there, here = both(name)
    assert there.max() > 100.0
    assert np.abs(here - there).max() < 0.005 * there.max()


def test_steel_a_twentieth_stronger_would_be_noticed():
    _, there, here = both("struck-cage", stronger=1.05)
    assert np.abs(here - there).max() > 0.005 * there.max()
