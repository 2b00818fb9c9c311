"""How figures are said. The factors are held against scipy.constants (CODATA / NIST SP 811 values)."""

import json
import math
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from cagewright.base.say import fraction, number, say, say_angle, say_length, span, unit_of
from cagewright.base.units import parse


@pytest.mark.parametrize(
    ("value", "quantity", "mm", "inch"),
    [
        (517.525, "length", "517.5 mm", '20 3/8"'),
        (0.3, "length", "0.3 mm", '0"'),
        (-44.45, "length", "-44.5 mm", '-1 3/4"'),
        (12.0, "length", "12.0 mm", '15/32"'),
        (math.radians(22.5), "angle", "22.5°", "22.5°"),
        (1.0, "mass", "1.00 kg", "2.2 lb"),
        (35_200.0, "force", "35.2 kN", "7913 lbf"),
        (340.0, "force", "340 N", "76 lbf"),
        (1_021_300.0, "moment", "1.02 kN m", "753 ft lbf"),
        (2500.0, "energy", "2500 J", "1844 ft lbf"),
        (355.0, "stress", "355 MPa", "51.5 ksi"),
        (2000.0, "stiffness", "2.00 kN/mm", "11420 lbf/in"),
        (14_300.0, "area", "143.0 cm²", "22.17 in²"),
        (2440.0, "run", "2.44 m", "8.01 ft"),
    ],
)
def test_a_figure_is_said_in_the_plans_units(value, quantity, mm, inch):
    assert say(value, quantity, "mm") == mm
    assert say(value, quantity, "in") == inch


def test_factors_are_those_of_the_standards():
    foot_pound = constants.foot * constants.pound_force
    assert float(number(1e6, "energy", "in", places=3)) == pytest.approx(1e6 / foot_pound, rel=1e-6)
    assert float(number(1e9, "moment", "in", places=3)) == pytest.approx(1e6 / foot_pound, rel=1e-6)
    assert float(number(1e6, "force", "in", places=3)) == pytest.approx(1e6 / constants.pound_force, rel=1e-6)
    assert float(number(1e5, "mass", "in", places=3)) == pytest.approx(1e5 / constants.pound, rel=1e-6)
    assert float(number(1e5, "stress", "in", places=3)) == pytest.approx(1e11 / constants.psi / 1e3, rel=1e-6)


def test_decimals_of_an_inch_where_the_builder_sets_it():
    assert say_length(517.525, "decimal in") == '20.375"'
    assert unit_of("length", "decimal in") == "in"


def test_plus_minus_stands_beside_the_figure_and_is_never_rounded_away():
    assert say(12.44, "length", "mm", plus_minus=0.61) == "12.4 ± 0.6 mm"
    assert say(12.44, "length", "in", plus_minus=0.2) == '1/2 ± 1/32"'
    assert say(12.44, "length", "mm", plus_minus=math.inf) == "12.4 mm"


def test_signs():
    assert say(3.2, "length", "mm", signed=True) == "+3.2 mm"
    assert say(-0.01, "length", "mm") == "0.0 mm"
    assert say_angle(-1e-9) == "0.0°"


def test_two_figures_have_one_unit():
    assert span(6.0, 14.0, "length", "mm", places=0) == "6 to 14 mm"
    assert span(6.35, 14.2875, "length", "in") == '1/4 to 9/16"'
    assert span(500.0, 2000.0, "force", "mm") == "500 N to 2.0 kN"


@given(st.floats(-20_000, 20_000))
def test_an_inch_fraction_is_the_nearest_mark(mm):
    assert abs(parse(fraction(mm), "length", bare="in") - mm) <= 25.4 / 64 + 1e-6
    assert " mm" not in say(mm, "length", "in")


def test_lengths_are_said_as_the_browser_reads_them_off():
    """The same file holds web/src/numbers.js in web/test/numbers.test.js."""
    cases = json.loads((Path(__file__).parents[2] / "data" / "said_lengths.json").read_text())
    assert [say_length(mm, units) for mm, units, _ in cases] == [said for _, _, said in cases]
