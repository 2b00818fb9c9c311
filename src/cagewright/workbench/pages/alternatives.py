"""The Alternatives page: changes to the plan made from what is selected, pushed side by side."""

from __future__ import annotations

import hashlib
from collections.abc import Generator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, Any, cast

from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse
from starlette.routing import Route

from cagewright.base.plain import plain
from cagewright.job.history.state import without_folder
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, names_in, words_in
from cagewright.workbench.pages.results_kept import forget, keep, kept
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from pathlib import Path

    from starlette.requests import Request

    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.opening import Job, Step
    from cagewright.plan.alternatives import Alternatives
    from cagewright.plan.write import Document
    from cagewright.workbench.pages.alternatives_file import Study
    from cagewright.workbench.pages.alternatives_made import Asked

NAME = "alternatives"
WARM = 0.1
"""Share of the work done when the solver is ready."""
SIZES_TRIED = 6
"""So many sizes are tried for one that can be built."""


# --- the work


def compare_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Push the plan and the alternatives of one file side by side, on all cores; kept beside the plan.

    Args:
        job: the plan.
        asked: ``study``: id of the file; ``pushes``: names, the file's own where empty; ``band``: look at
            the typical yield strength too.
        step: told what was done.

    Raises:
        ProblemsFound: the file has problems, or a change cannot be made on this plan.
        ValueError: there is no such file.
    """
    from cagewright.compare.pool import cores
    from cagewright.compare.run import compare
    from cagewright.frame.warm import warm_up
    from cagewright.plan.alternatives import read_alternatives
    from cagewright.workbench.pages.alternatives_file import paths_of
    from cagewright.workbench.pages.alternatives_told import told_comparison

    id = str(asked.get("study", ""))
    path = paths_of(job.path).get(id)
    if path is None:
        raise ValueError("there is no such alternatives file")
    warm_up(lambda done, parts, doing: step(doing, WARM * done / parts))
    study = read_alternatives(path)
    pushes = names_in(asked, "pushes", most=20)
    if pushes:
        study = study.model_copy(update={"pushes": tuple(pushes)})
    run = partial(
        compare, job.plan, study, job.shop, band=bool(asked.get("band", True)),
        step=lambda doing, share: step(doing, WARM + (1.0 - WARM) * share),
    )  # fmt: skip
    with _having_children(), cores() as executor:
        found = run(executor=executor)
    whole = {**told_comparison(found), "study": id, "made_of": mark_of(path)}
    keep(job.path, NAME, id, whole)
    return whole


@contextmanager
def _having_children() -> Generator[None]:
    """Let a process that ends with its parent have children of its own; they end with it (compare.pool)."""
    from multiprocessing import current_process

    config = cast("dict[str, Any]", current_process()._config)  # pyright: ignore
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
    opened = opened_of(request)
    job = opened.stood
    if job is None:
        return answer({"studies": [], "pushes": [], "sizes": [], "revision": ""})
    from cagewright.frame.push_names import DEFAULT, push_names
    from cagewright.workbench.pages.alternatives_file import studies_of

    return answer({
        "studies": [study_row(opened, s) for s in studies_of(job.plan, opened.path)],
        "pushes": list(job.cache.get(("push names", job.key), lambda: push_names(job.cage))),
        "usual": DEFAULT,
        "sizes": _sizes(job),
        "revision": job.cage.revision,
    })


def _sizes(job: Job) -> list[dict[str, Any]]:
    from cagewright.base.say import say_size
    from cagewright.workbench.pages.alternatives_made import sizes_for

    found = sizes_for(job.shop, job.cage.units)
    return [{"od": od, "wall": wall, "words": say_size(od, wall, job.cage.units)} for od, wall in found]


def study_row(opened: OpenPlan, study: Study) -> dict[str, Any]:
    """One alternatives file as the page lists it."""
    read = study.read
    found = kept(opened.path, NAME, study.id)
    title = read.title if read else "Your alternatives" if study.own else study.path.name
    return {
        "id": study.id,
        "own": study.own,
        "file": study.path.name,
        "there": study.path.is_file(),
        "fits": read is not None and not study.problems,
        "problems": [plain(without_folder(p)) for p in study.problems],
        "title": title,
        "question": read.question if read else "",
        "as_planned": read.as_planned if read else "as planned",
        "pushes": list(read.pushes) if read else [],
        "alternatives": _alternatives(study, read) if read else [],
        "ran": found,
        "ran_current": bool(found and found.get("made_of") == mark_of(study.path)),
    }


def _alternatives(study: Study, read: Alternatives) -> list[dict[str, Any]]:
    return [
        {
            "name": a.name,
            "note": a.note,
            "on_top_of": a.on_top_of or "",
            "changes": list(study.words.get(a.name, ())),
        }
        for a in read.alternatives
    ]


async def add_alternative(request: Request) -> JSONResponse:
    """Make an alternative of what is selected, written into the plan's own file; ``trial`` only looks."""
    asked = await body_of(request)
    return answer(await run_in_threadpool(lambda: _added(opened_of(request), asked)))


def _added(opened: OpenPlan, asked: dict[str, Any]) -> dict[str, Any]:
    from cagewright.workbench.pages.alternatives_file import OWN, study_of, write

    with opened.lock:
        job = _job(opened)
        own = study_of(job.plan, opened.path, OWN)
        taken = [a.name for a in own.read.alternatives] if own and own.read else []
        entry, document, changed = _first_that_stands(job, opened.path, _asked(asked), taken)
        if not asked.get("trial"):
            write(document, opened.path)
    return {"name": entry["name"], "note": entry.get("note", ""), "changed": changed}


