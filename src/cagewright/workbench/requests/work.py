"""Long work as the pages ask for it: put on, seen, stopped."""

from __future__ import annotations

import json

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from cagewright.job.history.text import bytes_of
from cagewright.workbench.longwork.worker import Busy, Task, Worker
from cagewright.workbench.pages import all_pages
from cagewright.workbench.server.request import body_of, opened_of


def _kinds() -> dict[str, str]:
    return {kind: function for page in all_pages() for kind, function in page.work.items()}


def _answered(task: Task) -> Response:
    """How far the task is; its result, which is JSON already, as it came."""
    told = {
        "work": task.id,
        "kind": task.kind,
        "plan": task.plan,
        "number": task.number,
        "status": task.status,
        "doing": task.doing,
        "share": task.share,
        "error": task.error,
        "problems": task.problems,
    }
    result = task.result or "null"
    return Response(f'{json.dumps(told)[:-1]}, "result": {result}}}', media_type="application/json")


async def start_work(request: Request) -> Response:
    """Put work on; answered at once.

    Raises:
        HTTPException: there is no such work, or the plan has problems.
    """
    opened = await run_in_threadpool(opened_of, request)
    asked = await body_of(request)
    kind = asked.pop("kind", None)
    function = _kinds().get(kind) if isinstance(kind, str) else None
    if function is None:
        raise HTTPException(400, "There is no such work.")
    moment = opened.moment
    if moment.job is None:
        raise HTTPException(409, "The plan's text has problems: put them right first.")
    worker: Worker = request.app.state.worker
    task = Task(plan=opened.id, number=moment.number, kind=str(kind))
    try:
        worker.start(task, function, bytes_of(moment.document), opened.path, asked)
    except Busy as busy:
        raise HTTPException(429, str(busy)) from None
    return JSONResponse({"work": task.id}, 202)


def see_work(request: Request) -> Response:
    """How far the work is.

    Raises:
        HTTPException: there is no such work.
    """
    try:
        return _answered(request.app.state.worker.task(request.path_params["work"]))
    except KeyError:
        raise HTTPException(404) from None


def stop_work(request: Request) -> Response:
    """Stop the work.

    Raises:
        HTTPException: there is no such work.
    """
    try:
        return _answered(request.app.state.worker.cancel(request.path_params["work"]))
    except KeyError:
        raise HTTPException(404) from None


WORKING: tuple[BaseRoute, ...] = (
    Route("/api/plans/{id}/work", start_work, methods=["POST"]),
    Route("/api/work/{work}", see_work),
    Route("/api/work/{work}", stop_work, methods=["DELETE"]),
)
