"""Open plans: each plan's current text, what it makes, its log and its file, kept in step."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

from cagewright.base.cache import Cache
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.job.history.file import BARRED, GONE, PlanFile
from cagewright.job.history.log import EditsLog, Revision, Step, hash_of
from cagewright.job.history.text import bytes_of, document_of, named_in, strays_of
from cagewright.plan.write import Document

if TYPE_CHECKING:
    from cagewright.job.opening import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanMoment:
    """One revision of one plan.

    Attributes:
        number: grows by one with every edit, undo and redo.
        job: what it makes; None where the text has problems.
        shown: what is seen of it: the same, or a cage with blemishes that cannot be made yet.
    """

    number: int
    document: Document
    job: Job | None
    problems: tuple[Problem, ...]
    shown: Job | None = None


Edit = Callable[[PlanMoment], tuple[Document, str]]
"""From the current moment to the new document, and what was done in words."""
Keep = Literal["mine", "disk"]
Made = tuple["Job | None", tuple[Problem, ...], "Job | None"]
"""What a text makes, or None; what is wrong with it; and what of it can be shown."""
Stats = tuple[tuple[str, int, int], ...]
"""Name, time and size of each file that a plan's text names."""
MOST_MADE = 12
"""Texts whose jobs are kept: the newest edits, trials and undone steps."""
MOST_KEPT = 60
"""Results of stages kept for an open plan."""


def edited(moment: PlanMoment, asked: dict[str, Any]) -> tuple[Document, str]:
    """The document after the edit that a page asks for, and what was done in words.

    Raises:
        ProblemsFound: the edit has problems.
    """
    from cagewright.change.edit import edit  # with the stages, which the folder's page does not wait for

    job = moment.shown
    return edit(moment.document, job.plan if job else None, job.cage if job else None, asked)


class Stale(Exception):
    """What was asked for was thought of at another revision than the current one."""


class EditRefused(Exception):
    """What was asked for cannot be done now; its text says why in words."""


