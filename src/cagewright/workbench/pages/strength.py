"""The Strength page: pushes chosen and run, what each did, and what of it still holds after an edit."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING, Any, cast

from starlette.responses import JSONResponse
from starlette.routing import Route

from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer
from cagewright.workbench.pages.results_kept import all_kept, keep, kept
from cagewright.workbench.server.request import opened_of

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.frame.choices import Choices
    from cagewright.frame.pushes import Push
    from cagewright.job.opening import Job, Step
    from cagewright.shape.types import Cage

NAME = "strength"
CHOICES: tuple[tuple[str, str, tuple[tuple[str, str], ...]], ...] = (
    (
        "joints",
        "Joints",
        (("report", "stay whole, and are reported on"), ("yield", "give at their strength")),
    ),
    ("feet", "Feet", (("shell", "stand on the shell's sheet"), ("rigid", "stand on what does not give"))),
    (
        "softened",
        "Steel beside welds",
        (
            ("steel", "softens as that steel does"),
            ("cautious", "softens as the most careful source says"),
            ("none", "does not soften"),
        ),
    ),
    (
        "strength",
        "Yield strength",
        (("least", "the least the standard promises"), ("typical", "what is mostly delivered")),
    ),
)
"""Switches of the strength model that the page offers: key, words, and each word's meaning."""
MOST_PUSHES = 40
WARM, PUSHED = 0.1, 0.98
"""Shares of the work done when the solver is ready, and when all is pushed."""


# --- the work


def push_work(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    """Push the cage and keep each answer beside the plan.

    Args:
        job: the plan.
        asked: ``pushes``: names; ``choices``: switches; ``band``: solve for the typical strength too.
        step: told the push that is being solved.

    Returns:
        ``done``: names of what was pushed; ``refused``: name and words of what could not be.
    """
    from cagewright.frame.errors import FrameError
    from cagewright.frame.warm import warm_up

    names, choices, band = _names(job.cage, asked), choices_of(asked), bool(asked.get("band"))
    warm_up(lambda done, parts, doing: step(doing, WARM * done / parts))
    finished: list[str] = []
    refused: list[dict[str, str]] = []
    for i, name in enumerate(names):
        step(f"pushing {name}", WARM + (PUSHED - WARM) * i / len(names))
        try:
            whole = _pushed(job.cage, name, choices, band=band)
        except FrameError as wrong:
            refused.append({"name": name, "words": "; ".join(wrong.messages)})
            continue
        keep(job.path, NAME, name, {**whole, "when": _now()})
        finished.append(name)
    step("done", 1.0)
    return {"done": finished, "refused": refused, "revision": job.cage.revision}


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")


def _names(cage: Cage, asked: dict[str, Any]) -> list[str]:
    """The pushes asked for that this cage can be given; the default one where none is named.

    Raises:
        ValueError: the list is no list of known names.
    """
    from cagewright.frame.push_names import DEFAULT, push_names

    wanted = asked.get("pushes") or [DEFAULT]
    if not isinstance(wanted, list) or len(cast("list[Any]", wanted)) > MOST_PUSHES:
        raise ValueError("pushes is no list of names")
    known = push_names(cage)
    return [name for name in dict.fromkeys(map(str, cast("list[Any]", wanted))) if name in known]


def choices_of(asked: dict[str, Any]) -> Choices:
    """The strength model's switches as asked; what is not asked for, or not known, as usual."""
    from cagewright.frame.choices import Choices

    given = asked.get("choices")
    given = cast("dict[str, Any]", given) if isinstance(given, dict) else {}
    known = {key: {value for value, _ in words} for key, _, words in CHOICES}
    right: dict[str, Any] = {key: given[key] for key in known if given.get(key) in known[key]}
    return Choices(**right)


def _pushed(cage: Cage, name: str, choices: Choices, *, band: bool) -> dict[str, Any]:
    from cagewright.frame.push_names import push_named
    from cagewright.frame.respond import respond, with_band
    from cagewright.workbench.pages.strength_told import told

    push = push_named(cage, name)
    run = _run(cage, push, choices)
    results = respond(run.model, push, run.solution)
    if band and choices.strength == "least":
        typical = _run(cage, push, replace(choices, strength="typical"))
        results = with_band(results, respond(typical.model, push, typical.solution))
    return told(run, results)


def _run(cage: Cage, push: Push, choices: Choices) -> Any:
    from cagewright.frame.idealise import idealise
    from cagewright.frame.respond import marks_of, solve
    from cagewright.workbench.pages.strength_moments import Run

    model = idealise(cage, choices, marks_of([push]))
    return Run(model=model, push=push, solution=solve(model, push))


# --- what the page asks


def known_pushes(cage: Cage) -> list[dict[str, Any]]:
    """Every push this cage can be given, the plan's own marked, with its source."""
    from cagewright.frame.push_names import DEFAULT, push_named, push_names, usual_name

    own = {name for a in cage.pushes for name in (a.name, usual_name(a.name))}
    found = [push_named(cage, name) for name in push_names(cage)]
    return [
        {
            "name": p.name, "title": p.title, "kind": p.kind, "travel": p.travel, "source": p.source,
            "certainty": p.certainty, "own": p.name in own, "usual": p.name == DEFAULT,
            "wants": [d.words for d in p.demands],
        }
        for p in found
    ]  # fmt: skip


def list_pushes(request: Request) -> JSONResponse:
    """The pushes of the cage, the switches, and what was run before."""
    opened = opened_of(request)
    job = opened.stood
    if job is None:
        return answer({"pushes": [], "choices": CHOICES, "ran": [], "revision": ""})
    from cagewright.workbench.pages.strength_told import summary_of

    pushes = job.cache.get(("known pushes", job.key), partial(known_pushes, job.cage))
    ran = [summary_of(whole) for whole in all_kept(opened.path, NAME)]
    return answer({"pushes": pushes, "choices": CHOICES, "ran": ran, "revision": job.cage.revision})


def one_result(request: Request) -> JSONResponse:
    """All that is kept of one push."""
    opened = opened_of(request)
    found = kept(opened.path, NAME, request.path_params["push"])
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
    ),
    work={"push": "cagewright.workbench.pages.strength:push_work"},
)
