"""Thin tube in bending: EN 1993-1-1:2005 Table 5.2 and ISO 19902, both from memory, worked by hand.

Beside them a physical test: Khalaf and others, Materials 15 (2022) 4350, abstract (second-hand): round tubes
of 101.6 mm on a span of 1500 mm, P(6 mm)/P(3 mm) = 1.818 and P(2 mm)/P(3 mm) = 0.611.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from cagewright.frame.choices import Choices
from cagewright.frame.idealise import idealise
from cagewright.frame.thin_tubes import bending_part, tube_class
from cagewright.stock.sections import properties, round_section
from cagewright.stock.tubes import round_tube
from push_cages import beam


@pytest.mark.parametrize(("fy", "limits"), [(235, (50.0, 70.0, 90.0)), (350, (33.57, 47.0, 60.43))])
def test_limits_of_the_classes(fy, limits):
    for k, limit in enumerate(limits):
        assert tube_class(100.0, 100.0 / (0.999 * limit), fy) == k + 1
        assert tube_class(100.0, 100.0 / (1.001 * limit), fy) == k + 2


def test_strength_left_by_hand():
    """350 MPa, E 210 000: D/t 31.02 is the first limit; 50.8 leaves 1.13 - 2.58 x 0.08467 = 0.9116."""
    assert bending_part(31.0, 1.0, 350, 210e3) == 1.0
    assert bending_part(101.6, 2.0, 350, 210e3) == pytest.approx(0.9116, abs=1e-4)
    assert bending_part(90.0, 1.0, 350, 210e3) == pytest.approx(0.94 - 0.76 * 0.15)
    assert bending_part(45.0, 2.5, 350, 210e3) == 1.0


def test_ratio_of_a_thin_tube_to_a_thicker_one_comes_nearer_to_what_was_measured():
    plain, lowered = {}, {}
    for wall in (2.0, 3.0, 6.0):
        plain[wall] = properties(round_section(101.6, wall)).plastic
        lowered[wall] = plain[wall] * bending_part(101.6, wall, 350, 210e3)
    assert plain[2.0] / plain[3.0] == pytest.approx(0.680, abs=1e-3)
    ours = lowered[2.0] / lowered[3.0]
    assert ours == pytest.approx(0.630, abs=1e-3)
    assert abs(ours - 0.611) < 0.3 * abs(plain[2.0] / plain[3.0] - 0.611)
    # the other ratio was nearer before: 1.882 and 1.912 against 1.818 measured
    assert lowered[6.0] / lowered[3.0] == pytest.approx(1.912, abs=1e-3)


def test_the_frame_takes_the_lowered_strength_and_says_so():
    cage = beam()
    tube = round_tube(od=cage.members[0].tube.od, wall=0.9, steel=cage.members[0].tube.steel)
    thin = replace(cage, members=(replace(cage.members[0], tube=tube),))
    model = idealise(thin, Choices(softened="none"))
    fy = float(tube.steel.yield_strength or 0.0)
    part = bending_part(45.0, 0.9, fy, tube.steel.modulus)
    assert part < 1.0
    assert model.model.yield_factor == pytest.approx(part)
    assert any("thin tube: 45 x 0.9 mm is class 3" in note for note in model.notes)
    assert idealise(thin, Choices(softened="none", thin=False)).model.yield_factor == pytest.approx(1.0)
    assert not any("thin tube" in note for note in idealise(cage).notes)
