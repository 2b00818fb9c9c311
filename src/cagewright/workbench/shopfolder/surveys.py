"""The survey files of a shop folder: found by id, read, edited in place with their comments kept."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass
from hashlib import blake2b
from itertools import chain, count
from pathlib import Path

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.survey import Survey, read_survey_text
from cagewright.plan.write import Document, load_document, save
from cagewright.workbench.shopfolder.desk import Desk, slug

_writing = threading.Lock()


class Moved(Exception):
    """The survey's file was changed since it was shown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenSurvey:
    """A survey's file as it stands.

    Attributes:
        id: its name in addresses.
        path: its file.
        document: its text.
        survey: as read; None where the text has problems.
        problems: of the text.
    """

    id: str
    path: Path
    document: Document
    survey: Survey | None
    problems: tuple[Problem, ...]

    @property
    def mark(self) -> str:
        """Tells this text from every other."""
        return mark_of(self.document.text)


def mark_of(text: str) -> str:
    """A short mark that tells the text from every other."""
    return blake2b(text.encode("utf-8", "replace"), digest_size=8).hexdigest()


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
    path = surveys_of(desk)[id]
    return _opened(id, path, load_document(path))


def _opened(id: str, path: Path, document: Document) -> OpenSurvey:
    try:
        survey = read_survey_text(document.text, file=path.name)
    except ProblemsFound as found:
        return OpenSurvey(id=id, path=path, document=document, survey=None, problems=found.problems)
    return OpenSurvey(id=id, path=path, document=document, survey=survey, problems=())


def tried(survey: OpenSurvey, edit: Callable[[Document], Document]) -> OpenSurvey:
    """The survey after the edit; nothing is saved.

    Raises:
        ProblemsFound: the edit cannot be made.
    """
    return _opened(survey.id, survey.path, edit(survey.document))


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
        save(after.document, now.path)
        return after
