"""The Rules page: the books the car answers to, every finding, and who sits in the car."""

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


def drivers(request: Request) -> Response:
    """How each seat stands over everybody who sits in it; none where no plan can be built."""
    from cagewright.job.drivers import drivers_of

    plan = opened_of(request)
    job = plan.moment.job or plan.stood
    return answer({"drivers": plain(drivers_of(job)) if job else []})


def holes(request: Request) -> Response:
    """The holes of a seat's bracket at full size, as SVG.

    Raises:
        HTTPException: 404, nobody of that name sits there, or the bracket has no holes.
    """
    from cagewright.job.drivers import drivers_of, hole_template
    from cagewright.job.writers import to_svg

    plan, name = opened_of(request), request.path_params["person"]
    job = plan.moment.job or plan.stood
    found = next((a for a in drivers_of(job) if a.person == name), None) if job else None
    drawing = hole_template(job, found) if job and found else None
    if drawing is None:
        raise HTTPException(404, "The plan's seat has no holes.")
    heads = {"content-disposition": f'attachment; filename="{drawing.name}.svg"'}
    return Response(to_svg(drawing), media_type="image/svg+xml", headers=heads)


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
        Route("/api/plans/{id}/rules/drivers", drivers),
        Route("/api/plans/{id}/rules/drivers/{person}.svg", holes),
    ),
)
