"""Dates as papers give them."""

from datetime import date

import pytest

from cagewright.base.dates import say_day, span_of


@pytest.mark.parametrize(
    ("raw", "first", "last"),
    [
        ("2026", date(2026, 1, 1), date(2026, 12, 31)),
        (2026, date(2026, 1, 1), date(2026, 12, 31)),
        ("2024-02", date(2024, 2, 1), date(2024, 2, 29)),
        (" 2026-05-14 ", date(2026, 5, 14), date(2026, 5, 14)),
        (date(2026, 5, 14), date(2026, 5, 14), date(2026, 5, 14)),
    ],
)
def test_a_date_is_the_days_it_can_mean(raw: object, first: date, last: date):
    span = span_of(raw)
    assert (span.first, span.last) == (first, last)


@pytest.mark.parametrize(
    "raw", ["", "26", "2026-5", "2026-13", "2026-02-30", "0000", "May 2026", True, None, 2026.5]
)
def test_what_is_no_date_is_said(raw: object):
    with pytest.raises(ValueError, match="wanted a date"):
        span_of(raw)


def test_a_day_is_read_in_words():
    assert say_day(date(2007, 1, 1)) == "1 January 2007"
