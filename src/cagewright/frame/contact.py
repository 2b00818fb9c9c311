"""A stiff flat platen or a stiff round pole driven into the frame, with contact found as it goes.

Without friction unless the press has some. A tube touches as a ball of its outside radius at each node and at
even places between nodes, so mesh finely (40 mm or so) where the tool lands. Travel of the tool is set, so a
falling force is no obstacle. Contact is a penalty spring (Wriggers, Computational Contact Mechanics, 2006,
ch. 6) stiff enough that it sinks in by tenths of a millimetre, and behind it the tube's wall, which dents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.frame.continuation import Steps
from cagewright.frame.dents import FIRST, first_law
from cagewright.frame.errors import factorised
from cagewright.frame.gauge import laid_out
from cagewright.frame.history import begin
from cagewright.frame.kernels_contact import Points, Tool, touches
from cagewright.frame.march import march
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.release import Watch
from cagewright.frame.tool_path import ToolPath

BETWEEN = 3
"""Contact points on an element between its nodes."""
SOFT = 0.02
"""mm over which a contact comes to full stiffness, so that touching is not a jump."""
STIFF, WALL = 2e5, 2e4
"""N/mm of each contact point: of one as good as rigid, and of a tube's wall before it dents (assumed; soft
over ten times as much)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Platen:
    """A stiff flat rectangle that presses with its face.

    Attributes:
        centre: (3,) mm, middle of the face at rest.
        normal: (3,) direction the face looks in, towards the frame.
        along: (3,) direction of its length; made square to the normal.
        length: mm.
        width: mm.
        way: (3,) direction of travel, or None for the normal.
        friction: sideways over normal force at which a tube slides on it.
    """

    centre: Floats
    normal: Floats
    along: Floats
    length: float
    width: float
    way: Floats | None = None
    friction: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pole:
    """A stiff round pole.

    Attributes:
        centre: (3,) mm, middle of the axis at rest.
        axis: (3,) direction of the axis.
        length: mm.
        radius: mm.
        way: (3,) direction of travel.
        friction: sideways over normal force at which a tube slides on it.
    """

    centre: Floats
    axis: Floats
    length: float
    radius: float
    way: Floats
    friction: float = 0.0


def _unit(v: Floats) -> Floats:
    v = np.asarray(v, float)
    size = float(np.sqrt(v @ v))
    if not size > 0.0:
        raise ValueError("a direction needs a length")
    return v / size


def _tool(press: Platen | Pole, stiffness: float, soft: float = SOFT) -> Tool:
    if isinstance(press, Pole):
        axis = _unit(press.axis)
        half = np.array([press.length / 2.0, press.radius])
        return Tool(
            np.asarray(press.centre, float),
            np.stack([axis] * 3),
            half,
            _unit(press.way),
            True,
            stiffness,
            soft,
            press.friction,
        )
    normal = _unit(press.normal)
    along = np.asarray(press.along, float)
    along = _unit(along - (along @ normal) * normal)
    axes = np.stack([along, np.cross(normal, along), normal])
    way = normal if press.way is None else _unit(press.way)
    return Tool(np.asarray(press.centre, float), axes, np.array([press.length / 2.0, press.width / 2.0]),
                way, False, stiffness, soft, press.friction)  # fmt: skip


