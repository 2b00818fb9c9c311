"""The Fit-up page: step by step, what to tack, what to read, where everything stands and what to pull."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.fitup_at import MOVES, NAME, moves_of, standing
from cagewright.workbench.pages.fitup_bench import ROUTES as BENCH
from cagewright.workbench.pages.fitup_entries import ROUTES as ENTRIES
from cagewright.workbench.pages.fitup_hold import ROUTES as HOLDS
from cagewright.workbench.pages.results_kept import keep, kept
from cagewright.workbench.requests.recording import (
    alone,
    chosen_job,
    is_there,
    jobs_of,
    record_of,
    start_job,
)
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse

    from cagewright.job.bench import JobHistory, RecordEntry
    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.marks import Chosen
    from cagewright.job.opening import Job, Step
    from cagewright.job.record import ShopJob
    from cagewright.workbench.shopfolder.desk import Desk

# --- the work


def readings_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Choose the readings of one step of welds, where all tubes are loose; kept beside the plan.

    Raises:
        ValueError: there is no such step.
    """
    from cagewright.job.marks import step_of
    from cagewright.job.order import steps_of

    number = asked.get("step")
    if not isinstance(number, int) or not 1 <= number <= len(steps_of(job, moves_of(job))):
        raise ValueError("there is no such step")
    step("choosing what to read", 0.1)
    found = step_of(job, number, moves_of(job)).readings or ()
    rows = [{key: getattr(r, key) for key in ("kind", "a", "b", "axis", "why")} for r in found]
    whole = {"revision": job.cage.revision, "readings": rows}
    keep(job.path, NAME, f"step-{number}", whole)
    return whole


# --- the steps


def list_steps(request: Request) -> JSONResponse:
    """The steps in order, the plan's jobs, and how far the chosen one is."""
    from cagewright.job.bench import progress_of
    from cagewright.job.order import order_of

    opened = opened_of(request)
    job, jobs = standing(opened), jobs_of(request)
    chosen = chosen_job(request, jobs)
    found = plain(order_of(job, moves_of(job)))
    done = plain(progress_of(_history(request, chosen))) if chosen else {}
    found["steps"] = [step | done.get(str(step["number"]), {}) for step in found["steps"]]
    return answer({
        **found, "jobs": plain(jobs), "job": plain(chosen), "record": is_there(record_of(request)),
    })  # fmt: skip


def _history(request: Request, job: ShopJob) -> JobHistory:
    from cagewright.job.bench import told_of

    return alone(told_of, record_of(request), job.name)


def _at(request: Request) -> tuple[OpenPlan, Job, int, dict[str, int], list[RecordEntry], JobHistory | None]:
    """The plan, the step asked for, the moves, and what was read at it in the chosen job.

    Raises:
        HTTPException: 404, there is no such step.
    """
    from cagewright.job.bench import readings_in
    from cagewright.job.order import steps_of

    opened, number = opened_of(request), request.path_params["step"]
    job = standing(opened)
    moves = moves_of(job)
    many = len(steps_of(job, moves))
    if not 1 <= number <= many:
        raise HTTPException(404, f"There are {many} steps.")
    chosen = chosen_job(request, jobs_of(request))
    found = _history(request, chosen) if chosen else None
    return opened, job, number, moves, readings_in(found, str(number)) if found else [], found


def one_step(request: Request) -> JSONResponse:
    """One step: its marks and readings to take, what was read and ticked."""
    from cagewright.job.bench import record_at, taken_rows, ticks_in
    from cagewright.job.marks import step_of

    _, job, number, moves, entries, found = _at(request)
    before = kept(job.path, NAME, f"step-{number}")
    fresh = before is not None and before.get("revision") == job.cage.revision
    chosen = cast("Chosen", before["readings"]) if before and fresh else None
    also = {e.subject for e in entries}
    step = step_of(job, number, moves, chosen=chosen, choose=False, also=also)
    ticks = ticks_in(found, str(number)) if found else ()
    current = found.current if found else ()
    told = alone(record_at, record_of(request), found.job.name, str(number)) if found else None
    return answer({
        **plain(step), "taken": plain(taken_rows(job, number, entries, moves, current=current)),
        "ticks": plain(ticks), "record": plain(told),
    })  # fmt: skip


def square_of_step(request: Request) -> JSONResponse:
    """Where the step's readings have every tube, and what to pull; in words where nothing can be told yet."""
    from cagewright.base.problems import ProblemsFound
    from cagewright.job.pull import pull_of
    from cagewright.job.readings import taken_from_record
    from cagewright.job.square import square_of

    _, job, number, moves, entries, _ = _at(request)
    try:
        taken = taken_from_record(job, number, entries, moves)
    except ProblemsFound as nothing:
        return answer({"square": None, "pull": None, "problems": [p.found for p in nothing.problems]})
    within = _within(request)
    return answer({
        "square": plain(square_of(taken, within=within)),
        "pull": plain(pull_of(taken, within=within, moves=moves)),
        "problems": [],
    })


