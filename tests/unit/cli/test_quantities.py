"""Quantities typed as options of commands."""

import math

import pytest
import typer

from cagewright.cli.quantities import TUBE_LENGTH, quantity


def test_a_length_is_read_with_its_unit_or_bare_in_mm():
    gap = quantity("length", low=1.0, high=100.0)
    # 25.4 mm an inch by definition
    assert [gap(text) for text in ("20", "20 mm", "2 cm", "3/8 in", '1/2"')] == pytest.approx([
        20.0, 20.0, 20.0, 9.525, 12.7,
    ])  # fmt: skip
    assert gap("1 mm") == 1.0
    assert gap("100") == 100.0


@pytest.mark.parametrize("text", ["0.9", "100.1 mm", "4 in", "-20", "NaN", "inf", "", "20 deg", "wide"])
def test_what_is_no_such_length_is_refused_with_what_is_wanted(text):
    with pytest.raises(typer.BadParameter, match=r"wanted (1 mm to 100 mm|a length|a finite number)"):
        quantity("length", low=1.0, high=100.0)(text)


def test_an_angle_s_limits_are_in_degrees_and_its_value_in_rad():
    read = quantity("angle", low=15.0, high=165.0)
    assert read("90 deg") == read("90") == pytest.approx(math.pi / 2.0)
    with pytest.raises(typer.BadParameter, match="wanted 15 deg to 165 deg"):
        read("170")


def test_a_tube_has_some_length():
    with pytest.raises(typer.BadParameter, match=r"wanted 0\.1 mm or more"):
        TUBE_LENGTH("0")
