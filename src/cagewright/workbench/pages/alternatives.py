"""The Alternatives page: changes to the plan made from what is selected, pushed side by side."""

from __future__ import annotations

import hashlib
from collections.abc import Generator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, names_in, words_in
from cagewright.workbench.pages.results_kept import forget, keep, kept
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.opening import Job, Step
    from cagewright.job.studies.made import PickedTubes

NAME = "alternatives"
MOST_DRAWS = 256
WARM = 0.1
"""Share of the work done when the solver is ready."""


# --- the work


def compare_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Push the plan and the alternatives of one file side by side, on all cores; kept beside the plan.

    Args:
        job: the plan.
        asked: ``study``: id of the file; ``pushes``: names, the file's own where empty; ``draws``:
            how many times each is pushed with what is not known drawn.
        step: told what was done.

    Raises:
        ProblemsFound: the file has problems, or a change cannot be made on this plan.
        ValueError: there is no such file.
    """
    from cagewright.job.alternatives import DIFFERENCES, alternatives
    from cagewright.job.frame_files import warm_up
    from cagewright.job.strength import svg_of
    from cagewright.job.studies.files import paths_of

    id = str(asked.get("study", ""))
    path = paths_of(job.path).get(id)
    if path is None:
        raise ValueError("there is no such alternatives file")
    warm_up(lambda done, parts, doing: step(doing, WARM * done / parts))
    with _having_children():
        found, drawn = alternatives(
            job, path, pushes=names_in(asked, "pushes", most=20), draws=_draws(asked),
            step=lambda doing, share: step(doing, WARM + (1.0 - WARM) * share),
        )  # fmt: skip
    pictures = {name: svg_of(one).decode() for name, one in drawn.items() if name.endswith(DIFFERENCES)}
    whole = {**plain(found), "study": id, "made_of": mark_of(path), "pictures": pictures}
    keep(job.path, NAME, id, whole)
    return whole


def _draws(asked: dict[str, Any]) -> int:
    """So many draws as are asked for, up to the most; none where that is no number."""
    draws = asked.get("draws")
    return max(0, min(draws, MOST_DRAWS)) if isinstance(draws, int) else 0


@contextmanager
def _having_children() -> Generator[None]:
    """Let a process that ends with its parent have children of its own; they end with it (compare.pool)."""
    from multiprocessing import current_process

    config = cast("dict[str, Any]", vars(current_process())["_config"])
    was = config.get("daemon")
    config["daemon"] = False
    try:
        yield
    finally:
        config["daemon"] = was


def mark_of(path: Path) -> str:
    """What tells this text of the file from others; empty where it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()[:16]
    except OSError:
        return ""


# --- what the page asks


def list_studies(request: Request) -> JSONResponse:
    """The alternatives files beside the plan, with what was found when they were run."""
    from cagewright.job.studies.answer import Studies, studies
    from cagewright.job.studies.files import paths_of

    opened = opened_of(request)
    job = opened.stood
    if job is None:
        return answer(plain(Studies()))
    found, paths, rows = studies(job), paths_of(job.path), list[dict[str, Any]]()
    for study in found.studies:
        ran = kept(opened.path, NAME, study.id)
        current = bool(ran and ran.get("made_of") == mark_of(paths[study.id]))
        rows.append({**plain(study), "ran": ran, "ran_current": current})
    return answer({**plain(found), "studies": rows})


async def add_alternative(request: Request) -> JSONResponse:
    """Make an alternative of what is selected, written into the plan's own file; ``trial`` only looks."""
    from cagewright.job.studies.answer import add

    asked = await body_of(request)

    def done() -> Any:
        opened = opened_of(request)
        with opened.lock:
            return plain(add(_job(opened), _picked(asked), trial=bool(asked.get("trial"))))

    return answer(await run_in_threadpool(done))


def _job(opened: OpenPlan) -> Job:
    if opened.moment.job is None:
        raise ProblemsFound(opened.moment.problems)
    return opened.moment.job


def _picked(asked: dict[str, Any]) -> PickedTubes:
    from cagewright.job.studies.made import PickedTubes

    by = cast("list[Any]", asked["by"]) if isinstance(asked.get("by"), list) else []
    three = [_number(v) for v in by[:3]]
    return PickedTubes(
        what=words_in(asked, "what"),
        members=tuple(names_in(asked, "members")),
        one_side=asked.get("one_side") is True,
        end=words_in(asked, "end") or "all",
        by=cast("tuple[float, float, float]", tuple([*three, 0.0, 0.0, 0.0][:3])),
        od=_number(asked.get("od")),
        wall=_number(asked.get("wall")),
        name=words_in(asked, "name", most=120),
    )


def _number(value: Any) -> float:
    """The number in mm, 0 where there is none; what is beyond any cage is none."""
    good = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e5
    return float(value) if good else 0.0


async def change_alternative(request: Request) -> JSONResponse:
    """Take an alternative out of the plan's own file, or call it otherwise."""
    from cagewright.job.studies.answer import rename, take_out
    from cagewright.job.studies.files import OWN

    asked = await body_of(request)
    name, to = words_in(asked, "name"), words_in(asked, "to", most=120)

    def done() -> dict[str, Any]:
        opened = opened_of(request)
        with opened.lock:
            if to:
                rename(_job(opened), name, to)
            elif not take_out(_job(opened), name):
                forget(opened.path, NAME, OWN)
        return {"name": to or name}

    return answer(await run_in_threadpool(done))


def one_scene(request: Request) -> JSONResponse:
    """The cage of one alternative, to lay over the plan's: its number in the file, from 1."""
    from cagewright.job.studies.answer import cage_of

    study, number = request.path_params["study"], request.path_params["number"]
    return answer(plain(cage_of(_job(opened_of(request)), study, number)))


def one_picture(request: Request) -> Response:
    """The differences of a study that was run with draws, as SVG."""
    found = kept(opened_of(request).path, NAME, request.path_params["study"]) or {}
    pictures = cast("dict[str, str]", found.get("pictures") or {})
    drawing = pictures.get(request.path_params["name"])
    if drawing is None:
        return answer({"error": "This was not drawn yet."}, status=404)
    return Response(drawing, media_type="image/svg+xml")


PAGE = Page(
    name=NAME,
    title="Alternatives",
    template="alternatives.html",
    routes=(
        Route("/api/plans/{id}/alternatives", list_studies),
        Route("/api/plans/{id}/alternatives/add", add_alternative, methods=["POST"]),
        Route("/api/plans/{id}/alternatives/change", change_alternative, methods=["POST"]),
        Route("/api/plans/{id}/alternatives/{study}/scene/{number:int}", one_scene),
        Route("/api/plans/{id}/alternatives/{study}/pictures/{name}.svg", one_picture),
    ),
    work={"compare": "cagewright.workbench.pages.alternatives:compare_work"},
)
