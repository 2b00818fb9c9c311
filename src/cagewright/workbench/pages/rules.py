"""The Rules page: the books the car answers to, and every finding with where it is and what to do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.job.history.open_plan import Stale
from cagewright.job.history.state import state_of
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, names_in
from cagewright.workbench.server.request import body_of, number_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request


def findings_page(request: Request) -> Response:
    """The answer of every book and check (none where no plan can be built), and the books to choose from."""
    from cagewright.job.books import books
    from cagewright.job.findings import findings

    plan = opened_of(request)
    job = plan.moment.job or plan.stood
    known = books(plan.path.parent).books
    return answer(plain({"answer": findings(job) if job else None, "books": known}))


async def set_books(request: Request) -> Response:
    """The books that the car answers to, chosen; an edit like any other, that undo takes back.

    Raises:
        HTTPException: a book is none of those there are.
    """
    from cagewright.job.books import answering_to, books

    plan = await run_in_threadpool(opened_of, request)
    number, asked = number_of(request), await body_of(request)
    known = {book.id for book in (await run_in_threadpool(books, plan.path.parent)).books}
    chosen = names_in(asked, "books")
    if not set(chosen) <= known:
        raise HTTPException(400, "There is no such book.")
    try:
        await run_in_threadpool(plan.edit, number, lambda moment: answering_to(moment.document, chosen))
    except Stale:
        return answer({"error": "The plan has changed since.", "state": plain(state_of(plan))}, status=412)
    told = plain(state_of(plan))
    request.app.state.live.tell(plan.id, {"type": "state", "state": told})
    return answer({"state": told})


PAGE = Page(
    name="rules",
    title="Rules",
    template="rules.html",
    routes=(
        Route("/api/plans/{id}/rules", findings_page),
        Route("/api/plans/{id}/rules/books", set_books, methods=["POST"]),
    ),
)
