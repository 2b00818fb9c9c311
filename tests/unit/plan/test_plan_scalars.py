"""Unquoted words by the core schema: YAML 1.2.2 section 10.3.2 (from memory), and a general reader of 1.2."""

import math

import pytest
from ruamel.yaml import YAML

from cagewright.plan.scalars import resolve


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("", None), ("~", None), ("null", None), ("NULL", None), ("nUll", "nUll"),
        ("true", True), ("True", True), ("FALSE", False), ("tRue", "tRue"),
        ("yes", "yes"), ("no", "no"), ("on", "on"), ("Off", "Off"), ("y", "y"),
        ("0", 0), ("-19", -19), ("+12", 12), ("012", 12), ("0o14", 12), ("0xC", 12), ("0b11", "0b11"),
        ("1_000", "1_000"), ("1:30", "1:30"), ("190:20:30", "190:20:30"),
        ("0.", 0.0), ("-0.0", 0.0), (".5", 0.5), ("+12e03", 12000.0), ("-2E+05", -200000.0), ("12e", "12e"),
        (".", "."), ("-", "-"), ("+", "+"), ("1.2.3", "1.2.3"), ("1,5", "1,5"), ("2024-01-01", "2024-01-01"),
        (".inf", math.inf), ("-.Inf", -math.inf), ("+.INF", math.inf), ("inf", "inf"), ("nan", "nan"),
        ("45 mm", "45 mm"), ("1 3/4 in", "1 3/4 in"), ('20-3/8"', '20-3/8"'), ("4130+N", "4130+N"),
    ],
)  # fmt: skip
def test_the_core_schema(text: str, value: object):
    assert resolve(text) == value
    assert type(resolve(text)) is type(value)


def test_not_a_number():
    assert all(math.isnan(float(str(resolve(text)))) for text in (".nan", ".NaN", ".NAN"))


def test_a_number_too_long_for_an_integer_stays_a_number():
    assert resolve("9" * 5000) == math.inf
    assert resolve("1" + "0" * 30) == 1e30
    assert resolve("0x" + "f" * 5000) == math.inf


@pytest.mark.parametrize(
    "text",
    [
        "12",
        "-7",
        "0o17",
        "0x1f",
        "1.5",
        "1e3",
        "-.5",
        "true",
        "False",
        "null",
        "yes",
        "on",
        "1:30",
        "a b",
        ".inf",
    ],
)
def test_the_same_as_a_general_reader_of_version_1_2(text: str):
    read = YAML(typ="safe", pure=True)
    assert resolve(text) == read.load(f"- {text}")[0]
