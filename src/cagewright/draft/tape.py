"""To what a plan's tape is read, and a draft for a tape in inches: every length to the 1/32."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any, cast

from cagewright.base.units import MM_PER_IN

STEPS = {"mm": 1.0, "in": MM_PER_IN / 32.0}
"""To what places are written, mm: what the plan's tape is read to."""
NO_LENGTHS = frozenset({
    "scan",
    "part",
    "normal",
    "count",
    "bolts",
    "mass",
    "back_angle",
    "wall",
    "od",
    "clr",
})
"""Keys whose numbers are no lengths, or are bought as they are."""


def to_the_tape(data: Any, key: str = "") -> Any:
    """The part of a plan with its lengths, mm, to the nearest 1/32 in; a plate's to the next larger."""
    if key in NO_LENGTHS or isinstance(data, bool | str | int):
        return data
    if isinstance(data, Mapping):
        return {k: to_the_tape(v, k) for k, v in cast("Mapping[str, Any]", data).items()}
    if isinstance(data, list | tuple):
        return [to_the_tape(v, key) for v in cast("list[Any]", data)]
    if isinstance(data, float):
        step = STEPS["in"]
        return (math.ceil(data / step - 1e-6) if key == "plate" else round(data / step)) * step
    return data
