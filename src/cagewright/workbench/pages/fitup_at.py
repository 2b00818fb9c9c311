"""What the parts of the Fit-up page share: the plan that stands, and the builder's own order of it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, cast

from starlette.exceptions import HTTPException

from cagewright.workbench.pages.results_kept import kept

if TYPE_CHECKING:
    from cagewright.job.history.open_plan import OpenPlan
    from cagewright.job.opening import Job

NAME = "fitup"
MOVES = "moves"
"""Under this name the builder's own order is kept: tube to step."""


def moves_of(job: Job) -> dict[str, int]:
    """Which tubes the builder tacks at another step than proposed."""
    given = (kept(job.path, NAME, MOVES) or {}).get("moves")
    moves = cast("dict[str, Any]", given) if isinstance(given, dict) else {}
    known = {m.name for m in job.cage.members}
    return {name: n for name, n in moves.items() if name in known and isinstance(n, int) and 1 <= n <= 60}


def standing(opened: OpenPlan) -> Job:
    """The newest job that the plan made.

    Raises:
        HTTPException: 409, it has made none yet.
    """
    if opened.stood is None:
        raise HTTPException(409, "The plan's text has problems: put them right first.")
    return opened.stood
