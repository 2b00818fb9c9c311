"""The Inspect page: a finished car, planned here or not, clause by clause; what is read is recorded."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.routing import BaseRoute, Route

from cagewright.base.cautions import CAUTIONS
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.sent import sent_pdf
from cagewright.workbench.requests.recording import (
    alone,
    bench_of,
    chosen_job,
    jobs_of,
    record_of,
    start_job,
    withdraw_line,
)
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse, Response

    from cagewright.job.books import BookRow
    from cagewright.job.inspection import InspectionAnswer
    from cagewright.job.opening import Job
    from cagewright.job.record import ShopJob
    from cagewright.workbench.shopfolder.desk import Desk

HERE = Path(__file__).parents[1]


def inspect_page(request: Request) -> Response:
    """The page for a car that is not planned here."""
    bundle = (HERE / "static" / "look.css").is_file()
    given = {"page": "inspect", "pages": (), "plan": None, "cautions": CAUTIONS, "bundle": bundle}
    return request.app.state.templates.TemplateResponse(request, "inspect.html", given)


def inspection(request: Request) -> JSONResponse:
    """The walk round the car by the book asked for, the books to choose from, and the jobs."""
    plan, jobs = _plan(request), jobs_of(request)
    chosen, known = chosen_job(request, jobs), _books(request)
    book = _book(request, plan, known)
    found = _inspection(request, plan, chosen, book) if book else None
    return answer({"answer": found, "books": known, "book": book, "jobs": jobs, "job": chosen})


def _plan(request: Request) -> Job | None:
    """The plan's newest cage; None for a car that is not planned here, or whose text has problems."""
    return opened_of(request).stood if "id" in request.path_params else None


def _books(request: Request) -> tuple[BookRow, ...]:
    from cagewright.job.books import books

    return books(cast("Desk", request.app.state.desk).folder).books


def _book(request: Request, plan: Job | None, known: tuple[BookRow, ...]) -> str:
    """The book asked for; else the first that the plan names; empty where neither is known."""
    ids = {book.id for book in known}
    named = plan.plan.car.rules if plan and plan.plan.car else ()
    return next((b for b in (request.query_params.get("book", ""), *named) if b in ids), "")


def _inspection(request: Request, plan: Job | None, chosen: ShopJob | None, book: str) -> InspectionAnswer:
    from cagewright.job.inspection import inspection_in, inspection_of

    if chosen is None:
        return inspection_of(book, plan)
    return alone(inspection_in, record_of(request), chosen.name, book, plan)


async def add_reading(request: Request) -> JSONResponse:
    """Keep a reading of a clause; one of the wrong kind is told with its word."""
    return await run_in_threadpool(_add_reading, request, await body_of(request))


def _add_reading(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.job import inspection, record

    given = {key: words_in(asked, key) for key in ("job", "book", "row", "says", "by", "note")}
    found = alone(
        inspection.keep_read, record_of(request), given["job"], given["book"], given["row"], given["says"],
        hand=record.Hand(by=given["by"], note=given["note"]), bench=bench_of(request),
    )  # fmt: skip
    return answer(found, status=201)


def report(request: Request) -> Response:
    """The inspection as PDF, with its open points; the boxes that were not read stay empty."""
    from cagewright.book.papers import sheets_paper
    from cagewright.job.inspection_paper import inspection_sheet

    plan = _plan(request)
    found = _inspection(
        request, plan, chosen_job(request, jobs_of(request)), _book(request, plan, _books(request))
    )
    made = sheets_paper(
        (inspection_sheet(found),), title=f"Inspection: {found.title}", revision=found.revision or "none"
    )
    name = f"inspection-{found.car or 'blank'}-{found.book}"
    return sent_pdf(
        made, "".join(letter if letter.isascii() and letter.isalnum() else "-" for letter in name)
    )


def _routes(at: str) -> tuple[BaseRoute, ...]:
    return (
        Route(at, inspection),
        Route(f"{at}/report.pdf", report),
        Route(f"{at}/readings", add_reading, methods=["POST"]),
        Route(f"{at}/withdraw", withdraw_line, methods=["POST"]),
        Route(f"{at}/jobs", start_job, methods=["POST"]),
    )


PAGE = Page(
    name="inspect",
    title="Inspect",
    template="inspect.html",
    routes=(
        Route("/inspect", inspect_page),
        *_routes("/api/inspect"),
        *_routes("/api/plans/{id}/inspect"),
    ),
)
