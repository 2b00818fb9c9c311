"""Neutral frame files: pushed by themselves, and written from a plan's push for other programs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from cagewright.base.drawing import Drawing
from cagewright.frame.choices import Choices
from cagewright.frame.errors import FrameError as FrameError
from cagewright.frame.export import export_push, frame_text
from cagewright.frame.idealise import idealise
from cagewright.frame.neutral import left_alone, read_frame_file, result_dict, run_push
from cagewright.frame.push_names import DEFAULT as DEFAULT
from cagewright.frame.push_names import push_named
from cagewright.frame.respond import marks_of
from cagewright.frame.warm import warm_up as warm_up
from cagewright.job.opening import Job, Step
from cagewright.make.plots import Curve, curves_drawing
from cagewright.make.strength_drawing import axes_of

Warmed = Callable[[int, int, str], None]


def push_frame(path: Path, step: Step) -> tuple[dict[str, Any], str, Drawing]:
    """The push of a frame file: its values (mm, N, J), its words, and its curve.

    Raises:
        FrameError: the frame cannot stand.
        ProblemsFound: every mistake in the file.
    """
    model, point = read_frame_file(path)
    warm_up(lambda done, parts, doing: step(doing, done / (parts + 1)))
    step("pushing", 0.9)
    told = left_alone(model)
    try:
        solution, seconds = run_push(model, point)
    except FrameError as wrong:
        raise FrameError([*wrong.messages, *told]) from wrong
    found: dict[str, Any] = {**result_dict(solution, seconds=seconds), "told": list(told)}
    tail = "" if solution.reached else "; cannot tell what comes after"
    words = (
        f"{found['end']}{tail}. Largest load {found['peak_N'] / 1e3:.2f} kN, "
        f"energy {found['energy_J']:.0f} J, stiffness {found['stiffness_N_per_mm']:.1f} N/mm, "
        f"solved in {seconds:.2f} s."
    )
    words = " ".join((words, *(f"Look again: {t}." for t in told)))
    x, y = axes_of("mm")
    curve = Curve(name="load", x=solution.travel, y=solution.load / 1e3, cut_short=not solution.reached)
    return found, words, curves_drawing((curve,), name="load", title="Load over travel", x=x, y=y)


def frame_of(job: Job, name: str) -> tuple[str, tuple[str, ...]]:
    """The push as a frame file's text, and what was lost on the way, in words.

    Raises:
        FrameError: no such push, or the cage cannot be made a frame.
    """
    pushed = push_named(job.cage, name)
    made = export_push(idealise(job.cage, Choices(), marks_of([pushed])), pushed)
    return frame_text(made), made.lost
