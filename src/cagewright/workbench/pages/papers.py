"""The Papers page: the whole set built, listed with its sizes, and taken away one by one or all at once."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.made import CONTENTS, Made, made_in
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.pages.made import older_words, size_words
from cagewright.workbench.pages.sent import sent_file, sent_zip
from cagewright.workbench.server.request import opened_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.opening import Job, Step

GROUPS = (
    ("papers-", "The build book, to print"),
    ("wraps/", "Wraps, each alone"),
    ("bends/", "Bend sketches"),
    ("views/", "Views of the cage"),
    ("strength/", "Strength"),
    ("tables/", "Tables"),
    ("", "Numbers for other programs"),
)
"""How the files are grouped on the page: the start of their names, and what they are."""


def papers_folder(path: Path) -> Path:
    """Where the papers of the plan in that file are: beside it, for the builder to find."""
    return path.parent / f"{path.stem}-papers"


def build_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Build the whole set of papers beside the plan.

    Args:
        job: the plan.
        asked: nothing.
        step: told what is being made.

    Returns:
        ``revision``: of the plan; ``files``: how many.
    """
    from cagewright.book.build import build

    out = papers_folder(job.path)

    build(job, out, step=step)
    made = made_in(out)
    return {"revision": job.cage.revision, "files": len(made.files) if made else 0}


def _made(plan: OpenPlan) -> Made | None:
    return made_in(papers_folder(plan.path))


def papers(request: Request) -> Response:
    """The papers that are built, with their sizes, and whether they are older than the plan."""
    plan = opened_of(request)
    made, job = _made(plan), plan.moment.job
    now = job.cage.revision if job else None
    shown: dict[str, Any] = {"built": None, "now": now, "folder": papers_folder(plan.path).name}
    if made is not None:
        older = older_words(made, job) if job else "the plan's text has problems"
        groups = _groups(made)
        shown["built"] = {"revision": made.revision, "when": made.when, "older": older, "groups": groups}
    return answer(shown)


def _groups(made: Made) -> list[dict[str, Any]]:
    left = [name for name in made.files if name != CONTENTS]
    groups: list[dict[str, Any]] = []
    for start, words in GROUPS:
        mine = [name for name in left if name.startswith(start)]
        left = [name for name in left if name not in set(mine)]
        if mine:
            groups.append({"title": words, "files": [_row(made, name) for name in mine]})
    return groups


def _row(made: Made, name: str) -> dict[str, Any]:
    size = (made.folder / name).stat().st_size
    return {"name": name, "size": size, "words": size_words(size)}


def one_file(request: Request) -> Response:
    """One of the papers."""
    return sent_file(request, _made(opened_of(request)), request.path_params["name"])


async def every_file(request: Request) -> Response:
    """All papers in one zip."""
    plan = await run_in_threadpool(opened_of, request)
    made = _made(plan)
    return await sent_zip(made, made.files if made else (), papers_folder(plan.path).name)


PAGE = Page(
    name="papers",
    title="Papers",
    template="papers.html",
    routes=(
        Route("/api/plans/{id}/papers", papers),
        Route("/api/plans/{id}/papers/all.zip", every_file),
        Route("/api/plans/{id}/papers/files/{name:path}", one_file),
    ),
    work={"build": "cagewright.workbench.pages.papers:build_work"},
)
