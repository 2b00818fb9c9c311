"""The next car of a measured body's kind, on the survey's page: what to read on it, and what that says."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute, Route

from cagewright.base.plain import plain
from cagewright.job.next_car import next_car, next_text
from cagewright.job.survey import OpenSurvey
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.server.request import body_of
from cagewright.workbench.shopfolder.surveys import added, opened, surveys_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse

    from cagewright.workbench.shopfolder.desk import Desk


def _named(desk: Desk, id: str) -> OpenSurvey:
    """The survey or body of that id.

    Raises:
        HTTPException: there is none.
    """
    try:
        return opened(desk, id)
    except KeyError:
        raise HTTPException(404) from None


def told(request: Request) -> JSONResponse:
    """What to read, or what the readings of ``?car=`` say; and the folder's other files that may be it."""
    desk: Desk = request.app.state.desk
    id, car = request.path_params["survey"], request.query_params.get("car", "")
    found = next_car([_named(desk, id)], _named(desk, car) if car else None)
    others = [{"id": n, "file": path.name} for n, path in surveys_of(desk).items() if n != id]
    return answer({"found": plain(found), "cars": others})


async def made(request: Request) -> JSONResponse:
    """A body's file for the next car, with what to read first; ``name`` says what to call it."""
    asked, desk = await body_of(request), request.app.state.desk

    def done() -> dict[str, Any]:
        name = words_in(asked, "name") or "next car"
        text = next_text(next_car([_named(desk, request.path_params["survey"])]), name)
        return {"id": added(desk, name, text, kind="body")}

    return answer(await run_in_threadpool(done), status=201)


ROUTES: tuple[BaseRoute, ...] = (
    Route("/api/surveys/{survey}/next", told),
    Route("/api/surveys/{survey}/next", made, methods=["POST"]),
)
