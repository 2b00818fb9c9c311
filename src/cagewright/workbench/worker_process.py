"""What runs in the process for long work."""

from __future__ import annotations

import importlib
import os
import signal
import time
import traceback
from collections import OrderedDict
from contextlib import suppress
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from cagewright.job import Job

EVERY = 0.1
"""Least time between two words of progress, s."""
MOST_JOBS = 4
"""Jobs kept for the next work on the same revision."""


def serve_work(pipe: Connection) -> None:
    """Do what comes down the pipe until it closes."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the server, which ends this process
    with suppress(OSError, AttributeError):
        os.nice(5)  # the pages stay quick while it works
    jobs: OrderedDict[tuple[bytes, str], Job] = OrderedDict()
    importlib.import_module("cagewright.job")
    with suppress(EOFError, OSError):
        while True:
            function, text, path, asked = pipe.recv()
            pipe.send(_done(pipe, jobs, function, text, Path(path), asked))


def _done(
    pipe: Connection,
    jobs: OrderedDict[tuple[bytes, str], Job],
    function: str,
    text: bytes,
    path: Path,
    asked: dict[str, Any],
) -> tuple[str, Any]:
    from cagewright.base.problems import ProblemsFound
    from cagewright.workbench.state import problem_row

    try:
        module, name = function.split(":")
        work = getattr(importlib.import_module(module), name)
        return "done", work(_job(jobs, text, path), asked, _Telling(pipe))
    except ProblemsFound as found:
        first = found.problems[0]
        return "failed", (f"{first.found}; {first.wanted}", [problem_row(p) for p in found.problems])
    except Exception:
        return "broken", (traceback.format_exc(), None)


def _job(jobs: OrderedDict[tuple[bytes, str], Job], text: bytes, path: Path) -> Job:
    """The job of that text, kept with its stages for the next work."""
    from cagewright.job import job_of
    from cagewright.workbench.opened import document_of

    key = (text, str(path))
    if key not in jobs:
        jobs[key] = job_of(document_of(text, file=path.name).source, path)
    jobs.move_to_end(key)
    while len(jobs) > MOST_JOBS:
        jobs.popitem(last=False)
    return jobs[key]


class _Telling:
    """Progress down the pipe, not more often than a page can show."""

    def __init__(self, pipe: Connection) -> None:
        self._pipe, self._last = pipe, 0.0

    def __call__(self, doing: str, share: float) -> None:
        now = time.monotonic()
        if now - self._last >= EVERY:
            self._last = now
            self._pipe.send(("step", (doing, float(share))))
