"""Errors in words: what the page is told, with a reference; the rest is in the log file only."""

from __future__ import annotations

import logging
import secrets
from html import escape
from logging.handlers import RotatingFileHandler
from pathlib import Path
from typing import Any

from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.job.history.open_plan import EditRefused
from cagewright.job.history.state import without_folder

LOG = logging.getLogger("cagewright.workbench")
USUAL = {
    404: "There is no such page.",
    405: "That cannot be done here.",
    413: "That is more than the workbench takes.",
}


def log_to(file: Path) -> None:
    """Write tracebacks into that file, a few MB at most, and nowhere else."""
    handler = RotatingFileHandler(file, maxBytes=2_000_000, backupCount=2, encoding="utf-8", delay=True)
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s"))
    for name in ("cagewright.workbench", "uvicorn", "uvicorn.error", "asyncio"):
        logger = logging.getLogger(name)
        logger.handlers[:], logger.propagate = [handler], False
    logging.getLogger("uvicorn.error").setLevel(logging.WARNING)


def told(request: Request, status: int, error: str, **more: Any) -> Response:
    """The error as the page reads it: JSON where data was asked for, a page elsewhere."""
    if request.url.path.startswith("/api/"):
        return JSONResponse({"error": error, **more}, status)
    return HTMLResponse(_PAGE.format(words=escape(error), status=status), status)


_PAGE = """<!doctype html><html lang="en"><meta charset="utf-8"><title>Cagewright</title>
<link rel="stylesheet" href="/static/look.css"><main><h1>{words}</h1><p><a href="/">All plans</a></p></main>
"""


async def refused(request: Request, wrong: Exception) -> Response:
    """What the web library refuses."""
    assert isinstance(wrong, HTTPException)
    usual = wrong.detail if wrong.detail and wrong.status_code not in USUAL else None
    answer = told(request, wrong.status_code, usual or USUAL.get(wrong.status_code, wrong.detail))
    answer.headers.update(wrong.headers or {})
    return answer


async def problems(request: Request, wrong: Exception) -> Response:
    """The builder's mistakes."""
    assert isinstance(wrong, ProblemsFound)
    rows = [plain(without_folder(p)) for p in wrong.problems]
    return told(request, 422, f"{wrong.problems[0].found}; {wrong.problems[0].wanted}", problems=rows)


async def cannot(request: Request, wrong: Exception) -> Response:
    """What cannot be done now."""
    return told(request, 409, str(wrong))


async def unforeseen(request: Request, wrong: Exception) -> Response:
    """A mistake of the program: what was asked may have been done before it came to light."""
    look = "" if request.method == "GET" else " Look at what is here now before you do it again."
    reference = noted(f"{request.method} {request.url.path}", wrong)
    words = f"Something went wrong in Cagewright.{look} Reference {reference}."
    return told(request, 500, words, reference=reference)


def noted(doing: str, wrong: BaseException | str) -> str:
    """A reference for the page; the traceback stands under it in the log file."""
    reference = secrets.token_hex(4)
    if isinstance(wrong, str):
        LOG.error("%s %s\n%s", reference, doing, wrong)
    else:
        LOG.error("%s %s", reference, doing, exc_info=wrong)
    return reference


HANDLERS: dict[Any, Any] = {
    HTTPException: refused,
    ProblemsFound: problems,
    EditRefused: cannot,
    Exception: unforeseen,
}
