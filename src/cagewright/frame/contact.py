"""A stiff flat platen or a stiff round pole driven into the frame, with contact found as it goes.

Frictionless; a tube touches as a ball of its outside radius at each node and at even places between nodes,
so mesh finely (40 mm or so) where the tool lands. Travel of the tool is prescribed, so a falling force is no
obstacle. Contact is a penalty spring (Wriggers, Computational Contact Mechanics, 2006, ch. 6) stiff enough
that it sinks in by tenths of a millimetre, and behind it the tube's wall, which dents.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.frame.assemble import Assembly, backsolve, evaluate, factorise, push_on, weaken
from cagewright.frame.continuation import State, Steps, advance, at_rest, damping, diverging, unbalance
from cagewright.frame.dents import FIRST, first_law
from cagewright.frame.errors import factorised
from cagewright.frame.fall import come_to_rest
from cagewright.frame.gauge import laid_out
from cagewright.frame.history import History, append, begin, solution_of
from cagewright.frame.kernels_contact import Points, Tool, touches
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.release import Watch, ends_here, shed
from cagewright.frame.step_control import CRUMB, FINEST, StepControl, accepts, failed, proposed, step_control

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
    """

    centre: Floats
    normal: Floats
    along: Floats
    length: float
    width: float
    way: Floats | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pole:
    """A stiff round pole.

    Attributes:
        centre: (3,) mm, middle of the axis at rest.
        axis: (3,) direction of the axis.
        length: mm.
        radius: mm.
        way: (3,) direction of travel.
    """

    centre: Floats
    axis: Floats
    length: float
    radius: float
    way: Floats


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
        )
    normal = _unit(press.normal)
    along = np.asarray(press.along, float)
    along = _unit(along - (along @ normal) * normal)
    axes = np.stack([along, np.cross(normal, along), normal])
    way = normal if press.way is None else _unit(press.way)
    return Tool(np.asarray(press.centre, float), axes, np.array([press.length / 2.0, press.width / 2.0]),
                way, False, stiffness, soft)  # fmt: skip


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
    # a branch's end stands where its main's node does
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
    return _follow(a, first_touch(model, press), target, steps or Steps(), watches)


def _follow(a: Assembly, start: float, target: float, steps: Steps, watches: Sequence[Watch]) -> Solution:
    state = at_rest(a.model)
    history = begin(a)
    path = _ToolPath(a=a, steps=steps, start=start)
    control = step_control(history, steps)
    while not control.used_up and steps.goes_on(history):
        if target - state.travel <= 1e-9 * target:
            return solution_of(history, reached=True, end=f"reached {target:.4g} mm")
        step = proposed(control, history, target)
        new = _try_step(path, state.copy(), step)
        if new is None:
            if not failed(control, step):
                continue
            new = _fallen(path, control, history, state, target)
            if new is None:
                break
            history.falls.append((new.travel, state.load, new.load))
        elif accepts(control, history, travel=new.travel, load=new.load):
            _look_ahead(path, new)
            _keep(path, history, state, new)
        else:
            continue
        if steps.first and ends_here(history, watches):
            return solution_of(history, reached=False, end=f"ended at {new.travel:.4g} mm")
        state = _shed(path, control, history, new, watches)
        if state is None:
            state = new
            break
    return solution_of(history, reached=False, end=f"stalled at {state.travel:.4g} mm")


def _shed(
    path: _ToolPath, control: StepControl, history: History, state: State, watches: Sequence[Watch]
) -> State | None:
    """``state`` after what is at its limit has let go under the tool, which does not move on."""
    steps, told = path.steps, len(history.losses)

    def settle(near: State) -> State | None:
        return come_to_rest(
            path.a, near, travel=path.start + near.travel, tolerance=steps.tolerance, largest=path.largest
        )

    def keep(old: State, new: State) -> None:
        _look_ahead(path, new)
        _keep(path, history, old, new)

    new = shed(history, state, watches, settle, keep)
    if len(history.losses) > told:
        control.size, control.failed = FINEST * control.full, np.inf
    return new


def _fallen(
    path: _ToolPath, control: StepControl, history: History, state: State, target: float
) -> State | None:
    """The state kept after a fall that starts at ``state``, or None where the frame does not come to rest."""
    control.size = CRUMB * control.full
    goal = state.travel + proposed(control, history, target)
    steps = path.steps
    new = come_to_rest(
        path.a, state, travel=path.start + goal, tolerance=steps.tolerance, largest=path.largest
    )
    if new is None:
        return None
    new.travel = goal
    _look_ahead(path, new)
    _keep(path, history, state, new)
    lost = history.work[-1] - history.stored[-1] - history.spent[-1]
    # what the fall shook out of the frame is spent as well
    history.spent[-1] += max(lost, 0.0)
    control.size, control.failed = FINEST * control.full, np.inf
    return new


def _keep(path: _ToolPath, history: History, state: State, new: State) -> None:
    work = 0.5 * (state.load + new.load) * (new.travel - state.travel)
    append(history, new.x, new.r, travel=new.travel, load=new.load, work=work, negative=path.negative)
    path.largest = history.largest
    if len(history.load) == 2:
        history.stiffness = new.load / new.travel


def _look_ahead(path: _ToolPath, state: State) -> None:
    """Find how the frame moves for each mm more of the tool, by the tangent of the state just settled."""
    a = path.a
    path.negative, _ = factorise(a)
    push = push_on(a, state.x, path.start + state.travel)
    path.drift = backsolve(a, push[None])[0]


@dataclass(slots=True, kw_only=True)
class _ToolPath:
    """What a push with a tool carries along; ``drift`` (n, 6) is how the frame moves for each mm more."""

    a: Assembly
    steps: Steps
    start: float
    largest: float = 0.0
    negative: int = 0
    drift: Floats | None = None


def _try_step(path: _ToolPath, state: State, step: float) -> State | None:
    """``state`` with the tool ``step`` mm further and all in balance, or None where it does not settle."""
    a, steps = path.a, path.steps
    goal = state.travel + step
    sizes, forces = list[float](), list[float]()
    weaken(a, step / steps.size)
    if path.drift is not None:
        # carried along, so that the tool does not first sink in by the whole step
        advance(state, 0.0, path.drift * step)
    for _ in range(2 * steps.tries):
        evaluate(a, state.x, state.r, travel=path.start + goal)
        residual = -a.force
        force = a.pressed[0]
        raw = unbalance(a, residual)
        off = raw / max(path.largest, abs(force), 1e-12)
        if off < steps.tolerance and (force > 0.0 or path.largest > 0.0):
            state.travel, state.load = goal, force
            return state
        if not np.isfinite(off) or off > 1e4 * max(min(sizes, default=np.inf), 1.0):
            return None
        sizes.append(off)
        forces.append(raw)
        if diverging(sizes):
            return None
        factorise(a)
        # by force alone: at first touch the load that sizes are measured by falls with each correction
        advance(state, 0.0, damping(forces) * backsolve(a, residual[None])[0])
        if float(np.abs(state.x).max()) > 1e7:
            return None
    return None
