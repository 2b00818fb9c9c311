"""Edits, undo, redo and conflicts, as the pages ask for them."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import nullcontext
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from cagewright.base.plain import plain
from cagewright.job.history.open_plan import OpenPlan, PlanMoment, Stale, edited
from cagewright.job.history.state import PlanState, state_of
from cagewright.workbench.server.errors import noted
from cagewright.workbench.server.request import body_of, number_of, opened_of

if TYPE_CHECKING:
    from cagewright.job.history.effects import EditAnswer

LONGEST_STROKE = 100
"""Most letters in the name that the edits of one stroke share."""


async def edits(request: Request) -> Response:
    """One edit, or one trial of an edit.

    Raises:
        HTTPException: the request cannot be read.
    """
    opened = await run_in_threadpool(opened_of, request)
    number, asked = number_of(request), await body_of(request)
    trial, stroke = asked.pop("trial", False) is True, asked.pop("stroke", None)
    if stroke is not None and not (isinstance(stroke, str) and len(stroke) <= LONGEST_STROKE):
        raise HTTPException(400, "The stroke's name cannot be read.")

    def done() -> tuple[PlanMoment, PlanMoment, str | None]:
        if trial:
            return opened.tried(number, lambda moment: edited(moment, asked))
        with opened.lock:
            before = opened.moment
            after = opened.edit(number, lambda moment: edited(moment, asked), stroke=stroke)
            return before, after, opened.undo_words

    return await answered(request, opened, done, trial=trial)


async def undo(request: Request) -> Response:
    """Take the last step back."""
    return await _turned(request, OpenPlan.undo)


async def redo(request: Request) -> Response:
    """Do the step again that was taken back last."""
    return await _turned(request, OpenPlan.redo)


async def _turned(request: Request, turn: Callable[[OpenPlan, int], PlanMoment]) -> Response:
    opened = await run_in_threadpool(opened_of, request)
    number = number_of(request)

    def done() -> tuple[PlanMoment, PlanMoment, str | None]:
        with opened.lock:
            before = opened.moment
            return before, turn(opened, number), None

    return await answered(request, opened, done)


async def conflict(request: Request) -> Response:
    """Decide between what is here and what the file holds.

    Raises:
        HTTPException: it does not say which to keep.
    """
    opened = await run_in_threadpool(opened_of, request)
    keep = (await body_of(request)).get("keep")
    if keep != "mine" and keep != "disk":
        raise HTTPException(400, "Say which to keep: mine or disk.")

    def done() -> tuple[PlanMoment, PlanMoment, str | None]:
        with opened.lock:
            before = opened.moment
            return before, opened.settle(keep), None

    return await answered(request, opened, done)


async def answered(
    request: Request,
    opened: OpenPlan,
    done: Callable[[], tuple[PlanMoment, PlanMoment, str | None]],
    *,
    trial: bool = False,
    more: dict[str, Any] | None = None,
) -> Response:
    """The answer to what was done: the state, and what changed in picture, figures and findings.

    Args:
        request: what was asked.
        opened: of which plan.
        done: does it; gives the moments before and after, and what was done in words.
        trial: nothing was kept: the plan's other pages are not told.
        more: to be in the answer too.
    """

    def told() -> tuple[PlanMoment, PlanMoment, str | None, PlanState]:
        with nullcontext() if trial else opened.lock:  # the state has to be that of the moment after
            return *done(), state_of(opened)

    try:
        before, after, words, state = await run_in_threadpool(told)
    except Stale:
        said = "The plan has changed since; this was not done. Look at what is here now, and do it again."
        return JSONResponse({"error": said, "state": plain(state_of(opened))}, 412)
    if not trial:
        request.app.state.live.tell(opened.id, {"type": "state", "state": plain(state)})
    answer = await run_in_threadpool(_effects, before, after, state, words, trial=trial)
    return JSONResponse({**plain(answer), **(more or {})})


def _effects(
    before: PlanMoment, after: PlanMoment, state: PlanState, words: str | None, *, trial: bool
) -> EditAnswer:
    """What the edit changed; once it is kept, a mistake of ours must not say that it was not."""
    from cagewright.job.history.effects import EditAnswer, effects_of  # the stages: no page waits for them

    try:
        return effects_of(before, after, state=state, words=words, trial=trial)
    except Exception as wrong:
        if trial:
            raise
        reference = noted("edit", wrong)
        unseen = (
            f"It was done, but what it changed cannot be shown: load the page again. Reference {reference}."
        )
        return EditAnswer(state=state, words=words, changed=None, figures=None, findings=None, unseen=unseen)


EDITING: tuple[BaseRoute, ...] = (
    Route("/api/plans/{id}/edits", edits, methods=["POST"]),
    Route("/api/plans/{id}/undo", undo, methods=["POST"]),
    Route("/api/plans/{id}/redo", redo, methods=["POST"]),
    Route("/api/plans/{id}/conflict", conflict, methods=["POST"]),
)
