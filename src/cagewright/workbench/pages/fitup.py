"""The Fit-up page: step by step, what to tack, what to read, where everything stands and what to pull."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast
from urllib.parse import urlencode

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.routing import Route

from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.results_kept import keep, kept
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse, Response

    from cagewright.fitup.order import Step as BuildStep
    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.opening import Job, Step
    from cagewright.records.nouns import Entry, ReadingSort, ShopJob, TickKind
    from cagewright.workbench.pages.fitup_record import OnBench
    from cagewright.workbench.shopfolder.desk import Desk

NAME = "fitup"
MOVES = "moves"
"""Under this name the builder's own order is kept: tube to step."""
TICKS: tuple[TickKind, ...] = ("tack", "check", "weld")
SORTS: tuple[ReadingSort, ...] = ("tape", "level", "lean", "place")


# --- the work


def readings_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Choose the readings of one step of welds, where all tubes are loose; kept beside the plan.

    Raises:
        ValueError: there is no such step.
    """
    from cagewright.workbench.pages.fitup_told import choices_of, steps_for

    number = asked.get("step")
    steps = steps_for(job, moves_of(job))
    if not isinstance(number, int) or not 1 <= number <= len(steps):
        raise ValueError("there is no such step")
    step("choosing what to read", 0.1)
    whole = {"revision": job.cage.revision, "readings": choices_of(job, steps, number)}
    keep(job.path, NAME, f"step-{number}", whole)
    return whole


# --- the steps


def moves_of(job: Job) -> dict[str, int]:
    """Which tubes the builder tacks at another step than proposed."""
    found = kept(job.path, NAME, MOVES) or {}
    known = {m.name for m in job.cage.members}
    given = found.get("moves")
    moves = cast("dict[str, Any]", given) if isinstance(given, dict) else {}
    return {name: n for name, n in moves.items() if name in known and isinstance(n, int) and 1 <= n <= 60}


def list_steps(request: Request) -> JSONResponse:
    """The steps in order, the plan's jobs, and how far the chosen one is."""
    from cagewright.workbench.pages.fitup_record import is_there, jobs_of
    from cagewright.workbench.pages.fitup_told import broken_words, step_row, steps_for

    opened, where = opened_of(request), _record(request)
    job, jobs = _standing(opened), jobs_of(where, _file(request, opened))
    moves = moves_of(job)
    chosen = _chosen(jobs, request.query_params.get("job", ""))
    done = _progress(where, chosen)
    return answer({
        "steps": [step_row(s) | done.get(str(s.number), {}) for s in steps_for(job, moves)],
        "broken": broken_words(job, moves),
        "moves": moves,
        "jobs": [_job_row(j) for j in jobs],
        "job": _job_row(chosen) if chosen else None,
        "record": is_there(where),
        "units": job.cage.units,
        "revision": job.cage.revision,
    })


def _record(request: Request) -> str:
    from cagewright.workbench.pages.fitup_record import where_of_record

    return where_of_record(cast("Desk", request.app.state.desk).folder)


def _file(request: Request, opened: OpenPlan) -> str:
    """The plan file's path from the shop folder."""
    return opened.path.relative_to(cast("Desk", request.app.state.desk).folder).as_posix()


def _bench(request: Request) -> OnBench:
    from cagewright.workbench.pages.fitup_record import OnBench

    opened = opened_of(request)
    return OnBench(plan=opened, file=_file(request, opened))


def _standing(opened: OpenPlan) -> Job:
    """The newest job that the plan made.

    Raises:
        HTTPException: 409, it has made none yet.
    """
    if opened.stood is None:
        raise HTTPException(409, "The plan's text has problems: put them right first.")
    return opened.stood


def _chosen(jobs: tuple[ShopJob, ...], name: str) -> ShopJob | None:
    return next((j for j in jobs if j.name == name), jobs[-1] if jobs else None)


def _job_row(job: ShopJob) -> dict[str, Any]:
    return {"name": job.name, "customer": job.customer, "title": job.title, "units": job.units}


def _progress(where: str, job: ShopJob | None) -> dict[str, dict[str, Any]]:
    """How many readings and ticks each step has, and who ended it."""
    from cagewright.workbench.pages.fitup_record import readings_in, told_of

    if job is None:
        return {}
    found = told_of(where, job.name)
    steps = {e.step for e in found.current if e.step}
    return {
        s: {
            "read": sum(e.used for e in readings_in(found, s)),
            "done": next((_who(e) for e in reversed(found.current) if _ends(e, s)), None),
        }
        for s in steps
    }


def _ends(entry: Entry, step: str) -> bool:
    """Whether the entry is the tick that ends the step."""
    return (
        entry.kind == "tick" and entry.used and entry.step == step
        and entry.text == "check" and entry.subject == f"step {step}"
    )  # fmt: skip


