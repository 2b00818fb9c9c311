"""Stated loads: carried whole, or the part at which the frame gives way."""

from __future__ import annotations

import numpy as np
import pytest
from frame_cases import model_of, portal_data

from cagewright.frame import Steps, carry, push_pattern, solve_linear


def sway(force: float) -> np.ndarray:
    loads = np.zeros((33, 6))
    loads[[10, 22], 1] = -0.5 * force
    return loads


def test_small_load_is_carried_and_is_the_linear_answer():
    model = model_of(portal_data())
    got = carry(model, loads=sway(10.0))
    assert got.reached
    assert got.end == "carried the whole load"
    assert got.load[-1] == 1.0
    linear = solve_linear(model, sway(10.0)[None])
    assert got.displacement[-1] == pytest.approx(linear.displacement[0, :, :3], rel=1e-3, abs=1e-6)
    assert got.reaction[-1] == pytest.approx(linear.reaction[0], rel=1e-3, abs=1e-2)


def test_load_past_yield_is_carried_with_lasting_damage():
    model = model_of(portal_data())
    got = carry(model, loads=sway(5500.0))
    assert got.reached
    assert got.dissipated[-1] > 0.0
    assert got.reaction[-1, :, 1].sum() == pytest.approx(5500.0, rel=1e-4)


def test_too_much_load_says_at_what_part_it_gave_way():
    # legs pressed down and pushed over: they buckle, and the load falls
    model = model_of(portal_data(hardening=0.0))
    loads = sway(8000.0)
    loads[[10, 22], 2] = -120e3
    got = carry(model, loads=loads)
    assert not got.reached
    assert got.end.startswith("gave way at")
    measure = np.zeros((33, 3))
    measure[10, 1] = -1.0
    peak = push_pattern(model, pattern=loads, measure=measure, target=60.0, steps=Steps(size=1.0)).load.max()
    assert got.load.max() == pytest.approx(peak, rel=5e-3)
    assert float(got.end.split()[3]) == pytest.approx(peak, rel=1e-2)


def test_no_load_is_refused():
    model = model_of(portal_data())
    with pytest.raises(ValueError, match="no load"):
        carry(model, loads=np.zeros((33, 6)))
    held = np.zeros((33, 6))
    held[0, 2] = -100.0
    with pytest.raises(ValueError, match="held nodes"):
        carry(model, loads=held)
