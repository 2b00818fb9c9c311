"""The workbench as an application: every address and what it answers."""

from __future__ import annotations

import asyncio
import contextlib
import gc
import threading
import time
from collections.abc import AsyncGenerator
from importlib import import_module
from pathlib import Path
from typing import Any, cast

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import BaseRoute, Mount, Route, WebSocketRoute
from starlette.staticfiles import StaticFiles
from starlette.templating import Jinja2Templates
from starlette.websockets import WebSocket

from cagewright.base.cautions import CAUTIONS
from cagewright.base.plain import plain
from cagewright.job.history.state import state_of
from cagewright.workbench.longwork.worker import Worker
from cagewright.workbench.pages import Page, all_pages
from cagewright.workbench.pages.folder import ROUTES as FOLDER
from cagewright.workbench.requests.edits import EDITING
from cagewright.workbench.requests.files import FILES
from cagewright.workbench.requests.scans import SCANS
from cagewright.workbench.requests.work import WORKING
from cagewright.workbench.server.errors import HANDLERS, LOG
from cagewright.workbench.server.live import Live
from cagewright.workbench.server.request import opened_of
from cagewright.workbench.shopfolder.desk import Desk, Listed

HERE = Path(__file__).parent.parent
LOOK_EVERY = 1.0
"""How often the plan files are looked at for changes by another program, s."""


def make_app(desk: Desk, *, warm: bool = True, every: float = LOOK_EVERY) -> Starlette:
    """The workbench of that desk; it has to be served behind a ``Guard``.

    Args:
        desk: its plans.
        warm: whether the process for long work is started at once; else with the first work.
        every: how often the plan files are looked at, s.
    """
    app = Starlette(routes=_routes(), lifespan=_life, exception_handlers=HANDLERS)
    app.state.desk, app.state.live, app.state.warm, app.state.every = desk, Live(), warm, every
    app.state.worker = Worker(app.state.live.tell)
    app.state.templates = Jinja2Templates(HERE / "templates")
    return app


def _routes() -> list[BaseRoute]:
    own: list[BaseRoute] = [
        Route("/", folder),
        Route("/plans/{id}", first_page),
        Route("/plans/{id}/{page}", page),
        Route("/api/plans/{id}", state),
        WebSocketRoute("/live", live),
    ]
    theirs = [route for page in all_pages() for route in page.routes]
    built = HERE / "static"  # not there in a checkout whose browser part is not built
    static = [Mount("/static", StaticFiles(directory=built))] if built.is_dir() else []
    return [*theirs, *own, *FOLDER, *EDITING, *FILES, *SCANS, *WORKING, *static]


@contextlib.asynccontextmanager
async def _life(app: Starlette) -> AsyncGenerator[None]:
    app.state.live.start()
    looking = asyncio.create_task(_keep_looking(app))
    if app.state.warm:
        threading.Thread(target=load_stages, name="load", daemon=True).start()
        app.state.worker.warm()
    try:
        yield
    finally:
        looking.cancel()
        app.state.worker.close()
        app.state.desk.close()


def load_stages() -> None:
    """Load what the first plan needs while the builder still reads the folder's page."""
    for name in ("job.history.effects", "change.edit"):
        import_module(f"cagewright.{name}")
    gc.collect()
    gc.freeze()  # looking through all that was loaded again and again would hold an edit up for 0.1 s


async def _keep_looking(app: Starlette) -> None:
    desk: Desk = app.state.desk
    while True:
        await asyncio.sleep(app.state.every)
        for opened in desk.open_ones():
            try:
                if await asyncio.to_thread(opened.look):
                    app.state.live.tell(opened.id, {"type": "state", "state": plain(state_of(opened))})
            except Exception as wrong:  # one plan that cannot be looked at must not end the looking
                LOG.error("looking at %s", opened.id, exc_info=wrong)


def shown_pages() -> tuple[Page, ...]:
    """The pages that are there and ready."""
    return tuple(p for p in all_pages() if p.ready() and (HERE / "templates" / p.template).is_file())


def _drawn(request: Request, template: str, given: dict[str, Any]) -> Response:
    """The template as a page; each is given ``pages``, ``page``, ``plan``, ``cautions`` and ``bundle``."""
    templates = cast("Jinja2Templates", request.app.state.templates)
    bundle = (HERE / "static" / "look.css").is_file()
    usual = {"pages": shown_pages(), "page": "", "plan": None, "cautions": CAUTIONS, "bundle": bundle}
    return templates.TemplateResponse(request, template, usual | given)


def folder(request: Request) -> Response:
    """The page of the shop folder."""
    desk: Desk = request.app.state.desk
    plans = [_card(one, desk) for one in desk.plans()]
    given = {"folder": desk.folder.name, "plans": plans, "surveys": desk.surveys()}
    return _drawn(request, "folder.html", given | {"first": desk.first})


def _card(one: Listed, desk: Desk) -> dict[str, Any]:
    """What the folder's page says of a plan; members and problems only of one that is open."""
    moment = next((o.moment for o in desk.open_ones() if o.id == one.id), None)
    return {
        "id": one.id,
        "title": one.title,
        "file": one.name,
        "members": len(moment.job.cage.members) if moment and moment.job else None,
        "problems": len(moment.problems) if moment else 0,
        "changed": time.strftime("%Y-%m-%d %H:%M", time.localtime(one.changed)),
    }


def first_page(request: Request) -> Response:
    """The plan's cage."""
    return RedirectResponse(f"/plans/{opened_of(request).id}/cage", 303)


def page(request: Request) -> Response:
    """One page of a plan.

    Raises:
        HTTPException: there is no such page.
    """
    opened = opened_of(request)
    shown = next((p for p in shown_pages() if p.name == request.path_params["page"]), None)
    if shown is None:
        raise HTTPException(404)
    given = {"page": shown.name, "plan": plain(state_of(opened))}
    return _drawn(request, shown.template, shown.context(opened) | given)


def state(request: Request) -> Response:
    """The plan's state."""
    return JSONResponse(plain(state_of(opened_of(request))))


async def live(socket: WebSocket) -> None:
    """The page's socket."""
    await socket.app.state.live.serve(socket)
