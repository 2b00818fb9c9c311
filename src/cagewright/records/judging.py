"""Whether a reading can be used: a quantity, in one unit, possible, between marks that there are."""

from __future__ import annotations

import math
import re
from collections.abc import Collection
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Literal

from cagewright.base.problems import nearest_word
from cagewright.base.units import MM_PER_IN, QuantityError, parse
from cagewright.records.types import Axis, ReadingSort

LONGEST = 6000.0
"""No distance inside a car body is longer, mm (common practice, no source: saloons are under 5.6 m)."""
SHORTEST = 0.1
"""No tape tells a distance this short from none, mm (common practice, no source)."""
STEEPEST = math.pi / 2.0
"""No line that runs up leans further off the plumb, rad."""
_SLACK = timedelta(days=1)
"""A bench's clock may be this far ahead."""
_LONGEST_AGO = 366.0 * 86400.0
"""No entry waits longer than this for the network, s."""
_WORD = re.compile(r"[A-Za-z\"°]+\d?$")
_WORKED: tuple[re.Pattern[str], ...] = tuple(
    map(
        re.compile,
        (
            r"(?P<h>\d{1,3}(?:\.\d+)?)(?:\s*h(?:ours?|rs?)?)?",
            r"(?P<h>\d{1,3})\s*[:h]\s*(?P<m>[0-5]?\d)(?:\s*min)?",
            r"(?P<m>\d{1,4})\s*min(?:utes?)?",
        ),
    )
)
_FAMILY = {
    "mm": "mm", "cm": "mm", "m": "mm", "in": "in", '"': "in", "ft": "in",
    "deg": "deg", "°": "deg", "rad": "rad",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A reading judged.

    Attributes:
        value: mm or rad; None where it is no quantity, or which unit it is in cannot be told.
        wrong: what is wrong with it, in words; empty where it can be used.
    """

    value: float | None
    wrong: tuple[str, ...]


def judge(
    text: str, unit: str, *, sort: ReadingSort, axis: Axis = "", job_units: Literal["mm", "in"],
    marks: tuple[str, str],
    known: Collection[str] | None = None, taken: str = "",
) -> Judged:  # fmt: skip
    """What the reading comes to, and what is wrong with it.

    Args:
        text: as read off the tape, e.g. ``1032.5`` or ``40 5/8 in``.
        unit: as entered beside it; empty for the job's own, degrees for a lean.
        sort: what sort of reading it is.
        axis: of a lean or a place; else empty.
        job_units: what a bare length means on this job.
        marks: the two marks it lies between; the second is empty for a place.
        known: marks that there are; None where they are not known.
        taken: when it was taken, as stated; may be empty.
    """
    value, wrong = _value(text, unit or ("deg" if sort == "lean" else job_units), unit, sort)
    if value is not None:
        wrong += _possible(value, sort)
    wrong += _marks(marks, sort, known)
    wrong += _axis(sort, axis)
    wrong += time_faults(taken)
    return Judged(value=value, wrong=tuple(wrong))


def _value(text: str, bare: str, stated: str, sort: ReadingSort) -> tuple[float | None, list[str]]:
    kind = "angle" if sort == "lean" else "length"
    if bare not in _FAMILY:
        return None, [f"'{bare}' is no unit of {kind}"]
    try:
        value = parse(text.strip(), kind, bare=bare)
        parse(1.0, kind, bare=bare)
    except QuantityError as wrong:
        return None, [f"'{text}' is no {kind}: {wrong}"]
    mixed = _mixed(text.strip(), bare, stated)
    return (None, [mixed]) if mixed else (value, [])


def _mixed(text: str, bare: str, stated: str) -> str:
    """What of the units contradicts itself; empty where nothing does."""
    own = _WORD.search(text)
    inside = own.group() if own else ""
    if inside and stated and inside != stated and _FAMILY.get(inside) != _FAMILY[stated]:
        return f"mixed units: '{text}' is in {inside}, but the unit beside it is {stated}"
    if "/" in text and _FAMILY[inside or bare] == "mm":
        return f"mixed units: '{text}' is a fraction, as on an inch tape, but the unit is {inside or bare}"
    return ""


def _possible(value: float, sort: ReadingSort) -> list[str]:
    if sort == "lean":
        said = f"a lean of {math.degrees(value):g} deg off the plumb is impossible"
        return [said] if abs(value) > STEEPEST + 1e-9 else []
    if sort == "tape" and value < SHORTEST:
        return [f"a distance of {value:g} mm is impossible"]
    if abs(value) > LONGEST:
        meant = value / MM_PER_IN
        hint = f"; was it {meant:g} mm, entered as inches?" if abs(meant) < LONGEST else ""
        return [f"{value:g} mm is longer than any car body ({LONGEST:g} mm){hint}"]
    return []


def _axis(sort: ReadingSort, axis: Axis) -> list[str]:
    wanted = {"tape": (), "level": (), "lean": ("back", "across"), "place": ("back", "across", "up")}[sort]
    if wanted and axis not in wanted:
        return [f"a {sort} needs an axis: one of {', '.join(wanted)}"]
    return [f"a {sort} has no axis"] if axis and not wanted else []


def _marks(marks: tuple[str, str], sort: ReadingSort, known: Collection[str] | None) -> list[str]:
    first, second = marks
    wrong: list[str] = []
    if not first or bool(second) == (sort == "place"):
        wrong.append(f"a {sort} needs {'one mark' if sort == 'place' else 'two marks'}")
    if first and first == second:
        wrong.append(f"both ends are at '{first}'")
    if known is None:
        return wrong
    for mark in dict.fromkeys(m for m in marks if m and m not in known):
        near = nearest_word(mark, known)
        wrong.append(f"there is no mark '{mark}'" + (f"; did you mean '{near}'?" if near else ""))
    return wrong


def worked(said: str) -> float | str:
    """The time worked, h, of ``1.5``, ``1:30``, ``1 h 30`` or ``45 min``; in words what is wrong with it."""
    text = said.strip().lower().replace(",", ".")
    found = next((f for pattern in _WORKED if (f := pattern.fullmatch(text))), None)
    if found is None:
        return f"'{said}' is no time worked"
    parts = {"h": None, "m": None, **found.groupdict()}
    hours = float(parts["h"] or 0.0) + float(parts["m"] or 0.0) / 60.0
    return hours if 0.0 < hours <= 24.0 else f"'{said}' is no time that one man works in a day"


def time_faults(taken: str) -> list[str]:
    """What is wrong with a stated time, in words; empty where nothing is, or none was stated."""
    if not taken:
        return []
    try:
        when = datetime.fromisoformat(taken)
    except ValueError:
        return [f"'{taken}' is no time in ISO 8601, such as 2026-03-01T09:30Z"]
    if when.tzinfo is None:
        return [f"'{taken}' does not say its time zone: write Z or +01:00 after it"]
    if when > datetime.now(UTC) + _SLACK:
        return [f"'{taken}' has not come yet"]
    return []


def ago(seconds: float) -> str:
    """The time so many seconds before now, as times are kept; now for one that would be to come."""
    when = datetime.now(UTC) - timedelta(seconds=min(max(seconds, 0.0), _LONGEST_AGO))
    return when.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def in_utc(taken: str) -> str:
    """The stated time in UTC, ISO 8601; as stated where it cannot be told."""
    try:
        when = datetime.fromisoformat(taken)
    except ValueError:
        return taken
    if when.tzinfo is None:
        return taken
    try:
        return when.astimezone(UTC).isoformat(timespec="milliseconds").replace("+00:00", "Z")
    except OverflowError:
        return taken
