"""Plan files and scans, to and from the shop folder; the browser never names a path."""

from __future__ import annotations

import re
from typing import Any
from urllib.parse import quote

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from cagewright.workbench.asked import body_of, opened_of
from cagewright.workbench.desk import Desk
from cagewright.workbench.opened import bytes_of

LONGEST_NAME = 80


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
    """The plan under another name, in the same folder."""
    opened = await run_in_threadpool(opened_of, request)
    name = _name((await body_of(request)).get("name"))
    return await _added(request, name, bytes_of(opened.moment.document))


async def new_plan(request: Request) -> Response:
    """A plan from the text in the body; ``name`` in the address says what to call it."""
    name = _name(request.query_params.get("name", "plan"))
    return await _added(request, name, await request.body())


async def _added(request: Request, name: str, data: bytes) -> Response:
    desk: Desk = request.app.state.desk
    id = await run_in_threadpool(desk.add, name, data)
    return JSONResponse({"id": id, "address": f"/plans/{id}/cage"}, 201)


def _name(said: Any) -> str:
    """The name of a file, whatever folder it was said with.

    Raises:
        HTTPException: it is none.
    """
    if not isinstance(said, str) or not said.strip() or len(said) > LONGEST_NAME:
        raise HTTPException(400, f"Give the plan a name of at most {LONGEST_NAME} letters.")
    return re.split(r"[/\\]", said.strip())[-1]


FILES: tuple[BaseRoute, ...] = (
    Route("/api/plans", new_plan, methods=["POST"]),
    Route("/api/plans/{id}/text", text),
    Route("/api/plans/{id}/save-as", save_as, methods=["POST"]),
)
