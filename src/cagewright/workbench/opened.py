"""Open plans: each plan's current text, what it makes, its log and its file, kept in step."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.plan.text import MOST_BYTES, decoded, failed, parse
from cagewright.plan.write import Document
from cagewright.workbench.edits_log import EditsLog, Revision, Step, hash_of
from cagewright.workbench.plan_file import BARRED, GONE, PlanFile

if TYPE_CHECKING:
    from cagewright.job import Job, Kept


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """One revision of one plan.

    Attributes:
        number: grows by one with every edit, undo and redo.
        document: the plan's text.
        job: what it makes; None where the text has problems.
        problems: of the text.
    """

    number: int
    document: Document
    job: Job | None
    problems: tuple[Problem, ...]


class Stale(Exception):
    """What was asked for was thought of at another revision than the current one."""


class Refused(Exception):
    """What was asked for cannot be done now; its text says why in words."""


def document_of(data: bytes, *, file: str) -> Document:
    """The bytes of a plan file as a document, with its problems where it is none."""
    mark = "\ufeff" if data.startswith(b"\xef\xbb\xbf") else ""
    text = decoded(data, file=file)
    source = failed([text], file=file) if isinstance(text, Problem) else parse(text, file=file)
    return Document(source=source, newline="\r\n" if "\r\n" in source.text else "\n", mark=mark)


def bytes_of(document: Document) -> bytes:
    """What the plan file holds."""
    return (document.mark + document.text).encode("utf-8")


class Opened:
    """One open plan.

    Attributes:
        id: its name in addresses.
        path: its file.
        moment: the current revision.
        stood: the newest job that the plan made, to show while its text has problems.
        lock: held while the plan changes.
    """

    def __init__(self, *, id: str, name: str, path: Path, log: EditsLog) -> None:
        """The plan in that file, where its log left it.

        Args:
            id: its name in addresses.
            name: its path from the folder, by which the log knows it.
            path: its file.
            log: of its folder.

        Raises:
            ProblemsFound: there is neither a file nor a log of it.
        """
        self.id, self.path, self.lock = id, path, threading.RLock()
        self.stood: Job | None = None
        self._name, self._log, self._file = name, log, PlanFile(path)
        self._kept: Kept | None = None
        self._conflict: Step | None = None
        self._take_up()

    # -- what is asked

    @property
    def number(self) -> int:
        """The current revision's number."""
        return self._now.number

    @property
    def saved(self) -> bool:
        """Whether the plan file holds the current revision."""
        return self._file.hash == self._now.step.hash

    @property
    def trouble(self) -> str | None:
        """Why the plan file does not hold the current revision, in words."""
        return None if self.saved else self._file.trouble

    @property
    def conflict(self) -> str | None:
        """What stands in the way of saving until the builder decides, in words."""
        if self._conflict is not None:
            return (
                f"{self.path.name} was changed by another program while edits here were not saved in it."
                " Keep one; the other stays in the log."
            )
        if self._file.hash == GONE:
            return f"{self.path.name} is no longer in its folder. Keep what is here to write it again."
        return None

    @property
    def undo_words(self) -> str | None:
        """What undo would take back; None where there is nothing."""
        return self._now.step.words if self._now.step.before is not None else None

    @property
    def redo_words(self) -> str | None:
        """What redo would do again; None where there is nothing."""
        ahead = self._log.ahead(self._now.step)
        return ahead and ahead.words

    # -- what is done

    def tried(self, edit: Callable[[Moment], tuple[Document, str]]) -> tuple[Moment, str]:
        """What the edit would give, and its words; nothing is kept.

        Raises:
            ProblemsFound: the edit, or the plan after it, has problems.
        """
        new, words = edit(self.moment)
        made = self._moment(new, self.moment.number)
        if made.problems:
            raise ProblemsFound(made.problems)
        return made, words

    def edit(
        self,
        number: int,
        edit: Callable[[Moment], tuple[Document, str]],
        *,
        part_of: str | None = None,
    ) -> Moment:
        """The moment after the edit, in the log and in the plan file.

        Args:
            number: the revision that the edit was thought of at.
            edit: from the current moment to the new document and what was done, in words.
            part_of: a name that the edits of one stroke share; undo takes them back together.

        Raises:
            ProblemsFound: the edit, or the plan after it, has problems; nothing is changed.
            Stale: the plan has moved on.
        """
        with self.lock:
            self._meet(number)
            new, words = edit(self.moment)
            made = self._moment(new, number + 1)
            if made.problems:
                raise ProblemsFound(made.problems)
            last = self._now.step
            joined = part_of is not None and part_of == last.part_of and last.before is not None
            before = self._log.step(last.before) if joined and last.before is not None else last
            data = bytes_of(new)
            self._now = self._log.add(
                self._name, data, before=before, words=words, part_of=part_of, on_disk=self._file.hash
            )
            return self._show(made, data)

    def undo(self, number: int) -> Moment:
        """The moment before the last step.

        Raises:
            Stale: the plan has moved on.
            Refused: there is nothing to undo.
        """
        with self.lock:
            self._meet(number)
            if self._now.step.before is None:
                raise Refused("There is nothing to undo.")
            return self._turn_to(self._log.step(self._now.step.before), "undo")

    def redo(self, number: int) -> Moment:
        """The moment after the step that was undone last.

        Raises:
            Stale: the plan has moved on.
            Refused: there is nothing to redo.
        """
        with self.lock:
            self._meet(number)
            ahead = self._log.ahead(self._now.step)
            if ahead is None:
                raise Refused("There is nothing to redo.")
            return self._turn_to(ahead, "redo")

    def settle(self, keep: str) -> Moment:
        """The moment after a conflict is decided: what is kept is current and in the file, the other in the log.

        Args:
            keep: ``mine`` for what is here, ``disk`` for what the file holds.

        Raises:
            Refused: there is no conflict, or nothing on the disk to keep.
        """
        with self.lock:
            self._file.look()
            if self.conflict is None:
                raise Refused("There is no conflict to decide.")
            theirs, self._conflict = self._conflict, None
            if keep == "mine":
                self._file.forget()
                self._now = self._log.turn_to(self._name, self._now.step, how="kept", on_disk=self._file.hash)
                return self._show(replace(self.moment, number=self.number), self._log.text(self._now.step))
            if theirs is None:
                raise Refused(f"There is no {self.path.name} on the disk to keep.")
            return self._from_disk(self._file.read(), "the file as another program left it")

    def look(self) -> bool:
        """Whether the plan changed because its file was changed by another program."""
        with self.lock:
            before = (self.number, self.conflict, self.saved)
            self._look()
            return before != (self.number, self.conflict, self.saved)

    # -- inside

    def _meet(self, number: int) -> None:
        self._look()
        if number != self.number:
            raise Stale

    def _look(self) -> None:
        """Take up what another program did to the file; try again to save where saving failed."""
        was = self._file.hash
        if self._file.look():
            self._disk_changed(was)
        elif not self.saved and self.conflict is None:
            self._save(self._log.text(self._now.step))

    def _disk_changed(self, was: str) -> None:
        if self._file.hash in {self._now.step.hash, GONE, BARRED}:
            self._conflict = None
        elif was == self._now.step.hash and self._conflict is None:
            self._from_disk(self._file.read(), f"changed in {self.path.name} by another program")
        else:
            self._conflict = self._log.kept(
                self._name,
                self._file.read(),
                before=self._now.step,
                words=f"{self.path.name} as another program left it",
            )

    def _from_disk(self, data: bytes, words: str) -> Moment:
        self._now = self._log.add(
            self._name, data, before=self._now.step, words=words, on_disk=hash_of(data), how="file"
        )
        return self._show(self._moment(document_of(data, file=self.path.name), self._now.number), data)

    def _turn_to(self, step: Step, how: str) -> Moment:
        data = self._log.text(step)
        self._now = self._log.turn_to(self._name, step, how=how, on_disk=self._file.hash)
        return self._show(self._moment(document_of(data, file=self.path.name), self._now.number), data)

    def _show(self, moment: Moment, data: bytes) -> Moment:
        """The moment, current from now on; the log holds it already."""
        self.moment = moment
        self.stood = moment.job or self.stood
        self._save(data)
        return moment

    def _save(self, data: bytes) -> None:
        if self.conflict is None and self._file.hash != BARRED and self._file.write(data):
            self._log.mark_saved(self._name, self._now.number)

    def _take_up(self) -> None:
        last = self._log.last(self._name)
        if last is None:
            self._first()
        else:
            self._now = last
            self._resume(last)

    def _first(self) -> None:
        if self._file.hash == GONE:
            found, wanted = f"there is no file {self.path.name}", "wanted a plan file"
            raise ProblemsFound([
                Problem(code="no-file", where=Where(file=self.path.name), found=found, wanted=wanted)
            ])
        data = self._file.read()
        self._now = self._log.add(
            self._name, data, before=None, words="opened", on_disk=hash_of(data), how="opened"
        )
        self._show(self._moment(document_of(data, file=self.path.name), self._now.number), data)

    def _resume(self, last: Revision) -> None:
        """Take up a logged plan: its file holds the last revision, the one before where the program was ended
        before it could write the file, or what another program wrote since."""
        data = self._log.text(last.step)
        self.moment = self._moment(document_of(data, file=self.path.name), last.number)
        self.stood = self.moment.job
        if self._file.hash in {GONE, BARRED}:
            return
        saved = self._log.saved(self._name) == last.number
        if not saved and self._file.hash == last.on_disk:
            self._save(data)
        elif self._file.hash != last.step.hash:
            self._disk_changed(last.step.hash if saved else "")

    def _moment(self, new: Document, number: int) -> Moment:
        job, problems = self._job(new)
        return Moment(number=number, document=new, job=job, problems=problems)

    def _job(self, new: Document) -> tuple[Job | None, tuple[Problem, ...]]:
        from cagewright.job import (
            Kept,
            job_of,
        )  # takes a second to load: the folder page does not wait for it

        self._kept = self._kept or Kept(40)
        try:
            return job_of(new.source, self.path, self._kept), ()
        except ProblemsFound as found:
            return None, found.problems
