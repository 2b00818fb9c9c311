"""The strain of a tube's outside, averaged over a gauge length so that it does not hang on the mesh.

A hinge bends within one element however short that is, so the strain at a point grows as the mesh gets
finer; the mean over a length that the tube gives does not. The length is one diameter. The elongations that
steel standards promise are means of this kind: over 5.65 times the root of the test piece's area, which is
40 mm for a strip of 20 x 2.5 mm cut from the tube (EN ISO 6892-1's proportional length, from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.model import Flags, Floats, FrameModel, Ints

DIAMETERS = 1.0
"""The gauge length in outside diameters."""
STRAIGHT = 0.9
"""Nameless elements belong to one tube where they turn less than this (cosine)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeWindows:
    """Every place on every tube where a mean strain can be largest, w windows over breakpoints 0 to 3 m.

    The strain is taken as even over each half element, so a mean over a length is largest where the length
    starts or stops at the edge of a half.

    Attributes:
        half: (m,) mm, half of each element's length.
        low, high: (w,) number of the breakpoint at or before each window's start and stop.
        low_part, high_part: (w,) 0 to 1, part of the way to the next breakpoint.
        length: (w,) mm.
        middle: (w,) element at each window's middle.
        part: (w,) 0 to 1, where on that element the middle is.
    """

    half: Floats
    low: Ints
    low_part: Floats
    high: Ints
    high_part: Floats
    length: Floats
    middle: Ints
    part: Floats


def _continues(model: FrameModel) -> Flags:
    """(m - 1,) whether each element goes on from the one before it as the same tube."""
    ends, radius = model.elements, model.sections.radius
    tips = model.nodes[ends] + model.stubs
    along = tips[:, 1] - tips[:, 0]
    along = along / np.sqrt((along**2).sum(axis=1, keepdims=True))
    on = (ends[1:, 0] == ends[:-1, 1]) & (radius[1:] == radius[:-1])
    if model.names:
        names = np.array(model.names)
        return on & (names[1:] == names[:-1])
    return on & ((along[1:] * along[:-1]).sum(axis=1) > STRAIGHT)


def laid_out(model: FrameModel) -> tuple[Floats, Ints]:
    """Where each element starts and the last stops (m + 1,), mm, laid end to end; each one's tube (m,)."""
    tips = model.nodes[model.elements] + model.stubs
    long = np.sqrt(((tips[:, 1] - tips[:, 0]) ** 2).sum(axis=1))
    tube = np.concatenate([[0], np.cumsum(~_continues(model))]) if len(long) else np.zeros(0, np.int64)
    return np.concatenate([[0.0], np.cumsum(long)]), tube.astype(np.int64)


def gauge_windows(model: FrameModel) -> GaugeWindows:
    """The windows of ``model``; a tube shorter than the gauge length is one window."""
    tips = model.nodes[model.elements] + model.stubs
    half = 0.5 * np.sqrt(((tips[:, 1] - tips[:, 0]) ** 2).sum(axis=1))
    m = len(half)
    tube = np.concatenate([[0], np.cumsum(~_continues(model))]) if m else np.zeros(0, np.int64)
    at = np.concatenate([[0.0], np.cumsum(np.repeat(half, 2))])
    first, last = np.searchsorted(tube, tube, "left"), np.searchsorted(tube, tube, "right")
    begin, end = at[2 * first], at[2 * last]
    gauge = np.minimum(2.0 * DIAMETERS * model.sections.radius, end - begin)
    edges = np.stack([at[0 : 2 * m : 2], at[1 : 2 * m : 2], at[2 : 2 * m + 1 : 2]], axis=1)
    starts = np.concatenate([edges, edges - gauge[:, None]], axis=1)
    start = np.clip(starts, begin[:, None], (end - gauge)[:, None]).ravel()
    length = np.repeat(gauge, 6)
    low, low_part = _between(at, start)
    high, high_part = _between(at, start + length)
    middle, _ = _between(at, start + 0.5 * length)
    inside = (start + 0.5 * length - at[2 * (middle // 2)]) / np.maximum(2.0 * half[middle // 2], 1e-300)
    return GaugeWindows(
        half=half, low=low, low_part=low_part, high=high, high_part=high_part, length=length,
        middle=middle // 2, part=np.clip(inside, 0.0, 1.0),
    )  # fmt: skip


def _between(at: Floats, place: Floats) -> tuple[Ints, Floats]:
    """The breakpoint at or before each place, and the part of the way to the next."""
    low = np.clip(np.searchsorted(at, place, "right") - 1, 0, max(len(at) - 2, 0))
    return low, np.clip((place - at[low]) / np.maximum(at[low + 1] - at[low], 1e-300), 0.0, 1.0)


def gauge_strains(windows: GaugeWindows, skin: Floats) -> Floats:
    """Mean strain (w,) over every window, of the outermost fibre's ``skin`` (m, 2) at both Gauss points."""
    rise = (skin * windows.half[:, None]).ravel()
    total = np.concatenate([[0.0], np.cumsum(rise)])
    low = total[windows.low] + windows.low_part * rise[windows.low]
    # a section without a diameter has no window: its strain is 0
    return (total[windows.high] + windows.high_part * rise[windows.high] - low) / np.maximum(
        windows.length, 1e-300
    )
