"""The Shell page: tape readings with a sketch each, a first plan from them, and the scan of the body."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.responses import Response
from starlette.routing import Route

from cagewright.base.cautions import CAUTIONS
from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.job.history.open_plan import Refused, Stale
from cagewright.job.history.state import state_of
from cagewright.workbench.pages import Page
from cagewright.workbench.pages.asked_for import answer, words_in
from cagewright.workbench.pages.folder import ROUTES as FOLDER_ROUTES
from cagewright.workbench.server.request import body_of, number_of, opened_of
from cagewright.workbench.shopfolder.surveys import Moved, OpenSurvey, edited, opened, surveys_of, tried

if TYPE_CHECKING:
    from starlette.requests import Request

    from cagewright.job.history.open_plan import Moment, OpenPlan
    from cagewright.plan.write import Document
    from cagewright.workbench.shopfolder.desk import Desk

HERE = Path(__file__).parents[1]
_FROM = re.compile(r"^# Drafted from (\S+?)\.? ", re.MULTILINE)
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
    found = _FROM.search(plan.moment.document.text[:2000])
    drafted = [id for id, path in surveys.items() if found and path.name == found[1]]
    if drafted:
        return drafted[0]
    return next(iter(surveys)) if len(surveys) == 1 else None


# --- the page


def survey_page(request: Request) -> Response:
    """The Shell page of a survey that no plan stands on yet."""
    survey = survey_of(request)
    bundle = (HERE / "static" / "look.css").is_file()
    given = {
        "page": "shell",
        "pages": (),
        "plan": None,
        "survey": survey.id,
        "cautions": CAUTIONS,
        "bundle": bundle,
    }
    return request.app.state.templates.TemplateResponse(request, "shell.html", given)


def _listed(desk: Desk) -> list[dict[str, str]]:
    return [{"id": id, "file": path.name} for id, path in surveys_of(desk).items()]


def about_plan(request: Request) -> Response:
    """The surveys of the folder, the one the plan came from, and the plan's scan."""
    from cagewright.workbench.pages.shell_scan import UNITS, named, scan_shown

    plan = opened_of(request)
    desk: Desk = request.app.state.desk
    job = plan.moment.job or plan.stood
    return answer({
        "surveys": _listed(desk),
        "survey": own_survey(plan, surveys_of(desk)),
        "scan": scan_shown(job) if job else None,
        "points": named(job) if job else {},
        "scan_units": UNITS,
    })


# --- the survey


def _shown(survey: OpenSurvey, folder: Path) -> dict[str, Any]:
    from cagewright.check.library import book_ids, built_in
    from cagewright.workbench.pages.shell_readings import readings_shown
    from cagewright.workbench.pages.shell_wishes import fields_shown

    shown = readings_shown(survey)
    if survey.survey is not None:
        shown |= fields_shown(survey.survey.file, survey.document)
    books = [{"id": id, "title": f"{built_in(id).title}, {built_in(id).edition}"} for id in book_ids()]
    return shown | {"books": books + [{"id": p.name, "title": p.stem} for p in sorted(folder.glob("*.toml"))]}


def survey(request: Request) -> Response:
    """The survey's readings and fields, and what is said of them."""
    found = survey_of(request)
    return answer(_shown(found, found.path.parent))


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
    from cagewright.workbench.pages.shell_readings import BadReading, with_reading

    asked = await body_of(request)
    texts = [str(t)[:60] for t in asked.get("texts") or []]
    name, part = words_in(asked, "reading"), words_in(asked, "part")
    units = await run_in_threadpool(_units, request)
    try:
        return await _edited(request, asked, lambda text: with_reading(text, name, part, texts, units))
    except BadReading as wrong:
        return answer({"error": str(wrong), "part": wrong.part, "value": wrong.value}, status=422)
    except KeyError:
        raise HTTPException(400, "There is no such reading.") from None


async def set_field(request: Request) -> Response:
    """One field of the car, the driver or the wishes set.

    Raises:
        HTTPException: there is no such field.
    """
    from cagewright.workbench.pages.shell_wishes import BadField, with_field

    asked = await body_of(request)
    units = await run_in_threadpool(_units, request)
    books = await run_in_threadpool(_book_ids, request)
    name, typed = words_in(asked, "field"), asked.get("value")
    try:
        return await _edited(request, asked, lambda text: with_field(text, name, typed, units, books))
    except BadField as wrong:
        return answer({"error": str(wrong)}, status=422)
    except KeyError:
        raise HTTPException(400, "There is no such field.") from None


def _units(request: Request) -> Any:
    return "in" if survey_of(request).document.source.data.get("units") == "in" else "mm"


