"""A perceptually even colour ramp from pale yellow (little) to dark blue (much), and its legend.

The ramp is a straight line in CIELAB, so that equal steps of the number look equally large, and its lightness
falls all the way, so that it reads without colour too. Legends give the numbers.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from numpy.typing import NDArray

from cagewright.base.drawing import Label, Look, Stroke
from cagewright.make.strokes import Ink, rectangle, together

LITTLE, MUCH = (90.0, -6.0, 46.0), (22.0, 16.0, -40.0)
"""CIELAB ends of the ramp (D65), both inside sRGB."""
WHITE = np.array([0.95047, 1.0, 1.08883])
"""XYZ of D65 (CIE 15, from memory)."""
_XYZ_TO_LINEAR = np.linalg.inv(
    np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
)
"""IEC 61966-2-1, from memory."""


def lab_to_srgb(lab: NDArray[np.float64]) -> NDArray[np.float64]:
    """Red, green, blue (..., 3), 0 to 1 inside the gamut, of CIELAB (..., 3) (CIE 15; IEC 61966-2-1)."""
    fy = (lab[..., 0] + 16.0) / 116.0
    f = np.stack([fy + lab[..., 1] / 500.0, fy, fy - lab[..., 2] / 200.0], axis=-1)
    d = 6.0 / 29.0
    xyz = WHITE * np.where(f > d, f**3, 3.0 * d**2 * (f - 4.0 / 29.0))
    linear = xyz @ _XYZ_TO_LINEAR.T
    bent = 1.055 * np.maximum(linear, 1e-9) ** (1.0 / 2.4) - 0.055
    return np.where(linear <= 0.0031308, 12.92 * linear, bent)


@cache
def ramp(part: float) -> str:
    """The colour ``#rrggbb`` of a share from 0 to 1; beyond them it stays at the end."""
    low, high = np.array(LITTLE), np.array(MUCH)
    rgb = lab_to_srgb(low + min(max(part, 0.0), 1.0) * (high - low))
    return "#" + "".join(f"{round(float(np.clip(c, 0.0, 1.0)) * 255.0):02x}" for c in rgb)


def legend(
    at: tuple[float, float], words: str, ticks: tuple[float, ...], top: float, *, steps: int = 20
) -> Ink:
    """The ramp as a bar 60 mm long from ``at``, with its numbers under it and ``words`` over it.

    Args:
        at: lower left corner, mm.
        words: what the numbers are.
        ticks: numbers to print, 0 to ``top``.
        top: the number at the dark end.
        steps: patches of the bar.
    """
    x, y = at
    wide = 60.0 / steps
    patches = tuple(_patch(x + i * wide, y, wide, ramp((i + 0.5) / steps)) for i in range(steps))
    frame = rectangle((x, y, x + 60.0, y + 3.0), "dimension")
    marks = tuple(
        Label(text=f"{t:g}", at=(x + 60.0 * t / top, y - 3.2), height=2.0, anchor="middle") for t in ticks
    )
    head = Label(text=words, at=(x, y + 4.2), height=2.0)
    return together(Ink(strokes=(*patches, frame)), Ink(labels=(head, *marks)))


def _patch(x: float, y: float, wide: float, ink: str) -> Stroke:
    box = rectangle((x, y, x + wide, y + 3.0), "area", fill="ink")
    return replace(box, look=Look(width=0.0, ink=ink))
