"""What the cage does under load: beams that bend, yield, buckle and are pressed on.

Lengths mm, forces N, moments N mm, stresses MPa, energies N mm, turns rad.
"""

from cagewright.frame.linear import solve_linear
from cagewright.frame.model import (
    Bars,
    Curve,
    FrameModel,
    Hinges,
    LinearSolution,
    Material,
    Sections,
    Solution,
    Springs,
    YieldEvent,
    bilinear,
    clamped,
    frame_model,
    measured,
    plain_sections,
    tube_sections,
)
from cagewright.frame.neutral import PointPush, parse_frame, read_frame_file, result_dict, run_push
from cagewright.frame.travel import Steps, push_pattern, push_point
from cagewright.frame.troubles import FrameError

__all__ = [
    "Bars",
    "Curve",
    "FrameError",
    "FrameModel",
    "Hinges",
    "LinearSolution",
    "Material",
    "PointPush",
    "Sections",
    "Solution",
    "Springs",
    "Steps",
    "YieldEvent",
    "bilinear",
    "clamped",
    "frame_model",
    "measured",
    "parse_frame",
    "plain_sections",
    "push_pattern",
    "push_point",
    "read_frame_file",
    "result_dict",
    "run_push",
    "solve_linear",
    "tube_sections",
]
