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
from pathlib import Path
from typing import Any

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import BaseRoute, Route

from cagewright.workbench.asked import body_of, opened_of
from cagewright.workbench.opened import bytes_of
from cagewright.workbench.pages import all_pages
from cagewright.workbench.worker_process import serve_work

MOST_KEPT = 60
"""Pieces of work whose results are kept for the pages."""
MOST_WAITING = 20
"""Pieces of work that may wait."""
Tell = Callable[[str, dict[str, Any]], None]


@dataclass(slots=True, kw_only=True)
class Task:
    """A piece of work.

    Attributes:
        id: its own.
        plan: id of the plan it is for.
        number: revision it is for.
        kind: what is to be done.
        status: ``waiting``, ``running``, ``done``, ``failed`` or ``cancelled``.
        doing: what it is at, in words.
        share: how much of it is done, 0 to 1.
        result: once it is done.
        error: why it failed, in words.
    """

    id: str
    plan: str
    number: int
    kind: str
    sent: tuple[Any, ...]
    status: str = "waiting"
    doing: str = ""
    share: float = 0.0
    result: dict[str, Any] | None = None
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
            tell: told of progress: the plan's id and the message for its pages.
        """
        self._tell = tell
        self._lock = threading.RLock()
        self._tasks: OrderedDict[str, Task] = OrderedDict()
        self._waiting: queue.SimpleQueue[Task | None] = queue.SimpleQueue()
        self._ids = itertools.count(1)
        self._process: Any = None
        self._pipe: Connection | None = None
        self._running: Task | None = None
        self._thread: threading.Thread | None = None
        self._closed = False

    def warm(self) -> None:
        """Start the process, so that it has loaded what it needs when it is first asked."""
        with self._lock:
            if self._thread is None:
                self._thread = threading.Thread(target=self._serve, name="work", daemon=True)
                self._thread.start()

    def close(self) -> None:
        """End the process."""
        with self._lock:
            self._closed = True
            self._waiting.put(None)
            self._end()

    def start(
        self,
        *,
        plan: str,
        number: int,
        kind: str,
        function: str,
        text: bytes,
        path: Path,
        asked: dict[str, Any],
    ) -> Task:
        """The work, waiting to be done.

        Raises:
            HTTPException: too much is waiting.
        """
        with self._lock:
            if sum(not t.over for t in self._tasks.values()) >= MOST_WAITING:
                raise HTTPException(429, "Too much is waiting already: let it finish, or stop some of it.")
            id = f"w{next(self._ids)}"
            sent = (function, text, str(path), asked)
            task = Task(id=id, plan=plan, number=number, kind=kind, sent=sent)
            self._tasks[id] = task
            self._forget()
        self.warm()
        self._waiting.put(task)
        return task

    def task(self, id: str) -> Task:
        """The work of that id; KeyError where there is none."""
        with self._lock:
            return self._tasks[id]

    def cancel(self, id: str) -> Task:
        """The work, stopped where it was not over."""
        with self._lock:
            task = self._tasks[id]
            if not task.over:
                running = task is self._running
                self._over(task, "cancelled")
                if running:
                    self._end()
            return task

    def _forget(self) -> None:
        over = [id for id, task in self._tasks.items() if task.over]
        for id in over[: max(len(self._tasks) - MOST_KEPT, 0)]:
            del self._tasks[id]

    def _over(self, task: Task, status: str) -> None:
        task.status, task.sent = status, ()
        message = {
            "type": "ended",
            "work": task.id,
            "kind": task.kind,
            "status": status,
            "number": task.number,
        }
        self._tell(task.plan, message)

    # -- the thread that talks to the process

    def _serve(self) -> None:
        self._ready()
        while (task := self._waiting.get()) is not None:
            with self._lock:
                if task.over or self._closed:
                    continue
                task.status, self._running = "running", task
            self._do(task)
            with self._lock:
                self._running = None

    def _do(self, task: Task) -> None:
        try:
            pipe = self._ready()
            sent = task.sent
            if sent:
                pipe.send(sent)
            while not task.over:
                self._heard(task, *pipe.recv())
        except (EOFError, OSError):
            with self._lock:
                if not task.over:
                    task.error = (
                        "The work stopped by itself: out of memory, or ended from outside. Try again."
                    )
                    self._over(task, "failed")
                self._end()

    def _heard(self, task: Task, what: str, said: Any) -> None:
        with self._lock:
            if task.over:
                return
            if what == "step":
                task.doing, task.share = said
                message = {"type": "progress", "work": task.id, "kind": task.kind}
                self._tell(task.plan, message | {"doing": task.doing, "share": task.share})
            elif what == "done":
                task.result = said
                self._over(task, "done")
            else:
                task.error, task.problems = said
                self._over(task, "failed")

    def _ready(self) -> Connection:
        with self._lock:
            if self._process is None or not self._process.is_alive() or self._pipe is None:
                context = mp.get_context("spawn")
                self._pipe, theirs = context.Pipe()
                self._process = context.Process(target=serve_work, args=(theirs,), daemon=True)
                self._process.start()
                theirs.close()
            return self._pipe

    def _end(self) -> None:
        process, self._process = self._process, None
        pipe, self._pipe = self._pipe, None
        if process is not None:
            process.kill()
            process.join(5)
        if pipe is not None and threading.current_thread() is self._thread:
            pipe.close()


def _kinds() -> dict[str, str]:
    return {kind: function for page in all_pages() for kind, function in page.work.items()}


def _row(task: Task) -> dict[str, Any]:
    return {
        "work": task.id,
        "kind": task.kind,
        "plan": task.plan,
        "number": task.number,
        "status": task.status,
        "doing": task.doing,
        "share": task.share,
        "result": task.result,
        "error": task.error,
        "problems": task.problems,
    }


async def start_work(request: Request) -> Response:
    """Put work on; answered at once.

    Raises:
        HTTPException: there is no such work, or the plan has problems.
    """
    opened = await run_in_threadpool(opened_of, request)
    asked = await body_of(request)
    kind = asked.pop("kind", None)
    function = _kinds().get(kind) if isinstance(kind, str) else None
    if function is None:
        raise HTTPException(400, "There is no such work.")
    moment = opened.moment
    if moment.job is None:
        raise HTTPException(409, "The plan's text has problems: put them right first.")
    task = request.app.state.worker.start(
        plan=opened.id,
        number=moment.number,
        kind=str(kind),
        function=function,
        text=bytes_of(moment.document),
        path=opened.path,
        asked=asked,
    )
    return JSONResponse({"work": task.id}, 202)


def see_work(request: Request) -> Response:
    """How far the work is.

    Raises:
        HTTPException: there is no such work.
    """
    try:
        return JSONResponse(_row(request.app.state.worker.task(request.path_params["work"])))
    except KeyError:
        raise HTTPException(404) from None


def stop_work(request: Request) -> Response:
    """Stop the work.

    Raises:
        HTTPException: there is no such work.
    """
    try:
        return JSONResponse(_row(request.app.state.worker.cancel(request.path_params["work"])))
    except KeyError:
        raise HTTPException(404) from None


WORKING: tuple[BaseRoute, ...] = (
    Route("/api/plans/{id}/work", start_work, methods=["POST"]),
    Route("/api/work/{work}", see_work),
    Route("/api/work/{work}", stop_work, methods=["DELETE"]),
)
