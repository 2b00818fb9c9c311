"""Work for the worker's tests: done, endless, falling over in each of its ways."""

import os
import time
from typing import Any

from threadpoolctl import threadpool_info

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.job.opening import Job, Step


def counted(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    for n in range(asked.get("to", 1)):
        step("counting", n / 10)
    return {"members": len(job.cage.members), "counted": asked.get("to", 1)}


def endless(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    while True:
        step("going on", 0.5)
        time.sleep(0.05)


def fallen(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    os.abort()


def wrong(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    raise ZeroDivisionError("the secret word")


def mistaken(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    raise ProblemsFound([
        Problem(code="made-up", where=Where(file="x", line=1, col=2), found="this", wanted="that")
    ])


def no_number(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    return {"share": float("nan")}


def staged(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    made: list[int] = []
    job.cache.get(("a stage of the tests", job.key), lambda: made.append(1))
    return {"made": bool(made)}


def whose(job: Job, asked: dict[str, Any], step: Step) -> dict[str, Any]:
    return {"pid": os.getpid()}


def pools(job: object, asked: dict[str, Any], tell: object) -> list[dict[str, Any]]:
    """The thread pools of the process that works."""
    return threadpool_info()
