"""What is in a tube's way, on the Shell page: looked at when it is asked for, kept, and printed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute, Route

from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.workbench.pages.asked_for import answer, names_in, words_in
from cagewright.workbench.pages.results_kept import keep, kept
from cagewright.workbench.pages.sent import sent_pdf
from cagewright.workbench.server.request import opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse, Response

    from cagewright.job.opening import Job, Step

NAME = "obstacles"


def obstacles_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Look at the ways round each obstacle and keep the answer and its paper beside the plan.

    Args:
        job: the plan.
        asked: ``tube``, whose way alone is looked at; ``pushes``, by which the ways are set side by side.
        step: told what is being done.

    Raises:
        ProblemsFound: the scan cannot be used, or a push is not known.
    """
    from cagewright.job.obstacles import obstacles_answer
    from cagewright.job.obstacles_paper import obstacles_sheet

    tube, pushes = words_in(asked, "tube"), names_in(asked, "pushes")
    found = obstacles_answer(job, tube=tube, pushes=pushes, step=step)
    sheet = plain(obstacles_sheet(found))
    keep(job.path, NAME, NAME, {"found": plain(found), "sheet": sheet, "revision": job.cage.revision})
    return {"headline": found.headline}


def obstacles(request: Request) -> JSONResponse:
    """What was found last, none before it was looked for; the plan's mark now; its tubes and pushes."""
    from cagewright.job.strength import known_pushes

    opened = opened_of(request)
    job, was = opened.stood, kept(opened.path, NAME, NAME) or {}
    pushes = job.cache.get(("known pushes", job.key), lambda: known_pushes(job)) if job else ()
    return answer({
        "found": was.get("found"), "of": was.get("revision", ""),
        "revision": job.cage.revision if job else "",
        "tubes": [m.name for m in job.cage.members] if job else [],
        "pushes": [p.name for p in pushes],
    })  # fmt: skip


def obstacles_pdf(request: Request) -> Response:
    """What was found last, on paper.

    Raises:
        HTTPException: 404, it was not looked for yet.
    """
    from cagewright.book.papers import sheets_paper

    opened = opened_of(request)
    was = kept(opened.path, NAME, NAME)
    if was is None or opened.stood is None:
        raise HTTPException(404, "What is in the way was not looked at yet.")
    made = sheets_paper((_sheet(was["sheet"]),), title=opened.stood.cage.title, revision=was["revision"])
    return sent_pdf(made, "in-the-way")


def _sheet(kept_as: dict[str, Any]) -> Sheet:
    """The sheet as it was kept."""
    tables = tuple(
        Table(
            title=t["title"], columns=tuple(Column(**c) for c in t["columns"]),
            rows=tuple(tuple(row) for row in t["rows"]),
        )
        for t in kept_as["tables"]
    )  # fmt: skip
    named = {key: kept_as[key] for key in ("name", "title", "kind")}
    return Sheet(**named, tables=tables, notes=tuple(kept_as["notes"]))


AT = "/api/plans/{id}/shell/obstacles"
ROUTES: tuple[BaseRoute, ...] = (Route(AT, obstacles), Route(f"{AT}.pdf", obstacles_pdf))
