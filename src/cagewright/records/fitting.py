"""A job's readings as the fit-up takes them."""

from __future__ import annotations

from cagewright.records.types import JobHistory, RecordEntry


def usable(found: JobHistory, *, step: str = "") -> tuple[RecordEntry, ...]:
    """The readings that stand and are used, the newest of each pair of marks.

    Args:
        found: the job's history.
        step: of the build order; all of them where empty.
    """
    newest: dict[tuple[str, str, str, str], RecordEntry] = {}
    for entry in found.current:
        if entry.kind == "reading" and entry.used and step in {"", entry.step}:
            ends = (entry.subject, entry.other)
            first, second = sorted(ends) if entry.sort == "tape" else ends
            newest[entry.sort, first, second, entry.axis] = entry
    return tuple(sorted(newest.values(), key=lambda entry: entry.id))


def reading_line(entry: RecordEntry) -> dict[str, object]:
    """The reading as a line of a readings file: ``{tape: [a, b], says: ...}``."""
    ends = [entry.subject] if entry.sort == "place" else [entry.subject, entry.other]
    return {entry.sort: ends, **({"axis": entry.axis} if entry.axis else {}), "says": says(entry)}


def says(entry: RecordEntry) -> str:
    """The words as entered, with their unit where they have none."""
    bare = entry.text[-1:].isdigit() or entry.text.endswith(".")
    return f"{entry.text} {entry.unit}" if bare else entry.text
