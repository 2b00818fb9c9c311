"""The Shell page: tape readings with a sketch each, a first plan from them, and the scan of the body."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.cautions import CAUTIONS
from cagewright.base.plain import plain
from cagewright.job.books import books
from cagewright.job.draft import draft_of
from cagewright.job.history.open_plan import EditRefused, Stale
from cagewright.job.history.state import state_of, without_folder
from cagewright.job.shell import (
    UNITS,
    BadScan,
    named_points,
    picked,
    scan_answer,
    scan_placed,
    survey_named,
    without_scan,
)
from cagewright.job.survey import (
    SHEET_TITLE,
    BadReading,
    Document,
    OpenSurvey,
    SharedBody,
    reading_words,
    shared_body,
    sheet_pages,
    sketch_svg,
    survey_answer,
    tried,
    with_reading,
)
from cagewright.job.wishes import BadField, field_words, with_field
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.folder import ROUTES as FOLDER_ROUTES
from cagewright.workbench.pages.shell_next import ROUTES as NEXT_CAR
from cagewright.workbench.pages.shell_obstacles import ROUTES as OBSTACLES
from cagewright.workbench.server.request import body_of, number_of, opened_of
from cagewright.workbench.shopfolder.surveys import (
    SurveyChanged,
    edited,
    opened,
    standing_on,
    surveys_of,
    turned,
    turns,
)

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.history.open_plan import OpenPlan, PlanMoment
    from cagewright.workbench.shopfolder.desk import Desk

HERE = Path(__file__).parents[1]
_STALE = "The survey was changed elsewhere since; look at what is here now, and type it again."


def survey_of(request: Request) -> OpenSurvey:
    """The survey that the address names.

    Raises:
        HTTPException: there is no such survey.
    """
    try:
        return opened(request.app.state.desk, request.path_params["survey"])
    except KeyError:
        raise HTTPException(404) from None


def own_survey(plan: OpenPlan, surveys: dict[str, Path]) -> str | None:
    """The id of the survey that the plan was drafted from; else the only one there is; else none."""
    named = survey_named(plan.moment.document.text)
    drafted = [id for id, path in surveys.items() if path.name == named]
    if drafted:
        return drafted[0]
    return next(iter(surveys)) if len(surveys) == 1 else None


# --- the page


def survey_page(request: Request) -> Response:
    """The Shell page of a survey that no plan stands on yet."""
    survey_of(request)
    bundle = (HERE / "static" / "look.css").is_file()
    given = {
        "page": "shell",
        "pages": (),
        "plan": None,
        "survey": request.path_params["survey"],
        "cautions": CAUTIONS,
        "bundle": bundle,
    }
    return request.app.state.templates.TemplateResponse(request, "shell.html", given)


def about_plan(request: Request) -> Response:
    """The surveys of the folder, the one the plan came from, and the plan's scan."""
    plan = opened_of(request)
    desk: Desk = request.app.state.desk
    job, surveys = plan.moment.job or plan.stood, surveys_of(desk)
    jobs = {desk.folder / name for name in desk.surveys()}
    return answer({
        "surveys": [{"id": id, "file": path.name} for id, path in surveys.items()],
        "survey": own_survey(plan, {id: path for id, path in surveys.items() if path in jobs}),
        "scan": plain(scan_answer(job)) if job else None,
        "points": plain(named_points(job)) if job else [],
        "scan_units": UNITS,
    })


# --- the survey


def _shown(survey: OpenSurvey, desk: Desk) -> dict[str, Any]:
    found = survey_answer(survey)
    undo, redo = turns(desk, survey)
    problems = [plain(without_folder(p)) for p in found.problems]
    return plain(found) | {"problems": problems, "undo": undo, "redo": redo}


def survey(request: Request) -> Response:
    """The survey's readings and fields, what is said of them, and what undo would take back."""
    return answer(_shown(survey_of(request), request.app.state.desk))


def survey_text(request: Request) -> Response:
    """The survey's file, to keep."""
    found = survey_of(request)
    named = {"content-disposition": f'attachment; filename="{_ascii(found.path.name)}"'}
    return Response(found.path.read_bytes(), media_type="application/yaml", headers=named)