def contact_points(model: FrameModel, between: int = BETWEEN, tool: Tool | None = None) -> Points:
    """Every place of the frame that a tool may touch: nodes with their fattest tube, and places between.

    Args:
        model: the frame.
        between: places on an element between its nodes.
        tool: what will dent the tubes; None for one that does not.
    """
    ends, radius, m = model.elements, model.sections.radius, len(model.elements)
    fat, fattest = np.full(len(model.nodes), -np.inf), np.zeros(len(model.nodes), np.int64)
    thin_first = np.argsort(radius, kind="stable")
    for s in range(2):
        thicker = radius[thin_first] > fat[ends[thin_first, s]]
        fattest[ends[thin_first[thicker], s]] = thin_first[thicker]
        np.maximum.at(fat, ends[:, s], radius)
    # a branch's end is on its main
    fat[model.hinges.ends[model.hinges.tubes.row, 1]] = -np.inf
    nodes = np.flatnonzero(np.isfinite(fat))
    part = np.concatenate([np.zeros(len(nodes)), np.tile((np.arange(between) + 1.0) / (between + 1.0), m)])
    element = np.repeat(np.arange(m), between)
    near = np.concatenate([fattest[nodes], element])
    first = np.concatenate([nodes, ends[element, 0]])
    at, tube = laid_out(model)
    crush, most, flat = first_law(model, near, tool)
    count = len(near)
    start = np.where(first == ends[near, 0], at[near], at[near + 1])
    law = np.tile([np.inf, 1.0, np.inf], (count, 3, 1))
    if tool is not None:
        law[:] = np.stack([FIRST * 22.0 * crush, np.full(count, 0.55), FIRST * most], axis=1)[:, None]
    return Points(
        element=np.concatenate([np.full(len(nodes), -1), element]),
        first=first,
        second=np.concatenate([nodes, ends[element, 1]]),
        part=np.asarray(part, np.float64), radius=np.concatenate([fat[nodes], radius[element]]), near=near,
        tube=tube[near],
        along=start + part * (at[near + 1] - at[near]),
        crush=crush if tool is not None else np.full(count, np.inf), most=most, flat=flat, law=law,
        dent=np.zeros((count, 2)), deep=np.zeros(count), push=np.zeros(count),
        slid=np.zeros((count, 2, 3)), grip=np.zeros((count, 3)), drag=np.zeros((count, 3)),
    )  # fmt: skip


def first_touch(model: FrameModel, press: Platen | Pole) -> float:
    """Travel in mm at which the tool first touches the frame at rest, 0 where it starts on it.

    Raises:
        ValueError: it never meets the frame.
    """
    tool, points = _tool(press, 1.0), contact_points(model)
    low, high = 0.0, 2.0 * float(np.ptp(model.nodes, axis=0).max()) + 2e3
    if _touching(tool, points, model, 0.0):
        return 0.0
    grid = np.linspace(low, high, 400)
    hit = next((k for k, s in enumerate(grid) if _touching(tool, points, model, float(s))), None)
    if hit is None:
        raise ValueError("the platen or pole never meets the frame on its way")
    low, high = float(grid[hit - 1]), float(grid[hit])
    while high - low > 1e-6:
        mid = 0.5 * (low + high)
        low, high = (low, mid) if _touching(tool, points, model, mid) else (mid, high)
    return low


def _touching(tool: Tool, points: Points, model: FrameModel, travel: float) -> bool:
    return bool(touches(tool, points, model.nodes, travel))


def push_with(
    model: FrameModel,
    *,
    press: Platen | Pole,
    target: float,
    steps: Steps | None = None,
    stiffness: float | None = None,
    dents: bool = False,
    watches: Sequence[Watch] = (),
) -> Solution:
    """The push of a platen or pole by ``target`` mm after first touch; load is its force along its way, N.

    Args:
        model: the frame.
        press: what presses, standing clear of the frame; it is brought up to the frame first.
        target: mm of travel after first touch.
        steps: how to follow the path.
        stiffness: N/mm of each contact point; None for the usual.
        dents: the tubes' walls give where it presses.
        watches: what may let go on the way.

    Raises:
        FrameError: the frame cannot stand, with the members named.
        ValueError: the tool never meets the frame.
    """
    a = factorised(model)
    a.tool = _tool(press, stiffness or (WALL if dents else STIFF), 10.0 * SOFT if dents else SOFT)
    a.points = contact_points(model, tool=a.tool if dents else None)
    path = ToolPath(a=a, steps=steps or Steps(), start=first_touch(model, press))
    return march(path, begin(a), target=target, watches=watches)
