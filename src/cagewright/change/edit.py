"""A change made on a plan's text; nothing of the text changes but what the change changes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from cagewright.base.problems import ProblemsFound, Where
from cagewright.change.apply import apply
from cagewright.change.before import told
from cagewright.change.written import written
from cagewright.plan.changes import read_change
from cagewright.plan.read import plan_or_problems, reading_of_source
from cagewright.plan.types import Plan
from cagewright.plan.write import Document, document
from cagewright.shape.places import ground_of
from cagewright.shape.types import Cage


def edit(
    before: Document, plan: Plan | None, cage: Cage | None, asked: Mapping[str, Any]
) -> tuple[Document, str]:
    """The text after the change, and what was done in words.

    Args:
        before: the plan's text.
        plan: as read from it; None to have it read.
        cage: what the plan makes; None where it cannot be built.
        asked: a change as plain values, e.g. ``{move: {members: header, places: 1, up: 1200}}``; or ``{text:
            ...}``, a whole new text.

    Raises:
        ProblemsFound: it is no change, names what is not there, or cannot be made. What the plan after it
            comes to is for its reader to say.
    """
    file = before.source.file
    if "text" in asked:
        return _new_text(before, asked["text"])
    if plan is None:
        plan, cage = plan_or_problems(reading_of_source(before.source, Path(file).parent)), None
    change = read_change(asked, units=plan.units, file=file)
    known = None if cage is None else ground_of(plan, cage)
    altered = apply(plan, change, lambda _keys: Where(file=file), known)
    return written(before, plan, altered), altered.words


def _new_text(before: Document, text: object) -> tuple[Document, str]:
    file = before.source.file
    if not isinstance(text, str):
        raise ProblemsFound(
            told("bad-edit", Where(file=file), "the edit holds no text", "wanted the whole text")
        )
    if before.newline == "\r\n" and "\r" not in text:
        text = text.replace("\n", "\r\n")  # a page's text box knows one kind of line end only
    after = document(before.mark + text if not text.startswith("\ufeff") else text, file=file)
    old, new = before.text.splitlines(), after.text.splitlines()
    top = _alike(old, new)
    count = max(len(old), len(new)) - top - _alike(old[top:][::-1], new[top:][::-1])
    return after, f"text: {count} line{'' if count == 1 else 's'} changed"


def _alike(one: list[str], other: list[str]) -> int:
    """How many lines the two have in common from their first on."""
    pairs = zip(one, other, strict=False)
    return next((i for i, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))
