"""The Cut & bend page: the shop's sheets as they print, wraps at true scale, and each of them to keep."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.made import Made, made_in, put_together
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.pages.cut_tube import ROUTES as TUBE
from cagewright.workbench.pages.made import file_of, older_words
from cagewright.workbench.pages.sent import sent_file, sent_pdf, sent_zip
from cagewright.workbench.server.request import opened_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.opening import Job, Step


def sheets_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Make the shop's sheets and keep them beside the plan.

    Args:
        job: the plan.
        asked: nothing.
        step: told what is being made.

    Returns:
        ``revision``: of the plan; ``files``: how many.
    """
    from cagewright.workbench.pages.cut_sheets import paper_files, sheets_folder, shown_files

    folder, revision = sheets_folder(job.path), job.cage.revision
    files = shown_files(job, step)

    put_together(folder, files, revision)  # the page shows them while the papers are set
    put_together(folder, {**files, **paper_files(job, step)}, revision)
    made = made_in(folder)
    return {"revision": revision, "files": len(made.files) if made else 0}


def _made(plan: OpenPlan) -> Made | None:
    from cagewright.workbench.pages.cut_sheets import sheets_folder

    return made_in(sheets_folder(plan.path))


def sheets(request: Request) -> Response:
    """The sheets that are made, and whether they are older than the plan."""
    plan = opened_of(request)
    made, job = _made(plan), plan.moment.job
    if made is None:
        return answer({"sheets": None, "older": None, "can": job is not None, "whole": False})
    from cagewright.workbench.pages.cut_sheets import INDEX

    shown = json.loads(file_of(made, INDEX).read_text(encoding="utf-8"))
    older = older_words(made, job) if job else "the plan's text has problems"
    whole = all(name in made.files for names in shown["papers"].values() for name in names)
    told = {"sheets": shown, "older": older, "when": made.when, "can": job is not None, "whole": whole}
    return answer(told)


def one_wrap(request: Request) -> Response:
    """The wrap of one end on pages of one paper, made alone: nothing else is waited for.

    Raises:
        HTTPException: there is no such end, a saw makes it, or the plan has places to put right.
    """
    from cagewright.book.papers import pages_paper
    from cagewright.job.cutting import one_wrap as wrap_in
    from cagewright.job.papers import wrap_pages_of

    job = opened_of(request).moment.job
    if job is None:
        raise HTTPException(409, "The plan has places to put right first.")
    member, which = request.path_params["member"], request.path_params["which"]
    paper = "letter" if request.query_params.get("paper") == "letter" else "a4"
    try:
        wrap = wrap_in(job, member, which)
    except KeyError:
        raise HTTPException(404) from None
    if wrap is None:
        raise HTTPException(404, "A square saw cut makes that end: it needs no template.")
    made = pages_paper(
        wrap_pages_of(job, (wrap,), paper), paper, title=job.cage.title, revision=job.cage.revision,
        subject=f"Wraps at true scale, revision {job.cage.revision}",
    )  # fmt: skip
    return sent_pdf(made, f"{member}-{which}")


def one_file(request: Request) -> Response:
    """One file of the sheets."""
    return sent_file(request, _made(opened_of(request)), request.path_params["name"])


async def every_file(request: Request) -> Response:
    """All files of the sheets in one zip, for one paper size or for both."""
    from cagewright.workbench.pages.cut_sheets import named_files

    plan = await run_in_threadpool(opened_of, request)
    made = _made(plan)
    paper = request.query_params.get("paper")
    names = named_files(made.files if made else (), paper=paper if paper in ("a4", "letter") else None)
    return await sent_zip(made, names, f"{plan.path.stem}-cut-and-bend")


PAGE = Page(
    name="cut",
    title="Cut & bend",
    template="cut.html",
    routes=(
        *TUBE,
        Route("/api/plans/{id}/cut", sheets),
        Route("/api/plans/{id}/cut/all.zip", every_file),
        Route("/api/plans/{id}/cut/wrap/{member}/{which}", one_wrap),
        Route("/api/plans/{id}/cut/files/{name:path}", one_file),
    ),
    work={"sheets": "cagewright.workbench.pages.cut:sheets_work"},
)
