"""Dates as papers give them: a year, a month or a day, each the span of days it can mean."""

from __future__ import annotations

import re
from calendar import monthrange
from dataclasses import dataclass
from datetime import date

WANTED = "wanted a date: a year 2026, a month 2026-05 or a day 2026-05-14"
_DATE = re.compile(r"(\d{4})(?:-(\d{2})(?:-(\d{2}))?)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The days that a date can mean, the first and the last, and as it was written."""

    first: date
    last: date
    text: str


def span_of(raw: object) -> Days:
    """The days that a year, month or day can mean.

    Raises:
        ValueError: it is no such date, in words that say what was wanted.
    """
    text = raw.isoformat() if isinstance(raw, date) else str(raw).strip()
    found = None if isinstance(raw, bool) else _DATE.fullmatch(text)
    if found is None:
        raise ValueError(WANTED)
    year, month, day = (int(part) if part else None for part in found.groups())
    try:
        first = date(year or 0, month or 1, day or 1)
    except ValueError:
        raise ValueError(WANTED) from None
    if day:
        return Days(first=first, last=first, text=text)
    last_month = month or 12
    last = date(first.year, last_month, monthrange(first.year, last_month)[1])
    return Days(first=first, last=last, text=text)


def say_day(day: date) -> str:
    """The day as it is read: ``1 January 2007``."""
    return f"{day.day} {day:%B} {day.year}"
