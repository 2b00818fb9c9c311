"""An edit made on a plan's text."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from cagewright.base.problems import ProblemsFound, Where
from cagewright.change.named import told
from cagewright.plan.types import Plan
from cagewright.plan.write import Document, document
from cagewright.shape.types import Cage
from cagewright.workbench.edits.add import added
from cagewright.workbench.edits.asked import Standing, asked_of, standing
from cagewright.workbench.edits.change import Change
from cagewright.workbench.edits.move import moved, moved_foot, moved_point
from cagewright.workbench.edits.rename import renamed
from cagewright.workbench.edits.simple import given_role, mirrored_over, noted, removed, sized
from cagewright.workbench.edits.split import split
from cagewright.workbench.edits.vocabulary import (
    Add,
    GiveRole,
    Mirror,
    Move,
    MoveFoot,
    MovePoint,
    Note,
    Remove,
    Rename,
    Size,
    Split,
)
from cagewright.workbench.edits.written import written


@dataclass(frozen=True, slots=True, kw_only=True)
class Edited:
    """What comes of an edit.

    Attributes:
        document: the new text.
        words: what was done, as the builder says it.
    """

    document: Document
    words: str


_MADE: dict[type[Any], Callable[[Standing, Any], Change]] = {
    Move: moved,
    MovePoint: moved_point,
    MoveFoot: moved_foot,
    Add: added,
    Split: split,
    Remove: removed,
    Mirror: mirrored_over,
    Size: sized,
    GiveRole: given_role,
    Note: noted,
}


def apply(before: Document, plan: Plan | None, cage: Cage | None, edit: Mapping[str, Any]) -> Edited:
    """The text after the edit; nothing of it changes but what the edit changes.

    Args:
        before: the plan's text.
        plan: as read from it; None to have it read.
        cage: what the plan makes; None where it cannot be built.
        edit: plain values; see ``cagewright.workbench.edits``.

    Raises:
        ProblemsFound: the edit is not one, names what is not there, or cannot be made. What the plan after it
            comes to is for its reader to say.
    """
    if edit.get("do") == "text":
        return _new_text(before, edit.get("text"))
    stand = standing(before, plan, cage)
    asked = asked_of(edit, stand)
    if isinstance(asked, Rename):
        text, words = renamed(stand, asked)
        return Edited(document=text, words=words)
    change = _MADE[type(asked)](stand, asked)
    return Edited(document=written(before, stand.plan, change.plan), words=change.words)


def _new_text(before: Document, text: object) -> Edited:
    file = before.source.file
    if not isinstance(text, str):
        raise ProblemsFound(
            told("bad-edit", Where(file=file), "the edit holds no text", "wanted the whole text")
        )
    if before.newline == "\r\n" and "\r" not in text:
        text = text.replace("\n", "\r\n")  # a page's text box knows one kind of line end only
    after = document(before.mark + text if not text.startswith("\ufeff") else text, file=file)
    return Edited(document=after, words=_lines_changed(before.text, after.text))


def _lines_changed(before: str, after: str) -> str:
    """How many lines lie between those that are the same at the top and at the bottom."""
    old, new = before.splitlines(), after.splitlines()
    top = _alike(old, new)
    bottom = _alike(old[top:][::-1], new[top:][::-1])
    count = max(len(old), len(new)) - top - bottom
    return f"text: {count} line{'' if count == 1 else 's'} changed"


def _alike(one: list[str], other: list[str]) -> int:
    """How many lines the two have in common from their first on."""
    pairs = zip(one, other, strict=False)
    return next((i for i, (a, b) in enumerate(pairs) if a != b), min(len(one), len(other)))
