"""A drafted plan as the text of a plan file, with what was thought at each entry as comments."""

from __future__ import annotations

import re
from collections.abc import Iterator

from cagewright.draft.layout import Drafted
from cagewright.plan.emit import plan_text

WIDTH = 100
_ENTRY = re.compile(r"^  ([A-Za-z]\w*):")
_SECTION = re.compile(r"^([a-z_]+):")
CAUTION = (
    "Drafted from tape readings: a start, not a checked cage. Not a certificate. Check it against the "
    "current rule book of your series; local codes and the licensed engineer or scrutineer decide."
)
SECTIONS = {
    "points": "Named points, [back, across, up] from the survey's datum. Move one and what stands on "
    "it follows; a point with a mirror moves on both sides.",
    "members": "One tube each, from its first end to its last. An end on another member is coped to it.",
    "feet": "Plates are [length, width, thickness].",
    "belts": "Where the belts could go, reckoned from the driver's hip, lean and stature: measure his "
    "shoulder, then set them by the belt maker's sheet.",
    "people": "Hips and helmets as read; belts are where they could go, reckoned from hip, lean and "
    "stature: measure each shoulder, then set them by the belt maker's sheet.",
    "shell": "The body as the survey has it; the checks measure gaps from these lines.",
}
"""What is said over each section."""


def drafted_text(drafted: Drafted, survey: str) -> str:
    """The text of the plan file, commented; it reads back as the plan.

    Args:
        drafted: the first plan.
        survey: name of the survey's file.
    """
    lines = list(_folded(f"Drafted from {survey}. {CAUTION}"))
    lines += [line for said in drafted.said for line in _folded(f"Not done: {said}.")]
    doubts = [n.found for n in drafted.notes if n.kind in ("slip", "range", "missing", "stood in")]
    lines += [line for found in doubts for line in _folded(f"In the survey: {found}.")]
    return "\n".join([*lines, *_commented(plan_text(drafted.plan), drafted)]) + "\n"


def _commented(text: str, drafted: Drafted) -> Iterator[str]:
    section = ""
    for line in text.splitlines():
        top, entry = _SECTION.match(line), _ENTRY.match(line)
        if top is not None:
            section = top[1]
            yield from _folded(SECTIONS[section]) if section in SECTIONS else ()
        elif entry is not None:
            comment = drafted.comments.get((section, entry[1]), "")
            yield from _folded(comment, indent=2) if comment else ()
        yield line


def _folded(text: str, *, indent: int = 0) -> Iterator[str]:
    line = " " * indent + "#"
    for word in text.split():
        if len(line) + len(word) >= WIDTH:
            yield line
            line = " " * indent + "#"
        line += f" {word}"
    yield line
