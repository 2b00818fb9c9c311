"""The folder's page: its plans with a picture each, its surveys, and how to start a new one."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from cagewright.base.cache import Cache
from cagewright.base.plain import plain
from cagewright.job.survey import survey_answer
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.server.request import body_of
from cagewright.workbench.shopfolder.surveys import added, opened, surveys_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.folder import NewPlanChoices, PlanCard
    from cagewright.workbench.shopfolder.desk import Desk

MOST_KEPT = 100


CARDS = Cache(most=MOST_KEPT)
"""The newest cards by file and when it was written."""


def _card(request: Request) -> tuple[PlanCard, str]:
    """The card and the picture of the plan that the address names.

    Raises:
        HTTPException: there is no such plan.
    """
    from cagewright.job.folder import card_of

    desk: Desk = request.app.state.desk
    path = next((desk.folder / one.name for one in desk.plans() if one.id == request.path_params["id"]), None)
    if path is None:
        raise HTTPException(404)
    there = path.stat()
    return CARDS.get((str(path), there.st_mtime_ns, there.st_size), lambda: card_of(path))


def plans(request: Request) -> Response:
    """The plans and surveys of the folder, the newest first."""
    desk: Desk = request.app.state.desk
    listed = sorted(desk.plans(), key=lambda one: -one.changed)
    rows = [{"id": one.id, "title": one.title, "file": one.name, "changed": one.changed} for one in listed]
    surveys = [
        {"id": id, "file": path.relative_to(desk.folder).as_posix(), "changed": path.stat().st_mtime}
        for id, path in surveys_of(desk).items()
    ]
    return answer({"folder": desk.folder.name, "plans": rows, "surveys": surveys})


def books(request: Request) -> Response:
    """The rule books that a new plan can answer to."""
    from cagewright.job.books import books as known

    return answer(plain(known().books))


def card(request: Request) -> Response:
    """One plan's revision, how many members and problems it has."""
    return answer(plain(_card(request)[0]))


def picture(request: Request) -> Response:
    """One plan's cage, small.

    Raises:
        HTTPException: its text has problems: there is no cage.
    """
    _, found = _card(request)
    if not found:
        raise HTTPException(404)
    return Response(found, media_type="image/svg+xml", headers={"cache-control": "no-cache"})


def survey_card(request: Request) -> Response:
    """One survey's title and how it stands.

    Raises:
        HTTPException: there is no such survey.
    """
    try:
        found = opened(request.app.state.desk, request.path_params["survey"])
    except KeyError:
        raise HTTPException(404) from None
    return answer(plain(survey_answer(found)))


async def new(request: Request) -> Response:
    """A new plan or survey from plain choices; answers where it is."""
    from cagewright.job.folder import BadChoice, choices_in

    try:
        choices = choices_in(await body_of(request))
    except BadChoice as wrong:
        return JSONResponse({"error": f"Please {wrong}."}, 422)
    return answer(await run_in_threadpool(_made, request.app.state.desk, choices), status=201)


async def copy(request: Request) -> Response:
    """A new plan that starts as a copy of another; answers where it is.

    Raises:
        HTTPException: there is no such plan.
    """
    title = " ".join(str((await body_of(request)).get("title") or "").split())[:200]
    if not title:
        return JSONResponse({"error": "Give the copy a name."}, 422)

    def made() -> str:
        from cagewright.job.folder import copied

        desk: Desk = request.app.state.desk
        plan = desk.opened(request.path_params["id"])
        return desk.add(title, copied(plan.moment.document, title).encode(), plan.path.parent)

    try:
        id = await run_in_threadpool(made)
    except KeyError:
        raise HTTPException(404) from None
    return answer({"id": id, "address": f"/plans/{id}/cage"}, status=201)


def sizes(request: Request) -> Response:
    """What a base structure is laid out by: key, words, and a usual length to start from, mm."""
    from cagewright.job.base_structure import SIZES

    return answer([{"key": key, "words": words, "usual": usual} for key, (words, usual) in SIZES.items()])


def _made(desk: Desk, choices: NewPlanChoices) -> dict[str, str]:
    """Where the new plan or survey is: an address to go to next."""
    from cagewright.job.folder import new_plan, new_survey

    if choices.start == "survey":
        return {"address": f"/surveys/{added(desk, choices.title, new_survey(desk.folder, choices))}"}
    id = desk.add(choices.title, new_plan(desk.folder, choices).encode())
    return {"id": id, "address": f"/plans/{id}/cage"}


ROUTES = (
    Route("/api/folder", plans),
    Route("/api/folder/books", books),
    Route("/api/folder/sizes", sizes),
    Route("/api/folder/plans", new, methods=["POST"]),
    Route("/api/folder/plans/{id}/copy", copy, methods=["POST"]),
    Route("/api/folder/plans/{id}", card),
    Route("/api/folder/plans/{id}/picture.svg", picture),
    Route("/api/folder/surveys/{survey}", survey_card),
)
