"""Denting of a round tube under a tool: NORSOK N-004 Annex A and DNV-RP-C204, from memory, worked by hand.

Beside it the fit to tests of C. P. Ellinas and A. C. Walker (1983), P = 37.5 fy t2 sqrt(w/D), as quoted in
Y. Bai, Marine Structural Design (2003), eq. 14.5 (second-hand), which stands for a tool of some length.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cagewright.frame.contact import Pole, push_with
from cagewright.frame.continuation import Steps
from cagewright.frame.dents import bending_left, crushing, dent_law, tee_strength
from cagewright.frame.model import FrameModel, Material, bilinear, clamped, frame_model, tube_sections

OD, WALL, FY = np.array(45.0), np.array(2.5), np.array(350.0)


def resisted(share: float, ratio: float) -> float:
    c1, c2 = dent_law(ratio)
    return float(crushing(OD, WALL, FY) * c1 * share**c2)


def test_the_law_by_hand():
    """Rc = 350 x 6.25/4 x sqrt(18) = 2320 N; 22 x 0.1^0.55 = 6.2003 of it at a dent of a tenth, B = 0."""
    assert float(crushing(OD, WALL, FY)) == pytest.approx(2320.2, rel=1e-4)
    assert resisted(0.1, 0.0) == pytest.approx(2320.2 * 22 * 10**-0.55, rel=1e-4)
    assert resisted(0.1, 2.0) == pytest.approx(2320.2 * 24.4 * 10**-0.35, rel=1e-4)


def test_a_fit_to_tests_lies_between_a_sharp_tool_and_one_of_three_diameters():
    for share in (0.05, 0.1, 0.2):
        fitted = 37.5 * 350 * 2.5**2 * share**0.5
        assert resisted(share, 0.0) < fitted < 1.25 * resisted(share, 3.0)


def test_one_tube_on_another_carries_no_more_than_a_tee():
    """45 x 2.5 under one as wide, 350 MPa: 57 710 N (worked by hand elsewhere)."""
    assert float(tee_strength(OD, WALL, FY, 60.0)) == pytest.approx(57_710, rel=1e-3)


def test_what_a_dent_leaves_of_bending_by_hand():
    """At half the diameter the dent's angle is 90 degrees: cos 45 - 1/2 = 0.2071; at a tenth 0.6487."""
    assert bending_left(0.0, 45.0) == 1.0
    assert bending_left(22.5, 45.0) == pytest.approx(0.2071, abs=1e-4)
    assert bending_left(4.5, 45.0) == pytest.approx(0.9487 - 0.3, abs=1e-4)


def stub(fy: float = 350.0) -> FrameModel:
    """A short 45 x 2.5 held at both ends, elastic in bending, whose wall alone gives."""
    steel = Material(young=2.1e7, shear=8.1e6, curve=bilinear(fy=fy, hardening=0.01, young=2.1e7))
    nodes = np.array([[0, -60.0, 0], [0, 0, 0], [0, 60.0, 0]])
    return frame_model(
        nodes=nodes, elements=np.array([[0, 1], [1, 2]]), fixed=clamped(3, [0, 2]), materials=(steel,),
        sections=tube_sections(np.full(2, 45.0), np.full(2, 2.5)),
    )  # fmt: skip


def pole(radius: float) -> Pole:
    return Pole(
        centre=np.array([0.0, 0.0, 22.5 + radius + 1.0]), axis=np.array([1.0, 0, 0]), length=200.0,
        radius=radius, way=np.array([0, 0, -1.0]),
    )  # fmt: skip


def test_a_thin_pole_dents_a_stub_by_the_law_and_every_joule_is_accounted_for():
    got = push_with(stub(), press=pole(3.0), target=4.0, steps=Steps(size=0.25), dents=True)
    assert got.reached
    dent = got.dent.max(axis=1)
    late = dent > 1.0
    assert late.sum() > 5
    # points stand 15 mm apart: one of them presses, a sharp tool of no length
    expected = np.array([resisted(d / 45.0, 0.0) for d in dent[late]])
    most = float(tee_strength(OD, WALL, FY, 6.0))
    # 3 %: its strength is brought up a step behind
    assert got.load[late] == pytest.approx(np.minimum(expected, most), rel=0.03)
    assert (got.work - got.stored - got.dissipated)[-1] == pytest.approx(0.0, abs=0.01 * got.work[-1])
    assert [e.kind for e in got.events].count("dent") >= 1


def test_without_dents_the_wall_is_as_good_as_rigid():
    hard = push_with(stub(), press=pole(3.0), target=1.0, steps=Steps(size=0.25))
    soft = push_with(stub(), press=pole(3.0), target=1.0, steps=Steps(size=0.25), dents=True)
    assert hard.load[-1] > 3.0 * soft.load[-1]
    assert hard.dent.max() == 0.0


def test_a_steel_that_never_yields_is_not_dented():
    elastic = replace(stub(), materials=(Material(young=2.1e7, shear=8.1e6),))
    got = push_with(elastic, press=pole(3.0), target=1.0, steps=Steps(size=0.25), dents=True)
    assert got.dent.max() == 0.0
