"""The survey files of a shop folder: found by id, and edited in place with their comments kept."""

from __future__ import annotations

import threading
from collections.abc import Callable
from itertools import chain, count
from pathlib import Path

from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.job.survey import Document, OpenSurvey, open_survey, saved, tried
from cagewright.workbench.shopfolder.desk import Desk, slug

_writing = threading.Lock()


class Moved(Exception):
    """The survey's file was changed since it was shown."""


def surveys_of(desk: Desk) -> dict[str, Path]:
    """The survey files of the desk's folder by id, in the order of their names."""
    found: dict[str, Path] = {}
    for name in desk.surveys():
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


def added(desk: Desk, title: str, text: str) -> str:
    """The id of a new survey of that text, in a file named after its title."""
    stem = f"{slug(title)}-survey"
    names = chain([stem], (f"{stem}-{i}" for i in count(2)))
    path = next(p for p in (desk.folder / f"{name}.yaml" for name in names) if not p.exists())
    write_atomically(path, text.encode())
    return next(id for id, where in surveys_of(desk).items() if where == path)


def edited(desk: Desk, id: str, mark: str, edit: Callable[[Document], Document]) -> OpenSurvey:
    """The survey after the edit, saved.

    Args:
        desk: of the shop folder.
        id: of the survey.
        mark: of the text that the edit was thought of at.
        edit: from the text to the new text.

    Raises:
        KeyError: the desk has no such survey.
        Moved: the text is another by now.
        ProblemsFound: the edit, or the survey after it, has problems the survey did not have; nothing is
            saved.
    """
    with _writing:
        now = opened(desk, id)
        if now.mark != mark:
            raise Moved
        after = tried(now, edit)
        if after.problems and not now.problems:
            raise ProblemsFound(after.problems)
        return saved(after)
