"""What runs in the process for long work."""

from __future__ import annotations

import importlib
import json
import os
import signal
import threading
import time
import traceback
from collections import OrderedDict
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cagewright.job.opening import Job

EVERY = 0.1
"""Least time between two words of progress, s."""
MOST_JOBS = 3
"""Jobs kept, with their stages, for the next work on the same revision."""
MOST_MEMORY = 1_200_000_000
"""The process lets go of every job once it has grown beyond this, bytes."""


def serve_work(pipe: Connection) -> None:
    """Do what comes down the pipe until it closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this process
    threading.Thread(target=_end_with_parent, args=(os.getppid(),), daemon=True).start()
    with suppress(OSError, AttributeError):
        os.nice(5)  # the pages stay quick while it works
    jobs: OrderedDict[tuple[bytes, str], Job] = OrderedDict()
    importlib.import_module("cagewright.job")
    with suppress(EOFError, OSError):
        while True:
            function, text, path, asked = pipe.recv()
            pipe.send(_done(pipe, jobs, function, text, Path(path), asked))
            if _memory() > MOST_MEMORY:
                jobs.clear()


def _end_with_parent(parent: int) -> None:
    """End this process when the server is gone, whatever it is at."""
    while os.getppid() == parent:
        time.sleep(1.0)
    os._exit(1)


def _done(
    pipe: Connection,
    jobs: OrderedDict[tuple[bytes, str], Job],
    function: str,
    text: bytes,
    path: Path,
    asked: dict[str, Any],
) -> tuple[str, Any]:
    """How the work ended: ``done`` with JSON, ``problems`` in words and rows, ``broken`` with a traceback."""
    from cagewright.base.plain import plain
    from cagewright.base.problems import ProblemsFound
    from cagewright.job.history.state import without_folder

    try:
        module, name = function.split(":")
        work = getattr(importlib.import_module(module), name)
        result = work(_job(jobs, text, path), asked, _Telling(pipe))
        return "done", json.dumps(result, ensure_ascii=False, allow_nan=False)
    except ProblemsFound as found:
        first = found.problems[0]
        return "problems", (
            f"{first.found}; {first.wanted}",
            [plain(without_folder(p)) for p in found.problems],
        )
    except Exception:  # whatever a stage stumbles on: told with a reference, and the next work is done
        return "broken", traceback.format_exc()


def _job(jobs: OrderedDict[tuple[bytes, str], Job], text: bytes, path: Path) -> Job:
    """The job of that text, kept with its stages for the next work.

    It is read again each time: the shop file or an included file may have changed.
    """
    from cagewright.job.history.text import document_of
    from cagewright.job.opening import job_of

    key = (text, str(path))
    before = jobs.get(key)
    jobs[key] = job_of(document_of(text, file=path.as_posix()).source, path, before.cache if before else None)
    jobs.move_to_end(key)
    while len(jobs) > MOST_JOBS:
        jobs.popitem(last=False)
    return jobs[key]


def _memory() -> int:
    """The memory that this process holds, bytes; 0 where the system does not say."""
    try:
        pages = Path("/proc/self/statm").read_text(encoding="ascii").split()[1]
    except OSError:
        return 0
    return int(pages) * os.sysconf("SC_PAGE_SIZE")


class _Telling:
    """Progress down the pipe, not more often than a page can show."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe, self._last = pipe, 0.0

    def __call__(self, doing: str, share: float) -> None:
        now = time.monotonic()
        if now - self._last >= EVERY:
            self._last = now
            self._pipe.send(("step", (doing, float(share))))