def _book_ids(request: Request) -> tuple[str, ...]:
    from cagewright.check.library import book_ids

    return (*book_ids(), *(path.name for path in survey_of(request).path.parent.glob("*.toml")))


async def _edited(request: Request, asked: dict[str, Any], edit: Callable[[Document], Document]) -> Response:
    desk: Desk = request.app.state.desk
    id, mark, trial = request.path_params["survey"], words_in(asked, "mark"), asked.get("trial") is True

    def done() -> dict[str, Any]:
        now = survey_of(request)
        after = tried(now, edit) if trial else edited(desk, id, mark, edit)
        return _shown(after, now.path.parent)

    try:
        return answer(await run_in_threadpool(done))
    except Moved:
        now = await run_in_threadpool(survey_of, request)
        shown = await run_in_threadpool(_shown, now, now.path.parent)
        return answer({"error": _STALE, "now": shown}, status=412)


async def draft(request: Request) -> Response:
    """A first plan from the survey, in a file of its own; ``name`` says what to call it."""
    asked = await body_of(request)
    return answer(await run_in_threadpool(_drafted, request, words_in(asked, "name")), status=201)


def _drafted(request: Request, name: str) -> dict[str, Any]:
    from cagewright.workbench.pages.shell_draft import draft_words, drafted

    desk: Desk = request.app.state.desk
    found = survey_of(request)
    if found.survey is None:
        raise ProblemsFound(found.problems)
    made, text = drafted(found.survey, found.path.parent, name=found.path.name)
    id = desk.add(name or found.survey.file.title, text.encode())
    return {"id": id, "address": f"/plans/{id}/cage", **draft_words(made)}


def sketch(request: Request) -> Response:
    """Where the tape goes for one reading, as a picture.

    Raises:
        HTTPException: there is no such reading.
    """
    from cagewright.workbench.pages.shell_readings import sketch_svg

    try:
        text = sketch_svg(request.path_params["reading"])
    except KeyError:
        raise HTTPException(404) from None
    return Response(text, media_type="image/svg+xml", headers={"cache-control": "max-age=3600"})


def sheet_pdf(request: Request) -> Response:
    """The survey sheet, to print and take to the car."""
    from cagewright.book.papers import drawn_paper
    from cagewright.make.survey_sheet import TITLE, survey_pages

    paper = "letter" if request.query_params.get("paper") == "letter" else "a4"
    data = drawn_paper(survey_pages(paper), paper, title=TITLE, stamp="readings only: no rules checked")
    named = {"content-disposition": f'attachment; filename="survey-sheet-{paper}.pdf"'}
    return Response(data, media_type="application/pdf", headers=named)


# --- the scan


async def set_scan(request: Request) -> Response:
    """The plan's scan named, placed anew, or taken out; an edit like any other, that undo takes back."""
    from cagewright.workbench.pages.shell_scan import with_scan, without_scan

    plan, number, asked = (
        await run_in_threadpool(opened_of, request),
        number_of(request),
        await body_of(request),
    )

    def edit(moment: Moment) -> tuple[Document, str]:
        if asked.get("remove") is True:
            return without_scan(moment.document)
        units = moment.job.plan.units if moment.job else "mm"
        return with_scan(moment.document, asked, units)

    return await _scan_edited(request, plan, number, edit)


async def _scan_edited(
    request: Request, plan: OpenPlan, number: int, edit: Callable[[Moment], tuple[Document, str]]
) -> Response:
    from cagewright.workbench.pages.shell_scan import BadScan, scan_shown

    def done() -> dict[str, Any]:
        after = plan.edit(number, edit)
        return {"state": plain(state_of(plan)), "scan": scan_shown(after.job) if after.job else None}

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
        Refused: the plan cannot be read.
    """
    from cagewright.workbench.pages.shell_scan import BadScan, picked

    plan, asked = await run_in_threadpool(opened_of, request), await body_of(request)
    job = plan.moment.job or plan.stood
    if job is None:
        raise Refused("The plan's text has problems: put them right first.")
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
        Route("/surveys/{survey}", survey_page),
        Route("/api/surveys/sheet.pdf", sheet_pdf),
        Route("/api/surveys/sketches/{reading}.svg", sketch),
        Route(SURVEY, survey),
        Route(f"{SURVEY}/text", survey_text),
        Route(f"{SURVEY}/reading", set_reading, methods=["PUT"]),
        Route(f"{SURVEY}/field", set_field, methods=["PUT"]),
        Route(f"{SURVEY}/draft", draft, methods=["POST"]),
        Route("/api/plans/{id}/shell", about_plan),
        Route("/api/plans/{id}/shell/scan", set_scan, methods=["POST"]),
        Route("/api/plans/{id}/shell/pick", pick, methods=["POST"]),
    ),
)