def _first_that_stands(
    job: Job, path: Path, asked: Asked, taken: list[str]
) -> tuple[dict[str, Any], Document, list[str]]:
    """The alternative, the file with it, and the tubes it changes; of sizes, the first that can be built.

    Raises:
        ProblemsFound: it cannot be made or built; of several sizes, what the first came to.
    """
    from cagewright.base.problems import ProblemsFound
    from cagewright.plan.alternatives import read_alternatives_text
    from cagewright.workbench.pages.alternatives_file import with_alternative
    from cagewright.workbench.pages.alternatives_made import made

    first: ProblemsFound | None = None
    for skip in range(SIZES_TRIED if asked.what in {"heavier", "lighter"} else 1):
        try:
            entry = made(job.plan, job.cage, job.shop, replace(asked, skip=skip), taken=taken)
            document = with_alternative(job.plan, path, entry)
            return entry, document, _changed(job, read_alternatives_text(document.text), entry["name"])
        except ProblemsFound as found:
            first = first or found
    raise first or ValueError("nothing was tried")


def _job(opened: OpenPlan) -> Job:
    from cagewright.base.problems import ProblemsFound

    if opened.moment.job is None:
        raise ProblemsFound(opened.moment.problems)
    return opened.moment.job


def _asked(asked: dict[str, Any]) -> Asked:
    from cagewright.workbench.pages.alternatives_made import Asked

    by = cast("list[Any]", asked["by"]) if isinstance(asked.get("by"), list) else []
    three = [_number(v) for v in by[:3]]
    return Asked(
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


def _changed(job: Job, read: Alternatives, name: str) -> list[str]:
    """Names of the tubes that the alternative changes.

    Raises:
        ProblemsFound: it cannot be made or built, or changes nothing.
    """
    from cagewright.base.problems import Problem, ProblemsFound, Where
    from cagewright.compare.cases import cases_of
    from cagewright.shape.resolve import resolve
    from cagewright.workbench.pages.alternatives_made import members_changed

    case = next(c.case for c in cases_of(job.plan, read) if c.case.name == name)
    changed = members_changed(job.cage, resolve(case.plan))
    if not changed and case.plan == cases_of(job.plan, read)[0].case.plan:
        found, wanted = "that changes nothing", "wanted something else than the plan has"
        raise ProblemsFound([
            Problem(code="no-change", where=Where(file="alternatives"), found=found, wanted=wanted)
        ])
    return changed


async def change_alternative(request: Request) -> JSONResponse:
    """Take an alternative out of the plan's own file, or call it otherwise."""
    asked = await body_of(request)
    return answer(await run_in_threadpool(lambda: _changed_file(opened_of(request), asked)))


def _changed_file(opened: OpenPlan, asked: dict[str, Any]) -> dict[str, Any]:
    from cagewright.workbench.pages.alternatives_file import (
        OWN,
        renamed,
        take_away,
        without_alternative,
        write,
    )

    name, to = words_in(asked, "name"), words_in(asked, "to", most=120)
    with opened.lock:
        job = _job(opened)
        if to:
            write(renamed(job.plan, opened.path, name, to), opened.path)
        else:
            left = without_alternative(job.plan, opened.path, name)
            if left is None:
                take_away(opened.path)
                forget(opened.path, NAME, OWN)
            else:
                write(left, opened.path)
    return {"name": to or name}


def one_scene(request: Request) -> JSONResponse:
    """The cage of one alternative, to lay over the plan's: its number in the file, from 1."""
    study, number = request.path_params["study"], request.path_params["number"]
    return answer(_scene(opened_of(request), study, number))


def _scene(opened: OpenPlan, study: str, number: int) -> dict[str, Any]:
    from cagewright.base.problems import Problem, ProblemsFound, Where
    from cagewright.compare.cases import cases_of
    from cagewright.job.scene.scene import drawn_scene
    from cagewright.shape.resolve import resolve
    from cagewright.workbench.pages.alternatives_file import study_of
    from cagewright.workbench.pages.alternatives_made import members_changed

    job = _job(opened)
    found = study_of(job.plan, opened.path, study)
    cases = cases_of(job.plan, found.read) if found and found.read else ()
    if not 0 <= number < len(cases):
        where, said = Where(file="alternatives"), "there is no such alternative"
        raise ProblemsFound([Problem(code="no-alternative", where=where, found=said, wanted="wanted one")])
    plan = cases[number].case.plan
    cage = resolve(plan)
    return {
        "name": cases[number].case.name,
        "scene": plain(drawn_scene(cage, plan)),
        "changed": members_changed(job.cage, cage),
    }


PAGE = Page(
    name=NAME,
    title="Alternatives",
    template="alternatives.html",
    routes=(
        Route("/api/plans/{id}/alternatives", list_studies),
        Route("/api/plans/{id}/alternatives/add", add_alternative, methods=["POST"]),
        Route("/api/plans/{id}/alternatives/change", change_alternative, methods=["POST"]),
        Route("/api/plans/{id}/alternatives/{study}/scene/{number:int}", one_scene),
    ),
    work={"compare": "cagewright.workbench.pages.alternatives:compare_work"},
)
