"""A first plan from a survey: laid out, resolved, and written beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.check.library import find_books
from cagewright.check.limits_asked import limits_of
from cagewright.draft.layout import Drafted, NothingToDraft, draft
from cagewright.draft.scanned import with_scan
from cagewright.draft.telling import GRAVE, SurveyNote
from cagewright.draft.written import drafted_text
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import Survey, where_read
from cagewright.shape.resolve import resolve
from cagewright.stock.shop import NO_SHOP

CAUTION = (
    "A drafted layout is a start, not a certificate: check it, and the current rule book of your series; "
    "local codes and the licensed engineer or scrutineer decide."
)


def drafted(read: Survey, folder: Path, *, name: str) -> tuple[Drafted, str]:
    """The first plan from the survey, and the text of its file.

    Args:
        read: the survey.
        folder: of its file.
        name: of its file.

    Raises:
        ProblemsFound: readings are missing or impossible, or a book, the shop or the scan cannot be used, or
            what was drafted cannot be built.
    """
    whole, _ = with_scan(read, folder)
    shop = read_shop(folder / whole.file.shop) if whole.file.shop else NO_SHOP
    books = find_books(whole.file.car.rules, folder, Where(file=name))
    try:
        made = draft(whole.file, limits_of(books), shop)
    except NothingToDraft as nothing:
        raise ProblemsFound(
            [_why(note, whole) for note in nothing.notes if _stops(note)] or [_hoop(name)]
        ) from None
    resolve(made.plan)  # a plan that cannot be built is never written
    return made, drafted_text(made, name)


def _stops(note: SurveyNote) -> bool:
    return note.kind in GRAVE or note.matters


def _why(note: SurveyNote, read: Survey) -> Problem:
    where = where_read(read, note.reading, note.part)
    return Problem(code=f"survey-{note.kind}", where=where, found=note.found, wanted=note.advice)


def _hoop(name: str) -> Problem:
    return Problem(
        code="survey-hoop",
        where=Where(file=name),
        found="the main hoop cannot be laid out inside this section",
        wanted="read the section at the hoop again",
    )


def draft_words(made: Drafted) -> dict[str, Any]:
    """What the builder is told of a drafted plan, JSON-ready."""
    doubts = [n for n in made.notes if n.kind in ("slip", "range", "missing", "stood in")]
    return {
        "members": len(made.plan.members),
        "not_done": list(made.said),
        "doubts": [{"found": n.found, "advice": n.advice} for n in doubts],
        "caution": CAUTION,
    }