def _who(entry: Entry) -> dict[str, Any]:
    return {"by": entry.by, "taken": entry.taken, "line": entry.id}


def one_step(request: Request) -> JSONResponse:
    """One step: its marks and readings to take, what was read and ticked."""
    opened = opened_of(request)
    job = _standing(opened)
    steps, number = _steps(job, request)
    readings = _readings(job, steps, number)
    taken, ticks = _taken(request, opened, number)
    return answer(_step_answer(job, steps, number, readings, taken) | {"ticks": ticks})


def _steps(job: Job, request: Request) -> tuple[tuple[BuildStep, ...], int]:
    """The steps, and which is asked for.

    Raises:
        HTTPException: 404, there is no such step.
    """
    from cagewright.workbench.pages.fitup_told import steps_for

    steps, number = steps_for(job, moves_of(job)), request.path_params["step"]
    if not 1 <= number <= len(steps):
        raise HTTPException(404, f"There are {len(steps)} steps.")
    return steps, number


def _readings(job: Job, steps: tuple[BuildStep, ...], number: int) -> list[dict[str, Any]] | None:
    """The readings to take; None where choosing them takes seconds and was not done yet."""
    from cagewright.workbench.pages.fitup_told import choices_of, is_slow

    if not is_slow(steps[number - 1]):
        key = (job.key, number, tuple(sorted(moves_of(job).items())))
        return job.cache.get(("step readings", key), lambda: choices_of(job, steps, number))
    found = kept(job.path, NAME, f"step-{number}")
    return found["readings"] if found and found.get("revision") == job.cage.revision else None


def _taken(request: Request, opened: OpenPlan, number: int) -> tuple[list[Entry], list[dict[str, Any]]]:
    """What was read at the step in the chosen job, and what was ticked."""
    from cagewright.workbench.pages.fitup_record import jobs_of, readings_in, ticks_in, told_of

    where = _record(request)
    job = _chosen(jobs_of(where, _file(request, opened)), request.query_params.get("job", ""))
    if job is None:
        return [], []
    found = told_of(where, job.name)
    ticks = [
        {"what": e.subject, "done": e.text, "by": e.by, "taken": e.taken, "line": e.id}
        for e in ticks_in(found, str(number))
    ]
    return readings_in(found, str(number)), ticks


def _step_answer(
    job: Job,
    steps: tuple[BuildStep, ...],
    number: int,
    readings: list[dict[str, Any]] | None,
    taken: list[Entry],
) -> dict[str, Any]:
    from cagewright.fitup.order import datum_at, present_at, welded_before
    from cagewright.fitup.sheet import held_at
    from cagewright.workbench.pages.fitup_told import entry_row, mark_row, marks_for, step_row

    step, units = steps[number - 1], job.cage.units
    wanted = {n for r in readings or () for n in (r["a"], r["b"])} | {e.subject for e in taken}
    present = set(present_at(steps, number))
    marks = [m for m in marks_for(job) if m.name in wanted or m.member in step.tack]
    every = [m.name for m in marks_for(job) if m.member is None or m.member in present]
    return {
        "step": step_row(step),
        "present": sorted(present),
        "held": list(held_at(job.cage, steps, number)),
        "welded": list(welded_before(steps, number)),
        "datum": datum_at(steps, number),
        "marks": [mark_row(m, units) for m in marks],
        "mark_names": every,
        "readings": readings,
        "taken": [entry_row(e) for e in taken],
        "revision": job.cage.revision,
    }


def square_of(request: Request) -> JSONResponse:
    """Where the step's readings have every tube, and what to pull."""
    from cagewright.fitup.order import welded_before
    from cagewright.workbench.pages.fitup_told import found_at, square

    opened = opened_of(request)
    job = _standing(opened)
    steps, number = _steps(job, request)
    used = [e for e in _taken(request, opened, number)[0] if e.used]
    found = found_at(job, steps, number, used)
    return answer(square(job, found, within=_within(request), welded=welded_before(steps, number)))


def _within(request: Request) -> float:
    """How far an end may be out, mm: as asked, between 0.5 and 20."""
    try:
        asked = float(request.query_params.get("within", "3"))
    except ValueError:
        return 3.0
    return min(max(asked, 0.5), 20.0) if asked == asked else 3.0


def readings_file(request: Request) -> Response:
    """The step's readings as a readings file, for the command line."""
    from cagewright.fitup.readings import readings_text
    from cagewright.fitup.sheet import head_at
    from cagewright.records.fitting import reading_line

    opened = opened_of(request)
    job = _standing(opened)
    steps, number = _steps(job, request)
    used = [e for e in _taken(request, opened, number)[0] if e.used]
    name = f"{opened.id}-step-{number}-readings.yaml"
    text = readings_text(head_at(job.cage, steps, number), ((reading_line(e), "") for e in used))
    return PlainTextResponse(text, headers={"Content-Disposition": f'attachment; filename="{name}"'})


