"""Where the work is done: all cores of this machine, or a Dask cluster, through the same Executor."""

from __future__ import annotations

import os
from collections.abc import Callable, Generator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from multiprocessing import get_all_start_methods, get_context, parent_process
from multiprocessing.process import BaseProcess
from threading import Thread
from typing import Any


class Here(Executor):
    """Does each piece of work at once, in this process."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """The future of ``fn(*args, **kwargs)``, already done."""
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as wrong:
            future.set_exception(wrong)
        return future


@contextmanager
def cores(count: int | None = None) -> Generator[Executor]:
    """All cores of this machine, or ``count`` of them; this process itself where that is one.

    Workers are started afresh instead of copied, for the caller may have threads (a progress bar, a server).
    """
    wanted = (
        count or len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    )
    if wanted == 1:
        yield Here()
        return
    context = get_context("forkserver" if "forkserver" in get_all_start_methods() else "spawn")
    if context.get_start_method() == "forkserver":
        context.set_forkserver_preload(["cagewright.compare.task"])
    with ProcessPoolExecutor(max_workers=wanted, mp_context=context, initializer=_end_with_parent) as pool:
        yield pool


def _end_with_parent() -> None:
    """Make this process end when the one that started it does, even where that one was killed.

    A worker waiting for work holds both ends of its queue, and so would wait for ever.
    """
    parent = parent_process()
    if parent is not None:
        Thread(target=_outlive, args=(parent,), daemon=True).start()


def _outlive(parent: BaseProcess) -> None:
    parent.join()
    os._exit(1)


@contextmanager
def cluster(address: str | None = None) -> Generator[Executor]:
    """A Dask cluster at the scheduler's ``address``, or a new one on this machine.

    Needs the optional extra ``cluster``.

    Raises:
        ModuleNotFoundError: Dask is not installed.
    """
    from dask.distributed import Client

    with Client(address) as client:
        yield client.get_executor()
