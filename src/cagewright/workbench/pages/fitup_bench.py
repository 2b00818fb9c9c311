"""What to join on the bench, on the Fit-up page: looked for when asked for, and kept beside the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import BaseRoute, Route

from cagewright.base.plain import plain
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.fitup_at import NAME, standing
from cagewright.workbench.pages.results_kept import keep, kept
from cagewright.workbench.server.request import opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse

    from cagewright.job.opening import Job, Step

KEPT = "bench-first"


def bench_first_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Look for what to join on the bench and keep the answer beside the plan.

    Args:
        job: the plan.
        asked: ``door``, the opening to go in by; ``search``: also where the plan says what is joined.
        step: told what is being done.

    Raises:
        ProblemsFound: there is no such opening, or what the plan says of the bench cannot be so.
    """
    from cagewright.job.bench_paper import bench_first_shown

    found = bench_first_shown(job, words_in(asked, "door"), search=asked.get("search") is True, step=step)
    keep(job.path, NAME, KEPT, plain(found))
    return {"headline": found.headline}


def bench_first(request: Request) -> JSONResponse:
    """What was found last, none before it was looked for; and the plan's mark now."""
    opened = opened_of(request)
    return answer({"found": kept(opened.path, NAME, KEPT), "revision": standing(opened).cage.revision})


def bench_first_picture(request: Request) -> Response:
    """The part after one move of the way in that was found.

    Raises:
        HTTPException: 404, there is no such move.
    """
    found = kept(opened_of(request).path, NAME, KEPT) or {}
    pictures, number = found.get("pictures", []), request.path_params["number"]
    if not 1 <= number <= len(pictures):
        raise HTTPException(404, f"There are {len(pictures)} moves.")
    return Response(pictures[number - 1], media_type="image/svg+xml")


AT = "/api/plans/{id}/fitup/bench-first"
ROUTES: tuple[BaseRoute, ...] = (
    Route(AT, bench_first),
    Route(f"{AT}/{{number:int}}.svg", bench_first_picture),
)
