"""A job's readings as the fit-up takes them."""

from __future__ import annotations

from collections.abc import Iterable

from cagewright.records.types import JobHistory, RecordEntry


def usable(found: JobHistory, *, step: str = "") -> tuple[RecordEntry, ...]:
    """The readings that stand and are used, the newest of each pair of marks.

    Args:
        found: the job's history.
        step: of the build order; all of them where empty.
    """
    return newest(e for e in found.current if e.kind == "reading" and e.used and step in {"", e.step})


def newest(readings: Iterable[RecordEntry]) -> tuple[RecordEntry, ...]:
    """The newest of each kind between each pair of marks: the one taken last, whenever it came in."""
    last = {read_at(entry): entry for entry in sorted(readings, key=when)}
    return tuple(sorted(last.values(), key=lambda entry: entry.id))


def when(entry: RecordEntry) -> tuple[str, int]:
    """What lines are sorted by to stand in the order in which things were done."""
    return entry.taken, entry.id


def read_at(entry: RecordEntry) -> tuple[str, str, str, str]:
    """What was read, and where: a tape may be held from either end."""
    ends = (entry.subject, entry.other)
    first, second = sorted(ends) if entry.sort == "tape" else ends
    return entry.sort, first, second, entry.axis


def reading_line(entry: RecordEntry) -> dict[str, object]:
    """The reading as a line of a readings file: ``{tape: [a, b], says: ...}``."""
    ends = [entry.subject] if entry.sort == "place" else [entry.subject, entry.other]
    return {entry.sort: ends, **({"axis": entry.axis} if entry.axis else {}), "says": says(entry)}


def says(entry: RecordEntry) -> str:
    """The words as entered, with their unit where they have none."""
    bare = entry.text[-1:].isdigit() or entry.text.endswith(".")
    return f"{entry.text} {entry.unit}" if bare else entry.text
