"""The text of the square code that leads from a printed step to the same step on a tablet."""

from __future__ import annotations

from urllib.parse import quote


def step_target(job: str, step: str, *, address: str = "") -> str:
    """The address of a job's step, to be printed as a square code.

    Args:
        job: the job's name.
        step: of the build order.
        address: of the workbench as the tablet reaches it, e.g. ``http://192.168.0.20:8000``; without one the
            text names the job and the step and nothing more.

    Raises:
        ValueError: no job or no step.
    """
    if not job or not step:
        raise ValueError("a step's target needs a job and a step")
    tail = f"jobs/{quote(job, safe='')}/steps/{quote(step, safe='')}"
    return f"{address.rstrip('/')}/{tail}" if address else f"cagewright:{tail}"
