"""The folder's page: its plans with a picture each, its surveys, and how to start a new one."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from cagewright.base.problems import ProblemsFound
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.server.request import body_of
from cagewright.workbench.shopfolder.surveys import surveys_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.workbench.shopfolder.desk import Desk

PICTURE = (120.0, 80.0)
"""Width and height of a plan's picture, mm on paper."""
MOST_KEPT = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """What is shown of a plan without opening it.

    Attributes:
        revision: its mark; empty where its text has problems.
        members: how many tubes.
        problems: how many its text has.
        picture: of its cage, as SVG; empty where its text has problems.
    """

    revision: str = ""
    members: int = 0
    problems: int = 0
    picture: str = ""


class _Cards:
    """The newest cards by file and when it was written."""

    def __init__(self) -> None:
        self._lock = threading.Lock()
        self._cards: OrderedDict[tuple[str, int, int], Card] = OrderedDict()

    def of(self, path: Path) -> Card:
        """The card of the plan in that file, made now if it is not kept."""
        there = path.stat()
        key = (str(path), there.st_mtime_ns, there.st_size)
        with self._lock:
            if key not in self._cards:
                self._cards[key] = card_of(path)
            self._cards.move_to_end(key)
            while len(self._cards) > MOST_KEPT:
                self._cards.popitem(last=False)
            return self._cards[key]


CARDS = _Cards()


def card_of(path: Path) -> Card:
    """The card of the plan in that file."""
    from cagewright.job.opening import open_job
    from cagewright.make.svg import to_svg
    from cagewright.make.views import cage_view

    try:
        cage = open_job(path).cage
    except ProblemsFound as found:
        return Card(problems=len(found.problems))
    view = cage_view(cage, "three-quarter", box=PICTURE, numbers=False, sizes=False, caption=False)
    return Card(revision=cage.revision, members=len(cage.members), picture=to_svg(view))


def _path(request: Request) -> Path:
    """The file of the plan that the address names.

    Raises:
        HTTPException: there is no such plan.
    """
    desk: Desk = request.app.state.desk
    for one in desk.plans():
        if one.id == request.path_params["id"]:
            return desk.folder / one.name
    raise HTTPException(404)


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
    from cagewright.check.library import book_ids, built_in

    return answer([{"id": id, "title": f"{built_in(id).title}, {built_in(id).edition}"} for id in book_ids()])


def card(request: Request) -> Response:
    """One plan's revision, how many members and problems it has."""
    found = CARDS.of(_path(request))
    return answer({"revision": found.revision, "members": found.members, "problems": found.problems})


def picture(request: Request) -> Response:
    """One plan's cage, small.

    Raises:
        HTTPException: its text has problems: there is no cage.
    """
    found = CARDS.of(_path(request))
    if not found.picture:
        raise HTTPException(404)
    return Response(found.picture, media_type="image/svg+xml", headers={"cache-control": "no-cache"})


def survey_card(request: Request) -> Response:
    """One survey's title and how many of its readings are taken.

    Raises:
        HTTPException: there is no such survey.
    """
    from cagewright.workbench.pages.shell_readings import readings_shown
    from cagewright.workbench.shopfolder.surveys import opened

    try:
        shown = readings_shown(opened(request.app.state.desk, request.path_params["survey"]))
    except KeyError:
        raise HTTPException(404) from None
    return answer({key: shown[key] for key in ("title", "done", "of")} | {"problems": len(shown["problems"])})


async def new(request: Request) -> Response:
    """A new plan or survey from plain choices; answers where it is."""
    from cagewright.workbench.pages.folder_new import BadChoice, choices_in, made_new

    try:
        choices = choices_in(await body_of(request))
    except BadChoice as wrong:
        return JSONResponse({"error": f"Please {wrong}."}, 422)
    return answer(await run_in_threadpool(made_new, request.app.state.desk, choices), status=201)


ROUTES = (
    Route("/api/folder", plans),
    Route("/api/folder/books", books),
    Route("/api/folder/plans", new, methods=["POST"]),
    Route("/api/folder/plans/{id}", card),
    Route("/api/folder/plans/{id}/picture.svg", picture),
    Route("/api/folder/surveys/{survey}", survey_card),
)
