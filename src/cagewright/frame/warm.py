"""Compiling the solver before it is needed, so that the builder sees what he is waiting for."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from cagewright.frame.contact import Platen, push_with
from cagewright.frame.continuation import Steps
from cagewright.frame.model import (
    Bars,
    FrameModel,
    Hinges,
    Material,
    Springs,
    bilinear,
    clamped,
    frame_model,
    tube_sections,
)
from cagewright.frame.travel import push_point

Progress = Callable[[int, int, str], None]
"""Told (parts done, parts in all, what comes next)."""


def warm_up(progress: Progress | None = None) -> None:
    """Nothing; afterwards every kernel is compiled (seconds once on a machine, then read back from disk).

    Args:
        progress: told before each part, and once at the end.
    """
    parts = (
        ("beams and fibres", _push_stick),
        ("springs, bars and joints", _push_tied),
        ("platen and pole", _press),
    )
    for k, (what, part) in enumerate(parts):
        if progress:
            progress(k, len(parts), f"making the solver ready: {what}")
        part()
    if progress:
        progress(len(parts), len(parts), "the solver is ready")


def _steel() -> tuple[Material, ...]:
    return (Material(young=210e3, shear=81e3, curve=bilinear(fy=350.0, hardening=0.01, young=210e3)),)


def _stick() -> FrameModel:
    return frame_model(
        nodes=np.array([[0, 0, 0], [0, 0, 100], [0, 0, 200.0]]),
        elements=np.array([[0, 1], [1, 2]]),
        sections=tube_sections(np.full(2, 45.0), np.full(2, 2.5)),
        materials=_steel(),
        fixed=clamped(3, [0]),
    )


def _tied() -> FrameModel:
    one = np.ones(1)
    return frame_model(
        nodes=np.array([[0, 0, 0], [0, 0, 100], [0, 0, 200.0], [0, 0, 200.0], [0, 0, 300.0]]),
        elements=np.array([[0, 1], [1, 2], [3, 4]]),
        sections=tube_sections(np.full(3, 45.0), np.full(3, 2.5)),
        materials=_steel(),
        fixed=clamped(5, [0]),
        hinges=Hinges(
            ends=np.array([[2, 3]]),
            axes=np.eye(3)[None],
            stiffness=np.full((1, 6), 1e8),
            capacity=np.full((1, 3), 1e6),
        ),
        bars=Bars(ends=np.array([[0, 4]]), area=one, material=np.zeros(1, np.int64), slack=one > 0.0),
        springs=Springs(
            node=np.array([4]), dof=np.array([0]), stiffness=one, capacity=np.full((1, 2), np.inf)
        ),
    )


def _push_stick() -> None:
    push_point(_stick(), node=2, direction=np.array([1.0, 0, 0]), target=6.0, steps=Steps(size=3.0))


def _push_tied() -> None:
    push_point(_tied(), node=4, direction=np.array([1.0, 0, 0]), target=2.0, steps=Steps(size=1.0))


def _press() -> None:
    platen = Platen(
        centre=np.array([100.0, 0, 200]),
        normal=np.array([-1.0, 0, 0]),
        along=np.array([0, 1.0, 0]),
        length=50,
        width=50,
    )
    push_with(_stick(), press=platen, target=1.0, steps=Steps(size=1.0))