# --- what is written


async def start_job(request: Request) -> JSONResponse:
    """Start the plan's job in the shop's record."""
    asked = await body_of(request)
    return await run_in_threadpool(_start_job, request, asked)


def _start_job(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.workbench.pages.fitup_record import start_job as start

    bench = _bench(request)
    made = start(
        _record(request), bench, name=words_in(asked, "name") or bench.plan.id, by=words_in(asked, "by"),
        customer=words_in(asked, "customer"),
    )  # fmt: skip
    return answer(_job_row(made), status=201)


async def add_reading(request: Request) -> JSONResponse:
    """Keep a reading as it was entered; say what is wrong with one that cannot be used."""
    asked = await body_of(request)
    return await run_in_threadpool(_add_reading, request, asked)


def _add_reading(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.workbench.pages.fitup_record import keep_reading
    from cagewright.workbench.pages.fitup_told import entry_row, marks_for

    bench = _bench(request)
    known = frozenset(m.name for m in marks_for(_standing(bench.plan)))
    keys = ("job", "kind", "a", "b", "axis", "says", "unit", "by", "step", "note")
    given = {key: words_in(asked, key) for key in keys}
    if given["kind"] not in SORTS:
        raise HTTPException(400, f"A reading is one of {', '.join(SORTS)}.")
    found = keep_reading(_record(request), bench, given["job"], given, known)
    return answer({"entry": entry_row(found.entry), "wrong": list(found.wrong)}, status=201)


async def add_tick(request: Request) -> JSONResponse:
    """Tick what was tacked, checked or welded."""
    asked = await body_of(request)
    return await run_in_threadpool(_add_tick, request, asked)


def _add_tick(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.workbench.pages.fitup_record import keep_tick

    done: TickKind | None = next((t for t in TICKS if t == asked.get("done")), None)
    if done is None:
        raise HTTPException(400, f"A tick is one of {', '.join(TICKS)}.")
    entry = keep_tick(
        _record(request), _bench(request), words_in(asked, "job"), words_in(asked, "what"), done,
        by=words_in(asked, "by"), step=words_in(asked, "step"),
    )  # fmt: skip
    return answer({"what": entry.subject, "done": entry.text, **_who(entry)}, status=201)


async def withdraw_line(request: Request) -> JSONResponse:
    """Take a reading or a tick back; the record keeps both."""
    asked = await body_of(request)
    return await run_in_threadpool(_withdraw, request, asked)


def _withdraw(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.workbench.pages.fitup_record import withdraw

    opened_of(request)
    line = asked.get("line")
    if not isinstance(line, int) or isinstance(line, bool):
        raise HTTPException(400, "The request does not say which line.")
    why = words_in(asked, "why") or "taken back"
    found = withdraw(_record(request), words_in(asked, "job"), line, by=words_in(asked, "by"), why=why)
    return answer({"line": found.entry.id})


async def move_tube(request: Request) -> JSONResponse:
    """Tack a tube at another step; what that breaks is told with the steps."""
    asked = await body_of(request)
    return await run_in_threadpool(_move_tube, request, asked)


def _move_tube(request: Request, asked: dict[str, Any]) -> JSONResponse:
    opened = opened_of(request)
    job, member, number = _standing(opened), words_in(asked, "member"), asked.get("step")
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
    from cagewright.workbench.pages.fitup_record import file_of_job

    job, step = request.path_params["job"], request.path_params["step"]
    try:
        file = file_of_job(_record(request), job)
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
        Route("/api/plans/{id}/fitup", list_steps),
        Route("/api/plans/{id}/fitup/steps/{step:int}", one_step),
        Route("/api/plans/{id}/fitup/steps/{step:int}/square", square_of),
        Route("/api/plans/{id}/fitup/steps/{step:int}/readings.yaml", readings_file),
        Route("/api/plans/{id}/fitup/jobs", start_job, methods=["POST"]),
        Route("/api/plans/{id}/fitup/readings", add_reading, methods=["POST"]),
        Route("/api/plans/{id}/fitup/ticks", add_tick, methods=["POST"]),
        Route("/api/plans/{id}/fitup/withdraw", withdraw_line, methods=["POST"]),
        Route("/api/plans/{id}/fitup/order", move_tube, methods=["POST"]),
        Route("/jobs/{job}/steps/{step}", to_step),
        Route("/plans/{id}/fit-up/{step:int}", to_step_of_plan),
    ),
    work={"fitup-readings": "cagewright.workbench.pages.fitup:readings_work"},
)
