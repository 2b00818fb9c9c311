"""The Cage page: the scene, its figures and findings, and what the picture asks while it is worked on."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.history.open_plan import OpenPlan, PlanMoment
    from cagewright.job.opening import Job


def _shown(plan: OpenPlan) -> Job | None:
    """What the plan makes; while its text has problems, what it made last."""
    return plan.moment.shown or plan.stood


def _job(moment: PlanMoment) -> Job:
    """What the plan makes.

    Raises:
        HTTPException: its text has problems.
    """
    job = moment.shown
    if job is None:
        raise HTTPException(409, "The plan's text has problems. Mend them first.")
    return job


def scene(request: Request) -> Response:
    """The whole scene; ``stale`` where the text has problems and this is what it made before them."""
    from cagewright.job.scene.scene import nothing_to_draw, scene_of

    plan = opened_of(request)
    moment, job = plan.moment, _shown(plan)
    number, mark = moment.number, f'"{moment.number}"'
    headers = {"etag": mark, "cache-control": "no-cache"}
    if request.headers.get("if-none-match") == mark:
        return Response(status_code=304, headers=headers)
    made = scene_of(job, number=number, stale=moment.shown is None) if job else nothing_to_draw(moment)
    return JSONResponse(plain(made), headers=headers)


def figures(request: Request) -> Response:
    """The figures of the plan as it is."""
    from cagewright.job.figures import figures_of

    moment = opened_of(request).moment
    return answer({"number": moment.number, **plain(figures_of(_job(moment)))})


def findings(request: Request) -> Response:
    """The rule books' findings; the slow checks are work of the kind ``checks``."""
    from cagewright.job.findings import book_findings

    return answer(plain(book_findings(_job(opened_of(request).moment))))


def scan(request: Request) -> Response:
    """The scan's mesh for the picture.

    Raises:
        HTTPException: the plan names no scan.
    """
    from cagewright.job.scene.scan import scan_bytes

    job = _shown(opened_of(request))
    data = scan_bytes(job) if job else None
    if data is None:
        raise HTTPException(404, "The plan has no scan.")
    return Response(data, media_type="application/octet-stream", headers={"cache-control": "no-cache"})


def choices(request: Request) -> Response:
    """What the page offers where a tube is added or changed."""
    from cagewright.job.scene.choices import choices_of

    return answer(choices_of(_job(opened_of(request).moment)))


def numbers(request: Request) -> Response:
    """The numbers of pieces and welds, and the axes of bends."""
    from cagewright.job.scene.numbered import numbers_of

    return answer(numbers_of(_job(opened_of(request).moment)))


async def between(request: Request) -> Response:
    """How far the picks ``a`` and ``b`` of the body are apart.

    Raises:
        HTTPException: one of them is not there.
    """
    from cagewright.job.scene.picks import BadPick, distance

    plan, asked = await run_in_threadpool(opened_of, request), await body_of(request)
    cage = _job(plan.moment).cage
    try:
        return answer(await run_in_threadpool(distance, cage, asked.get("a"), asked.get("b")))
    except BadPick as wrong:
        raise HTTPException(400, _sentence(wrong)) from None


async def nearest(request: Request) -> Response:
    """Where a place that is dragged comes to rest.

    Raises:
        HTTPException: there is no such place.
    """
    from cagewright.job.scene.picks import BadPick, resting

    plan, asked = await run_in_threadpool(opened_of, request), await body_of(request)
    job = _job(plan.moment)
    try:
        return answer(await run_in_threadpool(resting, job.cage, job.plan, asked))
    except BadPick as wrong:
        raise HTTPException(400, _sentence(wrong)) from None


def _sentence(wrong: Exception) -> str:
    words = str(wrong)
    return f"{words[:1].upper()}{words[1:]}."


PAGE = Page(
    name="cage",
    title="Cage",
    template="cage.html",
    routes=(
        Route("/api/plans/{id}/scene", scene),
        Route("/api/plans/{id}/figures", figures),
        Route("/api/plans/{id}/findings", findings),
        Route("/api/plans/{id}/scan.bin", scan),
        Route("/api/plans/{id}/cage/choices", choices),
        Route("/api/plans/{id}/cage/numbers", numbers),
        Route("/api/plans/{id}/cage/between", between, methods=["POST"]),
        Route("/api/plans/{id}/cage/nearest", nearest, methods=["POST"]),
    ),
    work={
        "checks": "cagewright.job.findings:checks_work",
        "bars": "cagewright.job.buying:bars_work",
    },
)
