"""Long work, in one process of its own that is kept warm and can be ended at any moment."""

from __future__ import annotations

import itertools
import multiprocessing as mp
import queue
import threading
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from cagewright.workbench.longwork.process import serve_work
from cagewright.workbench.server.errors import noted

MOST_TASKS = 60
"""Pieces of work that are remembered."""
MOST_BYTES = 64_000_000
"""Results that are remembered, bytes."""
MOST_WAITING = 20
"""Pieces of work that may wait."""
Tell = Callable[[str, dict[str, Any]], None]
"""Told the plan's id, and a message for its pages."""
_IDS = itertools.count(1)


class Busy(Exception):
    """Too much work is waiting; the text says so in words."""


@dataclass(slots=True, kw_only=True)
class Task:
    """A piece of work.

    Attributes:
        plan: id of the plan it is for.
        number: revision it is for.
        kind: what is to be done.
        id: its own.
        status: ``waiting``, ``running``, ``done``, ``failed`` or ``cancelled``.
        doing: what it is at, in words.
        share: how much of it is done, 0 to 1.
        result: once it is done, as JSON.
        error: why it failed, in words.
        problems: the plan's, where they made it fail.
    """

    plan: str
    number: int
    kind: str
    id: str = ""
    status: str = "waiting"
    doing: str = ""
    share: float = 0.0
    result: str | None = None
    error: str | None = None
    problems: list[dict[str, Any]] | None = None

    @property
    def over(self) -> bool:
        """Whether nothing more will come of it."""
        return self.status in {"done", "failed", "cancelled"}


class Worker:
    """The process for long work, and what is waiting for it."""

    def __init__(self, tell: Tell) -> None:
        """A worker that has not been started.

        Args:
            tell: told of progress and of how work ended, from another thread.
        """
        self._tell = tell
        self._lock = threading.RLock()
        self._tasks: OrderedDict[str, Task] = OrderedDict()
        self._waiting: queue.SimpleQueue[tuple[Task, tuple[Any, ...]] | None] = queue.SimpleQueue()
        self._process: BaseProcess | None = None
        self._pipe: Connection | None = None
        self._running: Task | None = None
        self._thread: threading.Thread | None = None
        self._closed = False

    def warm(self) -> None:
        """Start the process, so that it has loaded what it needs when it is first asked."""
        with self._lock:
            if self._thread is None and not self._closed:
                self._thread = threading.Thread(target=self._serve, name="work", daemon=True)
                self._thread.start()

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closed = True
            self._waiting.put(None)
            self._end()

    def start(self, task: Task, function: str, text: bytes, path: Path, asked: dict[str, Any]) -> None:
        """Put the task on.

        Args:
            task: what is then told of it.
            function: "module:function", called there as ``function(job, asked, step)``.
            text: what the plan file holds at that revision.
            path: the plan file.
            asked: what the page asked for.

        Raises:
            Busy: too much is waiting.
        """
        with self._lock:
            if sum(not t.over for t in self._tasks.values()) >= MOST_WAITING:
                raise Busy("Too much work is waiting already: let it finish, or stop some of it.")
            task.id = f"w{next(_IDS)}"
            self._tasks[task.id] = task
        self.warm()
        self._waiting.put((task, (function, text, str(path), asked)))

    def task(self, id: str) -> Task:
        """The task of that id; KeyError where there is none."""
        with self._lock:
            return self._tasks[id]

    def cancel(self, id: str) -> Task:
        """The task, stopped where it was not over."""
        with self._lock:
            task = self._tasks[id]
            if not task.over:
                self._over(task, "cancelled")
                if task is self._running:
                    self._end()
            return task

    def _forget(self) -> None:
        """Forget the oldest tasks that are over, never the newest, to keep what is remembered in bounds."""
        held = sum(len(t.result or "") for t in self._tasks.values())
        over = [(id, task) for id, task in self._tasks.items() if task.over]
        for id, task in over[:-1]:
            if len(self._tasks) > MOST_TASKS or held > MOST_BYTES:
                held -= len(task.result or "")
                del self._tasks[id]

    def _over(self, task: Task, status: str) -> None:
        task.status = status
        self._forget()
        told = {"type": "ended", "work": task.id, "kind": task.kind, "status": status}
        self._tell(task.plan, told | {"number": task.number})

    # the thread that talks to the process

    def _serve(self) -> None:
        self._ready()
        while (waiting := self._waiting.get()) is not None:
            task, sent = waiting
            with self._lock:
                if task.over or self._closed:
                    continue
                task.status, self._running = "running", task
            self._do(task, sent)
            with self._lock:
                self._running = None
            self._ready()

    def _do(self, task: Task, sent: tuple[Any, ...]) -> None:
        pipe = self._ready()
        if pipe is None:
            return
        try:
            pipe.send(sent)
            while not task.over:
                self._heard(task, *pipe.recv())
        except (EOFError, OSError):  # the process is gone: cancelled, or fallen over
            pipe.close()
            self._fallen(task)

    def _fallen(self, task: Task) -> None:
        with self._lock:
            self._end()
            if not task.over:
                task.error = "The work stopped by itself: out of memory, or ended from outside. Try again."
                self._over(task, "failed")

    def _heard(self, task: Task, what: str, said: Any) -> None:
        with self._lock:
            if task.over:
                return
            if what == "step":
                task.doing, task.share = said
                told = {"type": "progress", "work": task.id, "kind": task.kind}
                self._tell(task.plan, told | {"doing": task.doing, "share": task.share})
            elif what == "done":
                task.result = said
                self._over(task, "done")
            elif what == "problems":
                task.error, task.problems = said
                self._over(task, "failed")
            else:
                said = noted(f"work {task.kind} on {task.plan}", said)
                task.error = f"Something went wrong in Cagewright; the plan is as it was. Reference {said}."
                self._over(task, "failed")

    def _ready(self) -> Connection | None:
        """The pipe to a process that is up; None once closed."""
        with self._lock:
            if self._closed:
                return None
            if self._process is None or not self._process.is_alive() or self._pipe is None:
                self._end()
                context = mp.get_context("spawn")
                self._pipe, theirs = context.Pipe()
                self._process = context.Process(target=serve_work, args=(theirs,), daemon=True)
                self._process.start()
                theirs.close()
            return self._pipe

    def _end(self) -> None:
        process, self._process, self._pipe = self._process, None, None
        if process is not None:
            process.kill()
            process.join(5)
            process.close()
