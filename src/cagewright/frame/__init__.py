"""What the cage does under load: beams that bend, yield, buckle and are pressed on.

Lengths mm, forces N, moments N mm, stresses MPa, energies N mm, turns rad.
"""

from cagewright.frame.arc import push_arc
from cagewright.frame.contact import Platen, Pole, first_touch, push_with
from cagewright.frame.continuation import Steps
from cagewright.frame.errors import FrameError
from cagewright.frame.linear import solve_linear
from cagewright.frame.model import (
    Bars,
    ElementSections,
    FrameModel,
    HardeningCurve,
    Hinges,
    LinearSolution,
    Material,
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
from cagewright.frame.static import carry
from cagewright.frame.travel import push_pattern, push_point
from cagewright.frame.warm import warm_up

__all__ = [
    "Bars",
    "HardeningCurve",
    "FrameError",
    "FrameModel",
    "Hinges",
    "LinearSolution",
    "Material",
    "Platen",
    "PointPush",
    "Pole",
    "ElementSections",
    "Solution",
    "Springs",
    "Steps",
    "YieldEvent",
    "bilinear",
    "carry",
    "clamped",
    "first_touch",
    "frame_model",
    "measured",
    "parse_frame",
    "plain_sections",
    "push_arc",
    "push_pattern",
    "push_point",
    "push_with",
    "read_frame_file",
    "result_dict",
    "run_push",
    "solve_linear",
    "tube_sections",
    "warm_up",
]
