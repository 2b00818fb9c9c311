"""Hold points on the Fit-up page: what stands open before each act, who goes on, what a signature covers."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute, Route

from cagewright.base.plain import plain
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.fitup_at import moves_of, standing
from cagewright.workbench.pages.sent import sent_pdf
from cagewright.workbench.requests.recording import alone, chosen_job, jobs_of, record_of
from cagewright.workbench.server.request import body_of, opened_of

if TYPE_CHECKING:
    from starlette.requests import Request
    from starlette.responses import JSONResponse, Response

    from cagewright.job.hold import Act, HoldAnswer


def _asked(request: Request) -> str:
    """The job's name.

    Raises:
        HTTPException: 409, the plan has no job yet.
    """
    chosen = chosen_job(request, jobs_of(request))
    if chosen is None:
        raise HTTPException(409, "Start the job's record first.")
    return chosen.name


def _act(request: Request) -> Act:
    """The act in the address.

    Raises:
        HTTPException: 404, there is no such act.
    """
    from cagewright.job.hold import ACTS

    known: dict[str, Act] = {act: act for act in ACTS}
    act = known.get(str(request.path_params["act"]))
    if act is None:
        raise HTTPException(404, f"An act is one of {', '.join(ACTS)}.")
    return act


def _held(request: Request, name: str, act: Act) -> HoldAnswer:
    """What stands open before the act."""
    from cagewright.job.hold import hold_of

    job = standing(opened_of(request))
    return alone(hold_of, record_of(request), name, act, job, moves_of(job))


def hold_points(request: Request) -> JSONResponse:
    """What stands open before each act."""
    from cagewright.job.hold import ACTS

    name = _asked(request)
    return answer({"acts": [plain(_held(request, name, act)) for act in ACTS]})


def hold_pdf(request: Request) -> Response:
    """The same on paper, with boxes to tick."""
    from cagewright.book.papers import sheets_paper
    from cagewright.job.hold_paper import hold_sheet

    found = _held(request, _asked(request), _act(request))
    made = sheets_paper((hold_sheet(found),), title=found.title, revision=found.revision)
    return sent_pdf(made, f"before-{found.act}")


async def go_regardless(request: Request) -> JSONResponse:
    """Keep that somebody went on with lines open, by name and with the reason."""
    return await run_in_threadpool(_go_on, request, await body_of(request))


def _go_on(request: Request, asked: dict[str, Any]) -> JSONResponse:
    from cagewright.job.hold import go_on
    from cagewright.job.record import Hand

    name = words_in(asked, "job")
    found = _held(request, name, _act(request))
    why, hand = words_in(asked, "why", most=1000), Hand(by=words_in(asked, "by"))
    return answer(plain(alone(go_on, record_of(request), name, found, why=why, hand=hand)), status=201)


def signing(request: Request) -> JSONResponse:
    """What a signature under the job would stand for now, and what not."""
    from cagewright.job.signing import covered_in

    job = standing(opened_of(request))
    return answer(plain(alone(covered_in, record_of(request), _asked(request), job, moves_of(job))))


AT = "/api/plans/{id}/fitup"
ROUTES: tuple[BaseRoute, ...] = (
    Route(f"{AT}/hold/{{act}}.pdf", hold_pdf),
    Route(f"{AT}/hold", hold_points),
    Route(f"{AT}/hold/{{act}}", go_regardless, methods=["POST"]),
    Route(f"{AT}/signing", signing),
)
