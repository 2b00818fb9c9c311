"""A scan of the body sent to a plan: taken into its folder, and named in its text."""

from __future__ import annotations

import os
import secrets
from collections.abc import AsyncGenerator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from cagewright.base.problems import ProblemsFound
from cagewright.job.history.open_plan import EditRefused, OpenPlan, PlanMoment, Stale
from cagewright.job.shell import KINDS, KINDS_SAID, UNITS, scan_placed
from cagewright.job.survey import Document
from cagewright.workbench.requests.edits import answered
from cagewright.workbench.requests.uploads import checked, trouble
from cagewright.workbench.server.request import name_of, number_of, opened_of
from cagewright.workbench.shopfolder.desk import INSIDE, Desk, free_name, slug


@asynccontextmanager
async def received(request: Request, desk: Desk, kind: str) -> AsyncGenerator[Path]:
    """The body in a file, for as long as it is looked at.

    Raises:
        HTTPException: it is packed on its way.
    """
    if request.headers.get("content-encoding", "identity") != "identity":
        raise HTTPException(415, "Send the file as it is, not packed.")
    folder = desk.folder / INSIDE / "incoming"
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / f"{secrets.token_hex(8)}{kind}"
    try:
        with file.open("xb") as stream:
            async for piece in request.stream():
                stream.write(piece)
        yield file
    finally:
        file.unlink(missing_ok=True)


async def take_scan(request: Request) -> Response:
    """A scan from the body; ``name`` in the address says what it is called, ``units`` what it was written in.

    Raises:
        HTTPException: the units are none.
        ProblemsFound: it is no scan.
    """
    opened = await run_in_threadpool(opened_of, request)
    number, name = number_of(request), name_of(request.query_params.get("name"))
    units, kind = request.query_params.get("units", ""), Path(name).suffix.lower()
    if units and units not in UNITS:
        raise HTTPException(400, "Say the scan's units: mm, cm, m or in.")
    if kind not in KINDS:
        found, wanted = f"'{name}' is no scan that can be read", f"wanted {KINDS_SAID}"
        raise ProblemsFound([trouble("scan-kind", name, found, wanted)])
    async with received(request, request.app.state.desk, kind) as file:
        read = await run_in_threadpool(checked, "scan", file, units, name=name)

        def done() -> tuple[PlanMoment, PlanMoment, str | None]:
            with opened.lock:
                before = opened.moment
                return before, _taken(opened, number, file, name, read), opened.undo_words

        return await answered(request, opened, done, more={"scan": read})


def _taken(opened: OpenPlan, number: int, file: Path, name: str, read: dict[str, Any]) -> PlanMoment:
    """The moment after the scan is in the plan's folder and named in its text.

    Raises:
        EditRefused: the plan's text has problems.
        Stale: the plan has moved on.
    """
    if number != opened.moment.number:
        raise Stale
    if opened.moment.job is None:
        raise EditRefused("The plan's text has problems: put them right before a scan is taken in.")
    target = free_name(opened.path.parent, slug(Path(name).stem), file.suffix)
    entry = {"file": target.name, "units": read["units"]}

    def named(moment: PlanMoment) -> tuple[Document, str]:
        return scan_placed(moment.document, entry, "mm")

    os.replace(file, target)
    try:
        return opened.edit(number, named)
    except BaseException:
        target.unlink(missing_ok=True)
        raise


SCANS: tuple[BaseRoute, ...] = (Route("/api/plans/{id}/scan", take_scan, methods=["PUT"]),)