def passage(request: Request) -> JSONResponse:
    """How the bench's work goes in through the opening named in the address."""
    from cagewright.job.passage import passage_of

    return answer(plain(passage_of(standing(opened_of(request)), request.path_params["line"])))


def passage_picture(request: Request) -> Response:
    """The part after one move of the way in.

    Raises:
        HTTPException: 404, there is no such move.
    """
    from cagewright.job.passage import passage_of
    from cagewright.job.passage_paper import move_drawings
    from cagewright.job.writers import to_svg

    job, number = standing(opened_of(request)), request.path_params["number"]
    drawings = move_drawings(job, passage_of(job, request.path_params["line"]))
    if not 1 <= number <= len(drawings):
        raise HTTPException(404, f"There are {len(drawings)} moves.")
    return Response(to_svg(drawings[number - 1]), media_type="image/svg+xml")


def shrink_of_step(request: Request) -> JSONResponse:
    """What the step's welds pull and in which order; the shop's own factor where it was read both times."""
    from cagewright.job.shrink import readings_round_welds, shrink_of

    _, job, number, moves, _, found = _at(request)
    readings = readings_round_welds(job, number, found, moves)
    return answer(plain(shrink_of(job, number, readings=readings, moves=moves)))


def _within(request: Request) -> float:
    """How far an end may be out, mm: as asked, between 0.5 and 20."""
    try:
        asked = float(request.query_params.get("within", "3"))
    except ValueError:
        return 3.0
    return min(max(asked, 0.5), 20.0) if asked == asked else 3.0


def readings_file(request: Request) -> Response:
    """The step's readings as a readings file, for the command line."""
    from cagewright.job.readings import step_file

    opened, job, number, moves, entries, _ = _at(request)
    name = f"{opened.id}-step-{number}-readings.yaml"
    text = step_file(job, number, entries, moves)
    return PlainTextResponse(text, headers={"Content-Disposition": f'attachment; filename="{name}"'})


# --- what is written


async def move_tube(request: Request) -> JSONResponse:
    """Tack a tube at another step; what that breaks is told with the steps."""
    asked = await body_of(request)
    return await run_in_threadpool(_move_tube, request, asked)


def _move_tube(request: Request, asked: dict[str, Any]) -> JSONResponse:
    opened = opened_of(request)
    job, member, number = standing(opened), words_in(asked, "member"), asked.get("step")
    moves = moves_of(job)
    if member in moves and number is None:
        del moves[member]
    elif member in {m.name for m in job.cage.members} and isinstance(number, int) and 1 <= number <= 60:
        moves[member] = number
    else:
        raise HTTPException(400, "The request does not say which tube, or which step.")
    keep(opened.path, NAME, MOVES, {"moves": moves})
    return answer({"moves": moves})


# --- the way from a printed step


def to_step(request: Request) -> Response:
    """From a printed square code to the step on this page.

    Raises:
        HTTPException: 404, there is no such job, or its plan is not in this folder.
    """
    from cagewright.base.problems import ProblemsFound
    from cagewright.job.record import file_of_job

    job, step, where = request.path_params["job"], request.path_params["step"], record_of(request)
    try:
        file = alone(file_of_job, where, job) if is_there(where) else ""
    except ProblemsFound:
        file = ""
    desk = cast("Desk", request.app.state.desk)
    plan = next((p.id for p in desk.plans() if file and p.name == file), None)
    if plan is None:
        raise HTTPException(404)
    return RedirectResponse(f"/plans/{plan}/fitup?{urlencode({'job': job, 'step': step})}", 303)


def to_step_of_plan(request: Request) -> Response:
    """The same from a code that names the plan."""
    opened = opened_of(request)
    return RedirectResponse(f"/plans/{opened.id}/fitup?step={request.path_params['step']}", 303)


PAGE = Page(
    name=NAME,
    title="Fit-up",
    template="fitup.html",
    routes=(
        *BENCH,
        *ENTRIES,
        *HOLDS,
        Route("/api/plans/{id}/fitup", list_steps),
        Route("/api/plans/{id}/fitup/steps/{step:int}", one_step),
        Route("/api/plans/{id}/fitup/steps/{step:int}/square", square_of_step),
        Route("/api/plans/{id}/fitup/steps/{step:int}/shrink", shrink_of_step),
        Route("/api/plans/{id}/fitup/steps/{step:int}/readings.yaml", readings_file),
        Route("/api/plans/{id}/fitup/passage/{line}", passage),
        Route("/api/plans/{id}/fitup/passage/{line}/{number:int}.svg", passage_picture),
        Route("/api/plans/{id}/fitup/jobs", start_job, methods=["POST"]),
        Route("/api/plans/{id}/fitup/order", move_tube, methods=["POST"]),
        Route("/jobs/{job}/steps/{step}", to_step),
        Route("/plans/{id}/fit-up/{step:int}", to_step_of_plan),
    ),
    work={
        "fitup-readings": "cagewright.workbench.pages.fitup:readings_work",
        "bench-first": "cagewright.workbench.pages.fitup_bench:bench_first_work",
    },
)
