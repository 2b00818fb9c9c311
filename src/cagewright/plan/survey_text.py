"""Survey and body files to fill in: every reading explained, what is read already in its place."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from cagewright.plan.emit import flow, scalar
from cagewright.plan.readings import ReadingRow, reading_rows, row_named
from cagewright.plan.survey import UNREAD, SurveyCar, SurveyFile, Values


def survey_text(file: SurveyFile) -> str:
    """The text of a survey file with those readings, every reading explained; reads back as ``file``."""
    head = [
        "# Survey of a stripped shell. Stretch a string down the centre line, level the car on stands,",
        "# and choose a datum: back counts from it, up from the level line, half from the string.",
        f"# Write what the tape says; leave '{UNREAD}' where you could not read it. Fractions of an inch",
        "# are welcome: 20 3/8 in. Then: cagewright survey check THIS FILE",
        "cagewright_survey: 1",
    ]
    data = file.model_dump(
        mode="json", exclude_defaults=True, exclude={"readings"}, context={"written_in": file.units}
    )
    data.pop("cagewright_survey", None)
    first = {key: data[key] for key in ("title", "datum") if key in data}
    head += [f"{scalar(key)}: {flow(value)}" for key, value in (first | data).items()]
    body = [line for row in reading_rows() for line in _row_lines(row, file.readings.get(row.id, {}))]
    return "\n".join([*head, "", "readings:", *body]) + "\n"


def _row_lines(row: ReadingRow, given: Values) -> list[str]:
    low, high = (", ".join(f"{v:g}" for v in limit) for limit in (row.low, row.high))
    unit = "deg" if row.values == ("lean",) else "mm"
    lines = ["", *_folded(f"{row.title}. {row.hold}")]
    lines += _folded(f"For: {row.used}. Plausible from {low} to {high} {unit}.")
    if row.guard:
        lines += _folded(f"Checked by: {', '.join(row.guard)}.")
    if len(row.values) > 1:
        lines.append(f"  # Each is [{', '.join(row.values)}].")
    if not row.parts:
        return [*lines, f"  {row.id}: {_said(row, given.get(''))}"]
    return [*lines, f"  {row.id}:", *(f"    {p}: {_said(row, given.get(p))}" for p in row.parts)]


def _folded(text: str, width: int = 100) -> list[str]:
    lines, line = list[str](), "  #"
    for word in text.split():
        if len(line) + len(word) >= width:
            lines.append(line)
            line = "  #"
        line += f" {word}"
    return [*lines, line]


def _said(row: ReadingRow, values: tuple[float | None, ...] | None) -> str:
    if values is None or all(v is None for v in values):
        return UNREAD
    said = [_written(name, v) for name, v in zip(row.values, values, strict=True)]
    return said[0] if len(said) == 1 else f"[{', '.join(said)}]"


def _written(name: str, value: float | None) -> str:
    if value is None:
        return UNREAD
    if name == "lean":
        return f"{round(math.degrees(value), 2):g} deg"
    return f"{round(value, 2):.10g} mm"


def blank_survey(title: str) -> SurveyFile:
    """A survey in which nothing has been read yet."""
    return SurveyFile(
        cagewright_survey=1,
        title=title,
        datum="say what you measure from",
        car=SurveyCar(mass=1000.0, body="say what it is", rules=("fia-253-2009",)),
    )


def body_text(
    title: str, units: str, wanted: Sequence[tuple[str, str]], expected: Mapping[tuple[str, str], str]
) -> str:
    """The text of a body's file in which only some readings are asked for, none of them taken.

    Args:
        title: of the body.
        units: of a number without one.
        wanted: reading and part of each.
        expected: what is said beside each.
    """
    head = [
        "# The next car of a kind: read these first; the rest of its body goes in here if it is measured.",
        f"# Write what the tape says in the place of '{UNREAD}'.",
        f"cagewright_body: 1\ntitle: {scalar(title)}\nunits: {units}", "", "readings:",
    ]  # fmt: skip
    lines: list[str] = []
    for id in dict.fromkeys(reading for reading, _ in wanted):
        row, parts = row_named(id), [part for reading, part in wanted if reading == id]
        lines += ["", *_folded(f"{row.title}. {row.hold}")]
        lines += [f"  {id}:"] if row.parts else []
        lines += [
            f"{'    ' if row.parts else '  '}{part or id}: {UNREAD}   # {expected[id, part]}"
            for part in parts
        ]
    return "\n".join([*head, *lines]) + "\n"
