"""The Strength page: pushes chosen and run, what each did, and what of it still holds after an edit."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.pages.results_kept import all_kept, keep, kept
from cagewright.workbench.server.request import opened_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.opening import Job, Step

NAME, DROP = "strength", "drop"
LISTED = ("name", "title", "revision", "counted", "figures", "certainty", "when")
"""What the list of pushes that were run shows of one."""


def push_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Push the cage and keep each answer beside the plan; see ``run_pushes`` for what is asked.

    Returns:
        ``done``: names of what was pushed; ``refused``: name and words of what could not be.
    """
    from cagewright.job.strength_runs import run_pushes

    ran, refused = run_pushes(job, asked, step)
    for push in ran:
        keep(job.path, NAME, push.name, plain(push))
    return {
        "done": [push.name for push in ran], "refused": plain(refused), "revision": job.cage.revision
    }  # fmt: skip


def drop_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Let the car fall and keep the answer beside the plan; see ``run_drop`` for what is asked.

    Returns:
        ``refused``: why it could not be followed; empty where it was.
    """
    from cagewright.job.drop_runs import run_drop
    from cagewright.job.frame_files import FrameError

    try:
        shown = run_drop(job, asked, step)
    except FrameError as wrong:
        return {"refused": list(wrong.messages)}
    keep(job.path, DROP, DROP, plain(shown))
    return {"refused": []}


def last_drop(request: Request) -> JSONResponse:
    """The drop that was run last, and the plan's mark now; no drop before one was run."""
    opened = opened_of(request)
    mark = "" if opened.stood is None else opened.stood.cage.revision
    return answer({"drop": kept(opened.path, DROP, DROP), "revision": mark})


def drop_picture(request: Request) -> Response:
    """How the last drop was let go, as SVG: 0 seen from before its nose, 1 from its left."""
    found = kept(opened_of(request).path, DROP, DROP)
    pictures = found.get("pictures", []) if found else []
    number = request.path_params["number"]
    if number >= len(pictures):
        return answer({"error": "There is no such picture."}, status=404)
    return Response(pictures[number], media_type="image/svg+xml")


def list_pushes(request: Request) -> JSONResponse:
    """The pushes of the cage, the switches, and what was run before."""
    from cagewright.job.strength import known_pushes
    from cagewright.job.strength_runs import SWITCHES

    opened = opened_of(request)
    job = opened.stood
    if job is None:
        return answer({"pushes": [], "choices": SWITCHES, "ran": [], "revision": ""})
    pushes = job.cache.get(("known pushes", job.key), partial(known_pushes, job))
    ran = [{key: whole.get(key) for key in LISTED} for whole in all_kept(opened.path, NAME)]
    return answer({
        "pushes": plain(pushes), "choices": SWITCHES, "ran": ran, "revision": job.cage.revision
    })  # fmt: skip


def one_result(request: Request) -> JSONResponse:
    """All that is kept of one push."""
    found = kept(opened_of(request).path, NAME, request.path_params["push"])
    if found is None:
        return answer({"error": "This push was not run yet."}, status=404)
    return answer(found)


PAGE = Page(
    name=NAME,
    title="Strength",
    template="strength.html",
    routes=(
        Route("/api/plans/{id}/strength", list_pushes),
        Route("/api/plans/{id}/strength/results/{push}", one_result),
        Route("/api/plans/{id}/strength/drop", last_drop),
        Route("/api/plans/{id}/strength/drop/{number:int}", drop_picture),
    ),
    work={
        "push": "cagewright.workbench.pages.strength:push_work",
        "drop": "cagewright.workbench.pages.strength:drop_work",
    },
)
