"""A job's readings as the readings file that the fit-up reads."""

from __future__ import annotations

import json
from collections.abc import Iterable

from cagewright.records.nouns import Entry, History


def usable(found: History, *, step: str = "") -> tuple[Entry, ...]:
    """The readings that stand and are used, the newest of each pair of marks.

    Args:
        found: the job's history.
        step: of the build order; all of them where empty.
    """
    newest: dict[tuple[str, str, str, str], Entry] = {}
    for entry in found.current:
        if entry.kind == "reading" and entry.used and step in {"", entry.step}:
            first, second = sorted((entry.subject, entry.other)) if entry.sort == "tape" else _ends(entry)
            newest[entry.sort, first, second, entry.axis] = entry
    return tuple(sorted(newest.values(), key=lambda entry: entry.id))


def _ends(entry: Entry) -> tuple[str, str]:
    return entry.subject, entry.other


def readings_text(found: History, *, step: str = "") -> str:
    """The readings file of a job's usable readings.

    Args:
        found: the job's history.
        step: of the build order; all of them where empty.
    """
    head = {"cagewright-readings": 1, "units": found.job.units}
    if found.revisions:
        head["plan"] = found.revisions[-1].mark
    if step.isdecimal():
        head["step"] = int(step)
    lines = [f"{key}: {json.dumps(value)}" for key, value in head.items()]
    return "\n".join((*lines, "readings:", *_rows(usable(found, step=step)))) + "\n"


def _rows(readings: Iterable[Entry]) -> list[str]:
    """One line a reading, in the flow style, which is JSON too."""
    rows: list[str] = []
    for entry in readings:
        ends = [entry.subject] if entry.sort == "place" else [entry.subject, entry.other]
        row: dict[str, object] = {entry.sort: ends}
        if entry.axis:
            row["axis"] = entry.axis
        row["says"] = says(entry)
        rows.append(f"  - {json.dumps(row, ensure_ascii=False)}")
    return rows


def says(entry: Entry) -> str:
    """The words as entered, with their unit where they have none."""
    bare = entry.text[-1:].isdigit() or entry.text.endswith(".")
    return f"{entry.text} {entry.unit}" if bare else entry.text
