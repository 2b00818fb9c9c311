"""The shop's record as a page's requests reach it: where it is, whose job, what is started and taken back."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException

from cagewright.base.plain import plain
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.fitup_at import moves_of
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse

    from cagewright.job.record import OnBench, ShopJob
    from cagewright.workbench.shopfolder.desk import Desk

FILE = "record.sqlite"
"""The record in the shop folder, where ``CAGEWRIGHT_RECORD`` names no other."""
T = TypeVar("T")
_TURN = threading.RLock()


def alone(do: Callable[..., T], *args: Any, **more: Any) -> T:
    """What ``do`` makes of the record, one request at a time: another must not find it half made."""
    with _TURN:
        return do(*args, **more)


def record_of(request: Request) -> str:
    """Where the record is."""
    folder = cast("Desk", request.app.state.desk).folder
    return os.environ.get("CAGEWRIGHT_RECORD") or (folder / FILE).as_posix()


def folder_of(request: Request) -> Path:
    """The folder that the record is in, with its photos; the shop folder where it is on a server."""
    where = record_of(request)
    return cast("Desk", request.app.state.desk).folder if "://" in where else Path(where).parent


def is_there(where: str) -> bool:
    """Whether there is a record; an address is taken as one."""
    with _TURN:
        return "://" in where or Path(where).is_file()


def file_of(request: Request) -> str:
    """The plan file's path from the shop folder; empty where the address names no plan."""
    if "id" not in request.path_params:
        return ""
    return opened_of(request).path.relative_to(cast("Desk", request.app.state.desk).folder).as_posix()


def bench_of(request: Request) -> OnBench | None:
    """The plan on the bench; None where the address names none."""
    from cagewright.job.history.open_plan import bytes_of
    from cagewright.job.record import OnBench

    if "id" not in request.path_params:
        return None
    now = opened_of(request).moment
    text, moves = bytes_of(now.document).decode("utf-8"), moves_of(now.job) if now.job else {}
    return OnBench(file=file_of(request), text=text, job=now.job, moves=moves)


def jobs_of(request: Request) -> tuple[ShopJob, ...]:
    """The jobs of the plan that the address names; else those without a plan."""
    from cagewright.job.record import jobs_in

    where = record_of(request)
    return alone(jobs_in, where, file=file_of(request)).jobs if is_there(where) else ()


def chosen_job(request: Request, jobs: tuple[ShopJob, ...]) -> ShopJob | None:
    """The job that the request asks for; else the newest."""
    name = request.query_params.get("job", "")
    return next((j for j in jobs if j.name == name), jobs[-1] if jobs else None)


async def start_job(request: Request) -> JSONResponse:
    """Start a job in the shop's record, the plan's where the address names one."""
    return await run_in_threadpool(_start_job, request, await body_of(request))


def _start_job(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.job import record

    plan = opened_of(request).id if "id" in request.path_params else ""
    made = alone(
        record.start_job, record_of(request), words_in(asked, "name") or plan, by=words_in(asked, "by"),
        customer=words_in(asked, "customer"), bench=bench_of(request),
        units="in" if asked.get("units") == "in" else "mm",
    )  # fmt: skip
    return answer(plain(made.jobs[0]), status=201)


async def withdraw_line(request: Request) -> JSONResponse:
    """Take a line of the record back; the record keeps both."""
    return await run_in_threadpool(_withdraw, request, await body_of(request))


def _withdraw(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.job import record

    file_of(request)  # a plan that is not there is told so
    line = asked.get("line")
    if not isinstance(line, int) or isinstance(line, bool):
        raise HTTPException(400, "The request does not say which line.")
    found = alone(
        record.correct_line, record_of(request), words_in(asked, "job"), line,
        hand=record.Hand(by=words_in(asked, "by")), why=words_in(asked, "why") or "taken back",
    )  # fmt: skip
    return answer({"line": found.entry.id})