class OpenPlan:
    """One open plan.

    Attributes:
        id: its name in addresses.
        folder: the shop folder; no file outside it is named by an edit.
        stood: the newest job that the plan made, to show while its text has problems.
        lock: held while the plan changes.
    """

    def __init__(self, *, id: str, name: str, path: Path, log: EditsLog, folder: Path) -> None:
        """The plan in that file, where its log left it.

        Args:
            id: its name in addresses.
            name: its path from the folder, by which the log knows it.
            path: its file.
            log: of its folder.
            folder: the shop folder.

        Raises:
            ProblemsFound: there is neither a file nor a log of it.
        """
        self.id, self.path, self.folder, self.lock = id, path, folder, threading.RLock()
        self.stood: Job | None = None
        self._name, self._log, self._file = name, log, PlanFile(path)
        self._cache: Cache | None = None
        self._made: OrderedDict[tuple[str, Stats], Made] = OrderedDict()
        self._making = threading.Lock()
        self._theirs: Step | None = None
        self._ahead: tuple[int, str | None] = (-1, None)
        last = log.last(name)
        self._now = last or self._first()
        self.moment = self._moment_of(self._now)
        self.stood = self.moment.job
        self._beside = self._stats(self.moment.document)
        if last is not None:
            self._resume(last)

    # -- what is asked

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
        if self._theirs is not None:
            return (
                f"{self.path.name} was changed by another program while edits made here were not in it yet."
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
        if self._ahead[0] != self._now.number:
            ahead = self._log.ahead(self._now.step)
            self._ahead = (self._now.number, ahead.words if ahead else None)
        return self._ahead[1]

    # -- what is done

    def tried(self, number: int, edit: Edit) -> tuple[PlanMoment, PlanMoment, str]:
        """The current moment, what the edit would make of it, and its words; nothing is kept.

        Raises:
            ProblemsFound: the edit, or the plan after it, has problems.
            Stale: the plan has moved on.
        """
        now = self.moment
        if number != now.number:
            raise Stale
        new, words = self._edited(edit)
        made = self._moment(new, now.number)
        if made.shown is None:
            raise ProblemsFound(made.problems)
        return now, made, words

    def edit(self, number: int, edit: Edit, *, stroke: str | None = None) -> PlanMoment:
        """The moment after the edit, in the log and in the plan file.

        Args:
            number: the revision that the edit was thought of at.
            edit: from the current moment to the new document and what was done, in words.
            stroke: a name that several edits share; undo takes them back together.

        Raises:
            ProblemsFound: the edit, or the plan after it, has problems; nothing is changed.
            Stale: the plan has moved on.
        """
        with self.lock:
            self._meet(number)
            new, words = self._edited(edit)
            data = bytes_of(new)
            if hash_of(data) == self._now.step.hash:
                return self.moment
            made = self._moment(new, number + 1)
            if made.shown is None and self.moment.shown is not None:
                raise ProblemsFound(made.problems)
            before = self._before(stroke)
            self._now = self._log.add(
                self._name, data, before=before, words=words, part_of=stroke, on_disk=self._file.hash
            )
            return self._show(made, data)

    def undo(self, number: int) -> PlanMoment:
        """The moment before the last step.

        Raises:
            Stale: the plan has moved on.
            EditRefused: there is nothing to undo.
        """
        with self.lock:
            self._meet(number)
            if self._now.step.before is None:
                raise EditRefused("There is nothing to undo.")
            return self._turn_to(self._log.step(self._now.step.before), "undo")

    def redo(self, number: int) -> PlanMoment:
        """The moment after the step that was undone last.

        Raises:
            Stale: the plan has moved on.
            EditRefused: there is nothing to redo.
        """
        with self.lock:
            self._meet(number)
            ahead = self._log.ahead(self._now.step)
            if ahead is None:
                raise EditRefused("There is nothing to redo.")
            return self._turn_to(ahead, "redo")

    def settle(self, keep: Keep) -> PlanMoment:
        """The moment after a conflict is decided: what is kept is current and in the file, the other logged.

        Args:
            keep: ``mine`` for what is here, ``disk`` for what the file holds.

        Raises:
            EditRefused: there is no conflict, or nothing on the disk to keep.
        """
        with self.lock:
            self._look()
            if self.conflict is None:
                raise EditRefused("There is no conflict to decide.")
            if keep == "mine":
                self._theirs = None
                self._file.give_up()
                return self._turn_to(self._now.step, "kept")
            if self._theirs is None:
                raise EditRefused(f"There is no {self.path.name} on the disk to keep.")
            self._theirs = None
            return self._from_disk(f"took {self.path.name} as another program left it")

    def look(self) -> bool:
        """Whether anything changed because another program changed a file of the plan."""
        with self.lock:
            before = (self._now.number, self.conflict, self.saved, self.trouble)
            self._look()
            return before != (self._now.number, self.conflict, self.saved, self.trouble)

    # -- inside

    def _edited(self, edit: Edit) -> tuple[Document, str]:
        """What the edit makes of the current moment.

        Raises:
            ProblemsFound: the edit has problems, or names a file outside the shop folder.
        """
        before = self.moment.document
        after, words = edit(self.moment)
        strays = strays_of(after, self.path.parent, self.folder, known=set(named_in(before)))
        if strays:
            raise ProblemsFound(strays)
        return after, words

    def _meet(self, number: int) -> None:
        self._look()
        if number != self._now.number:
            raise Stale

    def _look(self) -> None:
        """Take up what another program did; try again to save where saving failed."""
        was = self._file.hash
        if self._file.look():
            self._disk_changed(in_step=was == self._now.step.hash)
        elif not self.saved and self.conflict is None:
            self._save(self._log.text(self._now.step))
        if self._stats(self.moment.document) != self._beside:
            self._turn_to(self._now.step, "beside")

    def _disk_changed(self, *, in_step: bool) -> None:
        """Take up what the file holds now.

        Args:
            in_step: whether it held the current revision before.
        """
        if self._file.hash in {self._now.step.hash, GONE, BARRED}:
            self._theirs = None
        elif in_step:
            self._from_disk(f"changed in {self.path.name} by another program")
        else:
            words = f"{self.path.name} as another program left it"
            self._theirs = self._log.kept(self._name, self._file.read(), before=self._now.step, words=words)

    def _from_disk(self, words: str) -> PlanMoment:
        data = self._file.read()
        self._now = self._log.add(
            self._name, data, before=self._now.step, words=words, on_disk=self._file.hash, how="file"
        )
        return self._show(self._moment_of(self._now), data)

    def _turn_to(self, step: Step, how: str) -> PlanMoment:
        self._now = self._log.turn_to(self._name, step, how=how, on_disk=self._file.hash)
        return self._show(self._moment_of(self._now), self._log.text(step))

    def _show(self, moment: PlanMoment, data: bytes) -> PlanMoment:
        """The moment, current from now on; the log holds it already."""
        self.moment = moment
        self.stood = moment.job or self.stood
        self._beside = self._stats(self.moment.document)
        self._save(data)
        return moment

    def _save(self, data: bytes) -> None:
        if self.conflict is None and self._file.hash != BARRED and self._file.write(data):
            self._log.mark_saved(self._name, self._now.number)

    def _before(self, stroke: str | None) -> Step:
        """The step that a new one is made from: the one before the stroke that it is part of."""
        last = self._now.step
        if stroke is None or stroke != last.part_of or last.before is None:
            return last
        return self._log.step(last.before)

    def _first(self) -> Revision:
        if self._file.hash in {GONE, BARRED}:
            found = self._file.trouble or f"there is no file {self.path.name}"
            where = Where(file=self.path.name)
            raise ProblemsFound([
                Problem(code="no-file", where=where, found=found, wanted="wanted a plan file")
            ])
        data = self._file.read()
        return self._log.add(
            self._name, data, before=None, words="opened", on_disk=self._file.hash, how="opened"
        )

    def _resume(self, last: Revision) -> None:
        """Take up a logged plan.

        Its file holds the last revision; or the one before, where the program was ended before it could write
        the file; or what another program wrote since.
        """
        if self._file.hash in {GONE, BARRED, last.step.hash}:
            return
        saved = self._log.saved(self._name) == last.number
        if not saved and self._file.hash == last.on_disk:
            self._save(self._log.text(last.step))
        else:
            self._disk_changed(in_step=saved)

    def _moment_of(self, revision: Revision) -> PlanMoment:
        text = document_of(self._log.text(revision.step), file=self.path.as_posix())
        return self._moment(text, revision.number)

    def _moment(self, text: Document, number: int) -> PlanMoment:
        job, problems, shown = self._job(text)
        return PlanMoment(number=number, document=text, job=job, problems=problems, shown=shown)

    def _job(self, text: Document) -> Made:
        """What the text makes, or what is wrong with it; kept, as what was tried is often done next."""
        key = (hash_of(bytes_of(text)), self._stats(text))
        with self._making:
            made = self._made.pop(key, None)
        if made is None:
            made = self._made_now(text)
        with self._making:
            self._made[key] = made
            while len(self._made) > MOST_MADE:
                self._made.popitem(last=False)
        return made

    def _made_now(self, text: Document) -> Made:
        # loaded here because it takes a second or two: the folder's page does not wait for it
        from cagewright.job.opening import job_of, shown_job

        self._cache = self._cache or Cache(MOST_KEPT)
        try:
            made = job_of(text.source, self.path, self._cache)
        except ProblemsFound as found:
            problems = found.problems
        else:
            return made, (), made
        try:
            # results of this one are not kept: what is made from a sound cage must never come from here
            shown, blemishes = shown_job(text.source, self.path)
        except ProblemsFound:
            return None, problems, None
        return None, blemishes, shown

    def _stats(self, text: Document) -> Stats:
        """What changes where a file that the plan's text names is changed."""
        found: list[tuple[str, int, int]] = []
        for name in named_in(text):
            try:
                stat = (self.path.parent / name).stat()
            except (OSError, ValueError):
                found.append((name, 0, 0))
            else:
                found.append((name, stat.st_mtime_ns, stat.st_size))
        return tuple(found)
