"""The mean strain over a gauge length, by hand."""

from __future__ import annotations

import numpy as np
import pytest
from frame_cases import model_of, portal_data

from cagewright.frame.gauge import gauge_strains, gauge_windows
from cagewright.frame.model import Material, bilinear, clamped, frame_model, tube_sections
from cagewright.frame.neutral import PointPush, run_push


def straight(count: int, long: float = 900.0, od: float = 45.0):
    nodes = np.stack([np.linspace(0.0, long, count + 1), np.zeros(count + 1), np.zeros(count + 1)], axis=1)
    ends = np.stack([np.arange(count), np.arange(1, count + 1)], axis=1)
    steel = Material(young=210e3, shear=81e3, curve=bilinear(fy=350.0, hardening=0.0, young=210e3))
    return frame_model(
        nodes=nodes, elements=ends, sections=tube_sections(np.full(count, od), np.full(count, 2.5)),
        materials=(steel,), fixed=clamped(count + 1, [0]),
    )  # fmt: skip


def test_one_strained_half_is_spread_over_a_diameter():
    windows = gauge_windows(straight(9))
    skin = np.zeros((9, 2))
    skin[4, 1] = 0.09
    strains = gauge_strains(windows, skin)
    # elements of 100 mm: a window of 45 mm lies wholly in the half of 50 mm
    assert strains.max() == pytest.approx(0.09)
    best = int(np.argmax(strains))
    assert windows.middle[best] == 4
    assert windows.part[best] > 0.5


def test_a_short_strained_piece_counts_by_its_length():
    windows = gauge_windows(straight(90))
    skin = np.zeros((90, 2))
    skin[30] = 0.2
    # 10 mm of 45 mm strained
    assert gauge_strains(windows, skin).max() == pytest.approx(0.2 * 10.0 / 45.0)


def test_a_window_does_not_run_round_a_corner():
    model = model_of(portal_data())
    windows = gauge_windows(model)
    skin = np.zeros((len(model.elements), 2))
    skin[9, 1] = skin[10, 0] = 0.1  # both sides of a corner of the portal
    alone = np.zeros_like(skin)
    alone[9, 1] = 0.1
    assert gauge_strains(windows, skin).max() == pytest.approx(gauge_strains(windows, alone).max())


@pytest.mark.parametrize("count", [18, 72])
def test_a_hinge_strains_a_cantilever_by_its_turn_over_the_gauge_length(count: int):
    # perfectly plastic: nearly all of the tip's travel is a turn at the root, spread over one diameter
    model = straight(count)
    got, _ = run_push(model, PointPush(node=count, direction=np.array([0, 0, 1.0]), target=90.0))
    at_yield = got.travel[np.searchsorted(got.dissipated, 1e-9)]
    turn = (got.travel[-1] - 1.27 * at_yield) / 900.0
    assert got.strain[-1] == pytest.approx(turn / 45.0 * 22.5, rel=0.25)
    assert got.strained[-1] * 900.0 / count < 45.0
