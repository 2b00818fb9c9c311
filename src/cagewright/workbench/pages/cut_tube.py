"""One bent tube at the Cut & bend page: what to read of it on the bench, what it is, what to do with it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from starlette.requests import Request

    from cagewright.job.opening import Job
    from cagewright.job.tube import TubeAnswer

MOST = 200
"""Readings that a page may send."""
AT = "/api/plans/{id}/cut/tubes/{member}"


def _job(request: Request) -> Job:
    """What the plan makes.

    Raises:
        HTTPException: 409, its text has problems.
    """
    job = opened_of(request).moment.job
    if job is None:
        raise HTTPException(409, "The plan's text has problems: put them right first.")
    return job


def wanted(request: Request) -> Response:
    """The readings to take of the tube."""
    from cagewright.job.tube_wanted import tube_wanted

    return answer(plain(tube_wanted(_job(request), request.path_params["member"])))


def _lines(asked: dict[str, Any]) -> list[dict[str, Any]]:
    """The readings in the body, as lines of the file.

    Raises:
        HTTPException: 400, there are none.
    """
    given = asked.get("readings")
    rows = cast("list[Any]", given) if isinstance(given, list) else []
    lines = [cast("dict[str, Any]", row) for row in rows if isinstance(row, dict)]
    if not lines or len(lines) != len(rows) or len(lines) > MOST:
        raise HTTPException(400, "The request has no readings.")
    return lines


def _found(request: Request, asked: dict[str, Any]) -> tuple[Job, TubeAnswer]:
    from cagewright.job.tube import tube_from_lines

    job = _job(request)
    checks = asked.get("check") is True
    return job, tube_from_lines(job, request.path_params["member"], _lines(asked), checks=checks)


def _told(request: Request, asked: dict[str, Any]) -> Response:
    """What the tube is and what now, with a picture and the readings as a file."""
    from cagewright.job.tube import lines_text
    from cagewright.job.tube_papers import tube_drawing
    from cagewright.job.writers import to_svg

    job, found = _found(request, asked)
    drawn = tube_drawing(found)
    file = lines_text(job, found.member, _lines(asked))
    picture, words = (to_svg(drawn), drawn.title) if drawn else ("", "")
    return answer({**plain(found), "picture": picture, "drawn": words, "file": file})


def _papers(request: Request, asked: dict[str, Any]) -> Response:
    """The wraps of just the ends that it changes, as PDF.

    Raises:
        HTTPException: 404, every wrap stays as it is.
    """
    from cagewright.book.papers import pages_paper
    from cagewright.job.tube_papers import recut_pages

    job, found = _found(request, asked)
    paper = "letter" if asked.get("paper") == "letter" else "a4"
    built, pages = recut_pages(job, found, paper)
    if not pages:
        raise HTTPException(404, "Every wrap stays as it is.")
    cage = built.cage
    pdf = pages_paper(pages, paper, title=cage.title, revision=cage.revision)
    return Response(pdf, media_type="application/pdf", headers={"Cache-Control": "no-store"})


def _learned(request: Request, asked: dict[str, Any]) -> Response:
    """Its bends in the shop file, as trials of their dies."""
    from cagewright.job.tube_taken import learn

    return answer({"done": learn(*_found(request, asked))})


def _route(under: str, do: Callable[[Request, dict[str, Any]], Response]) -> Route:
    async def endpoint(request: Request) -> Response:
        return await run_in_threadpool(do, request, await body_of(request))

    return Route(AT + under, endpoint, methods=["POST"])


ROUTES = (Route(AT, wanted), _route("", _told), _route("/papers", _papers), _route("/learn", _learned))
