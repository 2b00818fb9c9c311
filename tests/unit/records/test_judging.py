"""Readings as entered: what they come to, and what is named and not used."""

import math
from typing import Any

import pytest

from cagewright.records.judging import judge

MARKS = ("main_hoop.start", "front_left")


def judged(text: str, unit: str = "", **more: Any):
    return judge(text, unit, **{"sort": "tape", "job_units": "mm", "marks": MARKS, **more})


@pytest.mark.parametrize(
    ("text", "unit", "job", "value"),
    [
        ("1032.5", "", "mm", 1032.5),
        ("1032.5 mm", "", "in", 1032.5),
        # 25.4 mm to the inch, exactly (international yard and pound agreement, 1959)
        ("40", "in", "mm", 1016.0),
        ("40 5/8", "", "in", 1031.875),
        ('40 5/8"', "in", "mm", 1031.875),
        ("103.25 cm", "mm", "mm", 1032.5),
    ],
)
def test_good_readings(text: str, unit: str, job: str, value: float):
    found = judged(text, unit, job_units=job)
    assert found.wrong == ()
    assert found.value == pytest.approx(value, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "unit", "said"),
    [
        ("40 5/8 in", "mm", "mixed units"),
        ("1032 mm", "in", "mixed units"),
        ("40 5/8", "mm", "mixed units"),
        ("40 5/8", "", "mixed units"),
        ("1 m 20 cm", "mm", "is no length"),
        ("about 1000", "", "is no length"),
        ("", "", "is no length"),
        ("nan", "", "is no length"),
        ("1e400", "", "is no length"),
        ("1000 furlong", "", "is no length"),
        ("1000", "parsec", "is no unit"),
        ("1000", "kg", "is no unit"),
        ("1000", "deg", "is no"),
        ("-5", "", "impossible"),
        ("0", "", "impossible"),
        ("6001", "", "longer than any car body"),
        ("1032", "in", "was it 1032 mm"),
    ],
)
def test_what_cannot_be_used_is_named(text: str, unit: str, said: str):
    assert any(said in wrong for wrong in judged(text, unit).wrong)


def test_the_longest_that_is_possible():
    assert judged("6000").wrong == ()


def test_levels_and_places_may_be_below_nothing():
    assert judged("-12", sort="level").wrong == ()
    assert judged("-650", sort="place", axis="across", marks=("front_left", "")).wrong == ()


def test_leans_are_degrees():
    found = judged("1.5", sort="lean", axis="back")
    assert found.value == pytest.approx(math.radians(1.5))
    assert judged("91", sort="lean", axis="back").wrong
    assert judged("90", sort="lean", axis="back").wrong == ()
    assert judged("1.5 mm", sort="lean", axis="back").wrong


@pytest.mark.parametrize(
    ("sort", "axis", "marks"),
    [
        ("tape", "", ("a", "")),
        ("tape", "back", ("a", "b")),
        ("lean", "up", ("a", "b")),
        ("lean", "", ("a", "b")),
        ("place", "", ("a", "")),
        ("place", "up", ("a", "b")),
        ("tape", "", ("a", "a")),
        ("tape", "", ("", "b")),
    ],
)
def test_a_reading_says_where(sort: str, axis: str, marks: tuple[str, str]):
    assert judged("1", sort=sort, axis=axis, marks=marks).wrong


def test_unknown_marks_are_named_with_the_nearest():
    wrong = judged("1000", marks=("main_hoop.strat", "front_left"), known=set(MARKS)).wrong
    assert wrong == ("there is no mark 'main_hoop.strat'; did you mean 'main_hoop.start'?",)
    assert judged("1000", known=set(MARKS)).wrong == ()


@pytest.mark.parametrize(
    ("taken", "said"),
    [("yesterday", "no time"), ("2026-03-01T09:30", "time zone"), ("9999-01-01T00:00Z", "not come yet")],
)
def test_impossible_times_are_named(taken: str, said: str):
    assert any(said in wrong for wrong in judged("1000", taken=taken).wrong)


def test_a_stated_time_is_taken():
    assert judged("1000", taken="2025-03-01T09:30+01:00").wrong == ()
