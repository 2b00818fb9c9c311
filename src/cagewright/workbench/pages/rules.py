"""The Rules page: the books the car answers to, and every finding with where it is and what to do."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.job.history.open_plan import Stale
from cagewright.job.history.state import state_of
from cagewright.workbench.asked import body_of, number_of, opened_of
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, names_in

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.check.findings import Finding
    from cagewright.job.history.open_plan import Moment
    from cagewright.job.opening import Job
    from cagewright.plan.write import Document

CERTAIN = {
    "read": "read in the book",
    "restated": "told by another source, not read in the book",
    "computed": "computed",
    "remembered": "from memory, unchecked: it neither passes nor fails",
    "shop": "your own: from the plan, the shop file or the belt maker's sheet",
}
"""How sure a figure is, in words."""


def findings(request: Request) -> Response:
    """Every finding, worst first, with the stamp, the caution and the books to choose from."""
    plan = opened_of(request)
    from cagewright.check.findings import CAUTION

    job = plan.moment.job or plan.stood
    told = {"caution": CAUTION, "certain": CERTAIN, "books": books_for(plan.path.parent)}
    return answer(told | (_judged(job) if job else _NOTHING))


_NOTHING: dict[str, Any] = {
    "revision": None,
    "stamp": "rules: cannot be checked",
    "chosen": [],
    "findings": [],
}


def _judged(job: Job) -> dict[str, Any]:
    from cagewright.check.findings import stamp
    from cagewright.job.findings import findings_of

    found = findings_of(job)
    return {
        "revision": job.cage.revision,
        "stamp": stamp(found),
        "chosen": list(job.plan.car.rules if job.plan.car else ()),
        "findings": [finding_row(n, f, job) for n, f in enumerate(found)],
    }


def finding_row(number: int, finding: Finding, job: Job) -> dict[str, Any]:
    """One finding as the page reads it; its point is in mm."""
    from cagewright.check.paper import tubes_of

    spot = finding.where
    return {
        "id": f"f{number}",
        "rule": finding.rule,
        "book": finding.book,
        "edition": finding.edition,
        "clause": finding.clause,
        "title": finding.title,
        "verdict": finding.verdict,
        "judge": finding.judge,
        "measured": finding.measured.text if finding.measured else "",
        "limit": finding.limit,
        "why": finding.why,
        "advice": finding.advice,
        "known": finding.known,
        "where": {
            "words": str(spot),
            "members": list(spot.members),
            "feet": list(spot.feet),
            "joints": list(spot.joints),
            "point": None if spot.point is None else [round(float(v), 2) for v in spot.point],
            "tubes": list(tubes_of(job.cage, finding)),
        },
    }


def books_for(folder: Path) -> list[dict[str, Any]]:
    """The books that a plan in the folder can answer to: the built-in ones, and those beside the plan."""
    from cagewright.check.library import book_ids, built_in

    inside = [
        {"id": b.id, "title": b.title, "edition": b.edition, "rows": len(b.rules), "note": b.note}
        for b in map(built_in, book_ids())
    ]
    beside = [
        {"id": path.name, "title": path.stem, "edition": "your own", "rows": None, "note": ""}
        for path in sorted(folder.glob("*.toml"))
    ]
    return [*inside, *beside]


async def set_books(request: Request) -> Response:
    """The books that the car answers to, chosen; an edit like any other, that undo takes back.

    Raises:
        HTTPException: a book is none of those there are.
    """
    plan = await run_in_threadpool(opened_of, request)
    number, asked = number_of(request), await body_of(request)
    known = {book["id"] for book in await run_in_threadpool(books_for, plan.path.parent)}
    chosen = names_in(asked, "books")
    if not set(chosen) <= known:
        raise HTTPException(400, "There is no such book.")
    try:
        await run_in_threadpool(plan.edit, number, lambda moment: with_books(moment, chosen))
    except Stale:
        return answer({"error": "The plan has changed since.", "state": plain(state_of(plan))}, status=412)
    told = plain(state_of(plan))
    request.app.state.live.tell(plan.id, {"type": "state", "state": told})
    return answer({"state": told})


def with_books(moment: Moment, chosen: list[str]) -> tuple[Document, str]:
    """The plan's text with those books, and what was done, in words.

    Raises:
        ProblemsFound: the text cannot be edited there.
    """
    from cagewright.plan.write import set_value

    words = f"answers to {', '.join(chosen)}" if chosen else "answers to no rule book"
    return set_value(moment.document, ("car", "rules"), chosen), words


PAGE = Page(
    name="rules",
    title="Rules",
    template="rules.html",
    routes=(
        Route("/api/plans/{id}/rules", findings),
        Route("/api/plans/{id}/rules/books", set_books, methods=["POST"]),
    ),
)
