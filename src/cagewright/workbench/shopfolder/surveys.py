"""The survey files of a shop folder: found by id, and edited in place with their comments kept."""

from __future__ import annotations

import threading
from collections.abc import Callable
from itertools import chain, count
from pathlib import Path
from typing import Literal

from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.job.history.log import Step, hash_of
from cagewright.job.history.open_plan import EditRefused
from cagewright.job.shell import survey_named
from cagewright.job.survey import Document, OpenSurvey, body_named, open_survey, saved, tried
from cagewright.workbench.shopfolder.desk import Desk, slug

_writing = threading.Lock()


class SurveyChanged(Exception):
    """The survey's file was changed since it was shown."""


def surveys_of(desk: Desk) -> dict[str, Path]:
    """The survey files of the desk's folder by id, in the order of their names, and after them the bodies."""
    found: dict[str, Path] = {}
    for name in (*desk.surveys(), *desk.bodies()):
        stem = slug(Path(name).with_suffix("").as_posix())
        id = next(n for n in chain([stem], (f"{stem}-{i}" for i in count(2))) if n not in found)
        found[id] = desk.folder / name
    return found


def opened(desk: Desk, id: str) -> OpenSurvey:
    """The survey of that id.

    Args:
        desk: of the shop folder.
        id: as listed; nothing else is looked for on the disk.

    Raises:
        KeyError: the desk has no such survey.
        ProblemsFound: the file is not YAML with keys at its top.
    """
    return open_survey(surveys_of(desk)[id])


def added(desk: Desk, title: str, text: str, *, kind: Literal["survey", "body"] = "survey") -> str:
    """The id of a new survey or body of that text, in a file named after its title."""
    stem = f"{slug(title)}-{kind}"
    names = chain([stem], (f"{stem}-{i}" for i in count(2)))
    path = next(p for p in (desk.folder / f"{name}.yaml" for name in names) if not p.exists())
    write_atomically(path, text.encode())
    return next(id for id, where in surveys_of(desk).items() if where == path)


def standing_on(desk: Desk, survey: OpenSurvey) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Whose readings change with that survey's: other surveys by their files, and plans by their titles.

    None of a survey that has its readings to itself. A plan is one that was drafted from any of them.
    """
    body = survey.body_path or survey.path
    on = [path for path in (desk.folder / name for name in desk.surveys()) if body_named(path) == body]
    if not on:
        return (), ()
    names = {path.name for path in on}
    plans = [one.title for one in desk.plans() if survey_named(_text(desk.folder / one.name)) in names]
    return tuple(path.name for path in on if path != survey.path), tuple(plans)


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8", errors="replace")


def edited(
    desk: Desk,
    id: str,
    mark: str,
    edit: Callable[[Document], Document],
    words: str,
    *,
    readings: bool = False,
) -> OpenSurvey:
    """The survey after the edit, saved, and in the log for undo.

    Args:
        desk: of the shop folder.
        id: of the survey.
        mark: of the text that the edit was thought of at.
        edit: from the text to the new text.
        words: what is done, as undo says it.
        readings: the edit is of readings, which stand in its body's file where it names one.

    Raises:
        KeyError: the desk has no such survey.
        SurveyChanged: the text is another by now.
        ProblemsFound: the edit, or the survey after it, has problems the survey did not have; nothing is
            saved.
    """
    with _writing:
        now = opened(desk, id)
        if now.mark != mark:
            raise SurveyChanged
        after = tried(now, edit, readings=readings)
        if after.problems and not now.problems:
            raise ProblemsFound(after.problems)
        path = (now.body_path if readings else None) or now.path
        before = _standing(desk, path)
        saved(after)
        data = path.read_bytes()
        if hash_of(data) != before.hash:
            desk.log.add(_name(desk, path), data, before=before, words=words, on_disk=hash_of(data))
        return after


def turned(desk: Desk, id: str, mark: str, way: Literal["undo", "redo"]) -> tuple[OpenSurvey, str]:
    """The survey with its last change taken back, or done again, and what that change was; saved.

    Args:
        desk: of the shop folder.
        id: of the survey.
        mark: of the text that the page shows.
        way: back or forth.

    Raises:
        KeyError: the desk has no such survey.
        SurveyChanged: the text is another by now.
        EditRefused: there is nothing to take back, or to do again.
        ProblemsFound: the file cannot be written.
    """
    with _writing:
        now = opened(desk, id)
        if now.mark != mark:
            raise SurveyChanged
        path = _turned_last(desk, now, way)
        here = _standing(desk, path)
        there = _before(desk, here) if way == "undo" else desk.log.ahead(here)
        if there is None:
            raise EditRefused(
                "There is nothing to take back." if way == "undo" else "Nothing was taken back."
            )
        data = desk.log.text(there)
        write_atomically(path, data)
        desk.log.turn_to(_name(desk, path), there, how=way, on_disk=hash_of(data))
        return open_survey(now.path), here.words if way == "undo" else there.words


def turns(desk: Desk, survey: OpenSurvey) -> tuple[str | None, str | None]:
    """What undo would take back and redo do again, in words; None where there is nothing."""
    undo = _turns_of(desk, _turned_last(desk, survey, "undo"))[0]
    return undo, _turns_of(desk, _turned_last(desk, survey, "redo"))[1]


def _turned_last(desk: Desk, survey: OpenSurvey, way: Literal["undo", "redo"]) -> Path:
    """Of the survey's file and its body's the one whose change would be taken back or done again."""
    paths = [survey.path, *([survey.body_path] if survey.body_path else [])]
    able = [path for path in paths if _turns_of(desk, path)[way == "redo"] is not None]
    if way == "redo":
        return able[0] if able else survey.path
    return max(able, key=lambda path: _standing(desk, path).id, default=survey.path)


def _turns_of(desk: Desk, path: Path) -> tuple[str | None, str | None]:
    last = desk.log.last(_name(desk, path))
    if last is None:
        return None, None
    if last.step.hash != hash_of(path.read_bytes()):
        return _elsewhere(path), None
    ahead = desk.log.ahead(last.step)
    return last.step.words if last.step.before is not None else None, ahead.words if ahead else None


def _standing(desk: Desk, path: Path) -> Step:
    """The step that the file holds, put into the log where another program wrote it."""
    name, data = _name(desk, path), path.read_bytes()
    last = desk.log.last(name)
    if last is not None and last.step.hash == hash_of(data):
        return last.step
    before = last.step if last else None
    words = _elsewhere(path) if last else "as it was found"
    return desk.log.add(name, data, before=before, words=words, on_disk=hash_of(data)).step


def _before(desk: Desk, step: Step) -> Step | None:
    return None if step.before is None else desk.log.step(step.before)


def _elsewhere(path: Path) -> str:
    return f"changed in {path.name} by another program"


def _name(desk: Desk, path: Path) -> str:
    return path.relative_to(desk.folder).as_posix()