def _ascii(name: str) -> str:
    return re.sub(r"[^A-Za-z0-9._-]+", "-", name)


async def set_reading(request: Request) -> Response:
    """One part of a reading set; with ``trial`` nothing is saved. ``texts`` is what was typed.

    Raises:
        HTTPException: there is no such reading.
    """
    asked = await body_of(request)
    texts = [str(t)[:60] for t in asked.get("texts") or []]
    name, part = words_in(asked, "reading"), words_in(asked, "part")
    units = (await run_in_threadpool(survey_of, request)).readings_in.source.units
    try:
        words = reading_words(name, part, texts)
        change = lambda text: with_reading(text, name, part, texts, units)  # noqa: E731
        return await _edited(request, asked, change, words, readings=True)
    except BadReading as wrong:
        return answer({"error": str(wrong), "part": wrong.part, "value": wrong.value}, status=422)
    except KeyError:
        raise HTTPException(400, "There is no such reading.") from None


async def set_field(request: Request) -> Response:
    """One field of the car, the driver or the wishes set.

    Raises:
        HTTPException: there is no such field.
    """
    asked = await body_of(request)
    found = await run_in_threadpool(survey_of, request)
    units, named = found.units, tuple(book.id for book in books(found.path.parent).books)
    name, typed = words_in(asked, "field"), asked.get("value")
    try:
        words = field_words(name, typed)
        return await _edited(request, asked, lambda text: with_field(text, name, typed, units, named), words)
    except BadField as wrong:
        return answer({"error": str(wrong)}, status=422)
    except KeyError:
        raise HTTPException(400, "There is no such field.") from None


async def _edited(
    request: Request,
    asked: dict[str, Any],
    edit: Callable[[Document], Document],
    words: str,
    *,
    readings: bool = False,
) -> Response:
    desk: Desk = request.app.state.desk
    id, mark, trial = request.path_params["survey"], words_in(asked, "mark"), asked.get("trial") is True

    def done() -> dict[str, Any]:
        now = survey_of(request)
        if readings and not trial and asked.get("sure") is not True:
            _ask_first(desk, now)
        if trial:
            return _shown(tried(now, edit, readings=readings), desk)
        return _shown(edited(desk, id, mark, edit, words, readings=readings), desk)

    return await _unless_moved(request, done)


class AskFirst(Exception):
    """A body's readings are others' too; ``asked`` is who follows them."""

    def __init__(self, asked: SharedBody) -> None:
        super().__init__(asked.headline)
        self.asked = asked


def _ask_first(desk: Desk, survey: OpenSurvey) -> None:
    surveys, plans = standing_on(desk, survey)
    if surveys or plans:
        raise AskFirst(shared_body((survey.body_path or survey.path).name, surveys, plans))


async def _unless_moved(request: Request, done: Callable[[], dict[str, Any]]) -> Response:
    try:
        return answer(await run_in_threadpool(done))
    except AskFirst as first:
        return answer({"error": first.asked.headline, "asks": plain(first.asked)}, status=409)
    except SurveyChanged:
        now = await run_in_threadpool(survey_of, request)
        shown = await run_in_threadpool(_shown, now, request.app.state.desk)
        return answer({"error": _STALE, "now": shown}, status=412)


async def turn_survey(request: Request) -> Response:
    """The survey's last change taken back, or done again.

    Raises:
        HTTPException: there is no such survey.
    """
    asked, desk = await body_of(request), request.app.state.desk
    way: Literal["undo", "redo"] = "redo" if request.url.path.endswith("/redo") else "undo"

    def done() -> dict[str, Any]:
        try:
            after, words = turned(desk, request.path_params["survey"], words_in(asked, "mark"), way)
        except KeyError:
            raise HTTPException(404) from None
        return _shown(after, desk) | {"words": words}

    return await _unless_moved(request, done)


async def draft(request: Request) -> Response:
    """A first plan from the survey, in a file of its own; ``name`` says what to call it."""
    asked = await body_of(request)
    return answer(await run_in_threadpool(_drafted, request, words_in(asked, "name")), status=201)


