import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cagewright.base.units import QuantityError, parse, to_inches


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        (45, 45.0),
        ("45", 45.0),
        ("45 mm", 45.0),
        ("1 3/4 in", 44.45),
        ('20-3/8"', 517.525),
        ("20 3/8 in", 517.525),
        ("5/8in", 15.875),
        ("-5/8 in", -15.875),
        ("- 2 1/2 in", -63.5),
        ("1/64 in", 0.396875),
        ("1.5in", 38.1),
        (".095 in", 2.413),
        ("1.2 m", 1200.0),
        ("2 ft", 609.6),
        ("1e2", 100.0),
    ],
)
def test_lengths_are_read_as_written(text, mm):
    assert parse(text, "length") == pytest.approx(mm, abs=1e-9)


def test_a_bare_number_takes_the_plans_unit():
    assert parse("1 3/4", "length", bare="in") == pytest.approx(44.45)
    assert parse(2, "length", bare="in") == pytest.approx(50.8)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [
        ("30 deg", "angle", math.pi / 6),
        (90, "angle", math.pi / 2),
        ("1 rad", "angle", 1.0),
        ("2400 lb", "mass", 1088.621688),
        ("30 kN", "force", 30_000.0),
        ("5000 lbf", "force", 22_241.108),
        ("50 ksi", "stress", 344.737865),
        ("120 cm2", "area", 12_000.0),
        ("6 kJ", "energy", 6000.0),
    ],
)
def test_other_kinds_are_read(text, kind, value):
    assert parse(text, kind) == pytest.approx(value, rel=1e-7)


WRONG_TEXTS = ["", "abc", "1 3/7 in", "1 5/4 in", "3 kg", "nan", "inf", "1e9", "1e999", "1/0 in", "4 5 mm"]
WRONG_TEXTS += ["--3", "1" * 100, "45 furlongs", "1 1/2/4 in", "0x10"]


@pytest.mark.parametrize("text", [*WRONG_TEXTS, True, None, [1], {"a": 1}])
def test_what_is_no_length_is_refused(text):
    with pytest.raises(QuantityError):
        parse(text, "length")


def test_a_refusal_says_what_was_wanted():
    with pytest.raises(QuantityError, match="'furlong' is no unit of length; wanted a length such as 45"):
        parse("3 furlong", "length")


@given(st.floats(-20_000, 20_000))
def test_the_inch_mark_and_its_remainder_make_the_length(mm):
    mark = to_inches(mm, denominator=16)
    assert parse(mark.text, "length") + mark.remainder == pytest.approx(mm, abs=1e-6)
    assert abs(mark.remainder) <= 25.4 / 32 + 1e-9


def test_less_than_a_mark_is_nothing():
    assert to_inches(0.2, denominator=16).text == '0"'
