"""How each part of a weld lies while it is made: its position by ISO 6947."""

from __future__ import annotations

import numpy as np

from cagewright.base.vectors import Vector, dot, length
from cagewright.check.torch.weld_points import WeldLoop
from cagewright.shape.closest import Mask

SLOPE = np.radians(15.0)
"""Most that the weld's axis may slope from the level in PA and PB (ISO 6947:2019 Table 2, from memory)."""
PA_TURNED = np.radians(30.0)
"""Most that its face may be turned from straight up in PA (the same, from memory)."""
PB_TURNED = np.radians(55.0)
"""Most that its face may be turned from straight up in PB: 45 degrees and 10 (the same, from memory)."""
SOURCE = "ISO 6947:2019: slope and rotation as read in its free part, their ranges from memory"


def face_of(line: WeldLoop) -> np.ndarray:
    """Unit (n, 3) out of the weld's face at each point: halves the angle between the two surfaces."""
    middle = line.branch_normal + line.main_normal
    return middle / np.maximum(length(middle), 1e-9)[:, None]


def slope_and_turn(line: WeldLoop, up: Vector) -> tuple[np.ndarray, np.ndarray]:
    """Slope of the weld's axis from the level and turn of its face from straight up, (n,) rad each.

    The turn is seen along the axis: in the plane square to it, from the steepest way up in that plane.

    Args:
        line: the weld.
        up: unit (3,), what is up while it is made.
    """
    slope = np.arcsin(np.clip(np.abs(line.along @ up), 0.0, 1.0))
    square = up - (line.along @ up)[:, None] * line.along
    square = square / np.maximum(length(square), 1e-9)[:, None]
    return slope, np.arccos(np.clip(dot(face_of(line), square), -1.0, 1.0))


def easy(line: WeldLoop, up: Vector) -> Mask:
    """Which of the weld's points (n,) lie in position PA or PB with ``up`` (3,) straight up."""
    slope, turn = slope_and_turn(line, up)
    return np.asarray((slope <= SLOPE + 1e-9) & (turn <= PB_TURNED + 1e-9), dtype=np.bool_)