def _drafted(request: Request, name: str) -> dict[str, Any]:
    desk: Desk = request.app.state.desk
    found = survey_of(request)
    made, text = draft_of(found)
    id = desk.add(name or (found.survey.file.title if found.survey else ""), text.encode())
    return {"id": id, "address": f"/plans/{id}/cage", **plain(made)}


def sketch(request: Request) -> Response:
    """Where the tape goes for one reading, as a picture.

    Raises:
        HTTPException: there is no such reading.
    """
    try:
        text = sketch_svg(request.path_params["reading"])
    except KeyError:
        raise HTTPException(404) from None
    return Response(text, media_type="image/svg+xml", headers={"cache-control": "max-age=3600"})


def sheet_pdf(request: Request) -> Response:
    """The survey sheet, to print and take to the car."""
    from cagewright.book.papers import pages_paper

    paper = "letter" if request.query_params.get("paper") == "letter" else "a4"
    data = pages_paper(sheet_pages(paper), paper, title=SHEET_TITLE, stamp="readings only: no rules checked")
    named = {"content-disposition": f'attachment; filename="survey-sheet-{paper}.pdf"'}
    return Response(data, media_type="application/pdf", headers=named)


# --- the scan


async def set_scan(request: Request) -> Response:
    """The plan's scan named, placed anew, or taken out; an edit like any other, that undo takes back."""
    plan, number, asked = (
        await run_in_threadpool(opened_of, request),
        number_of(request),
        await body_of(request),
    )

    def edit(moment: PlanMoment) -> tuple[Document, str]:
        if asked.get("remove") is True:
            return without_scan(moment.document)
        units = moment.job.plan.units if moment.job else "mm"
        return scan_placed(moment.document, asked, units)

    return await _scan_edited(request, plan, number, edit)


async def _scan_edited(
    request: Request, plan: OpenPlan, number: int, edit: Callable[[PlanMoment], tuple[Document, str]]
) -> Response:
    def done() -> dict[str, Any]:
        after = plan.edit(number, edit)
        return {"state": plain(state_of(plan)), "scan": plain(scan_answer(after.job)) if after.job else None}

    try:
        told = await run_in_threadpool(done)
    except BadScan as wrong:
        return answer({"error": f"That cannot be done: {wrong}."}, status=422)
    except Stale:
        return answer({"error": "The plan has changed since.", "state": plain(state_of(plan))}, status=412)
    request.app.state.live.tell(plan.id, {"type": "state", "state": told["state"]})
    return answer(told)


async def pick(request: Request) -> Response:
    """Where a place picked in the view is in the scan file's own numbers.

    Raises:
        EditRefused: the plan cannot be read.
    """
    plan, asked = await run_in_threadpool(opened_of, request), await body_of(request)
    job = plan.moment.job or plan.stood
    if job is None:
        raise EditRefused("The plan's text has problems: put them right first.")
    try:
        return answer({"scan": await run_in_threadpool(picked, job, asked.get("point"))})
    except BadScan as wrong:
        return answer({"error": f"That cannot be done: {wrong}."}, status=422)


SURVEY = "/api/surveys/{survey}"
PAGE = Page(
    name="shell",
    title="Shell",
    template="shell.html",
    routes=(
        *FOLDER_ROUTES,
        *OBSTACLES,
        *NEXT_CAR,
        Route("/surveys/{survey}", survey_page),
        Route("/api/surveys/sheet.pdf", sheet_pdf),
        Route("/api/surveys/sketches/{reading}.svg", sketch),
        Route(SURVEY, survey),
        Route(f"{SURVEY}/text", survey_text),
        Route(f"{SURVEY}/reading", set_reading, methods=["PUT"]),
        Route(f"{SURVEY}/field", set_field, methods=["PUT"]),
        Route(f"{SURVEY}/undo", turn_survey, methods=["POST"]),
        Route(f"{SURVEY}/redo", turn_survey, methods=["POST"]),
        Route(f"{SURVEY}/draft", draft, methods=["POST"]),
        Route("/api/plans/{id}/shell", about_plan),
        Route("/api/plans/{id}/shell/scan", set_scan, methods=["POST"]),
        Route("/api/plans/{id}/shell/pick", pick, methods=["POST"]),
    ),
    work={"obstacles": "cagewright.workbench.pages.shell_obstacles:obstacles_work"},
)
