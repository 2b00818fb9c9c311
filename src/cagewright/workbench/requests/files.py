"""Plan files and scans, to and from the shop folder; the browser never names a path."""

from __future__ import annotations

from pathlib import Path
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from cagewright.base.problems import ProblemsFound
from cagewright.job.history.text import bytes_of, document_of, strays_of
from cagewright.workbench.requests.scans import received
from cagewright.workbench.requests.uploads import checked
from cagewright.workbench.server.request import body_of, name_of, opened_of
from cagewright.workbench.shopfolder.desk import Desk


def text(request: Request) -> Response:
    """The plan file, to keep."""
    opened = opened_of(request)
    name = quote(opened.path.name)
    return Response(
        bytes_of(opened.moment.document),
        media_type="application/yaml",
        headers={"content-disposition": f"attachment; filename*=UTF-8''{name}"},
    )


async def save_as(request: Request) -> Response:
    """The plan under another name, in its folder."""
    opened = await run_in_threadpool(opened_of, request)
    name = name_of((await body_of(request)).get("name"))
    data = bytes_of(opened.moment.document)
    return await _added(request, name, data, opened.path.parent)


async def new_plan(request: Request) -> Response:
    """A plan from the text in the body; ``name`` in the address says what to call it.

    Raises:
        ProblemsFound: it is no plan, or names files outside the shop folder.
    """
    desk: Desk = request.app.state.desk
    name = name_of(request.query_params.get("name"))
    async with received(request, desk, ".yaml") as file:
        await run_in_threadpool(checked, "plan", file, str(desk.folder), name=name)
        data = file.read_bytes()
    strays = strays_of(document_of(data, file=name), desk.folder, desk.folder)
    if strays:
        raise ProblemsFound(strays)
    return await _added(request, name, data, desk.folder)


async def _added(request: Request, name: str, data: bytes, folder: Path) -> Response:
    desk: Desk = request.app.state.desk
    id = await run_in_threadpool(desk.add, name, data, folder)
    return JSONResponse({"id": id, "address": f"/plans/{id}/cage"}, 201)


FILES: tuple[BaseRoute, ...] = (
    Route("/api/plans", new_plan, methods=["POST"]),
    Route("/api/plans/{id}/text", text),
    Route("/api/plans/{id}/save-as", save_as, methods=["POST"]),
)
