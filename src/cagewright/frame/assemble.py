"""The frame set up for solving: packed arrays, the block matrix and its factor."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field

import numpy as np

from cagewright.frame.dents import aim
from cagewright.frame.gauge import GaugeWindows, gauge_strains, gauge_windows
from cagewright.frame.kernels_arrays import (
    Beams,
    BeamState,
    Bytes,
    Slots,
    Steels,
    Ties,
    fresh_state,
    pack_beams,
    pack_steels,
    pack_ties,
)
from cagewright.frame.kernels_beam import beams_pass, keep
from cagewright.frame.kernels_contact import Points, Tool, contact_pass, keep_dents, press_on
from cagewright.frame.kernels_ldl import SparsityPattern, blocks_of, factor, pattern, solve
from cagewright.frame.kernels_ties import bars_pass, hinges_pass, keep_ties, springs_pass
from cagewright.frame.model import Flags, Floats, FrameModel, Ints


@dataclass(frozen=True, slots=True, kw_only=True)
class Topology:
    """What depends only on which nodes are joined and held.

    Attributes:
        pattern: block pattern of the factor.
        slots: where each piece goes.
        active: (c,) nodes with any freedom, in elimination order.
        partly: nodes that are held in some ways only.
    """

    pattern: SparsityPattern
    slots: Slots
    active: Ints
    partly: Ints


_KEPT: OrderedDict[tuple[bytes, ...], Topology] = OrderedDict()
_ROOM = 16
ROUNDING = 4.0 * float(np.finfo(float).eps)
"""A few roundings of a place."""


def held_dofs(model: FrameModel) -> Flags:
    """Degrees of freedom (n, 6) that cannot or need not move: held, turns at bars only, loose nodes."""
    n = len(model.nodes)
    stiff, pinned = np.zeros(n, np.bool_), np.zeros(n, np.bool_)
    stiff[model.elements] = True
    stiff[model.hinges.ends] = True
    pinned[model.bars.ends] = True
    held = model.fixed.copy()
    held[~stiff, 3:] = True
    held[~stiff & ~pinned] = True
    return held


def topology(model: FrameModel) -> Topology:
    """The block pattern of ``model``, computed once for each set of joins and holds."""
    held = held_dofs(model)
    pieces = (model.elements, model.bars.ends, model.hinges.ends)
    key = (held.tobytes(), *(np.ascontiguousarray(p).tobytes() for p in pieces))
    if key in _KEPT:
        _KEPT.move_to_end(key)
        return _KEPT[key]
    found = new_topology(held, np.concatenate(pieces) if any(len(p) for p in pieces[1:]) else model.elements)
    _KEPT[key] = found
    if len(_KEPT) > _ROOM:
        _KEPT.popitem(last=False)
    return found


def new_topology(held: Flags, edges: Ints) -> Topology:
    """The block pattern for held degrees of freedom (n, 6) and the two-node pieces ``edges`` (p, 2)."""
    moving = np.flatnonzero(~held.all(axis=1))
    number = np.full(len(held), -1, np.int64)
    number[moving] = np.arange(len(moving))
    joined = number[edges]
    pat = pattern(len(moving), joined[(joined >= 0).all(axis=1)])
    column = np.full(len(held), -1, np.int64)
    column[moving] = pat.place
    block, flip = blocks_of(pat, edges, column)
    partly: Bytes = np.asarray(held.any(axis=1) & ~held.all(axis=1), np.uint8)
    slots = Slots(column=column, free=(~held).astype(float), partly=partly, block=block, flip=flip)
    return Topology(pattern=pat, slots=slots, active=moving[pat.order], partly=np.flatnonzero(partly))


@dataclass(slots=True, kw_only=True)
class Assembly:
    """A frame being solved; scratch that changes with every try.

    Attributes:
        model: the frame.
        beams: its elements.
        steels: its steels.
        state: what its fibres remember.
        ties: its springs, bars and hinges.
        top: its topology.
        force: (n, 6) N and N mm that the frame pushes back with.
        diag: (c, 6, 6) diagonal blocks, later their factor.
        off: (b, 6, 6) off-diagonal blocks, later their factor.
        sizes: (c, 6) undisturbed diagonal.
        tool: the platen or pole, if any.
        points: where it may touch.
        joints: (2, w, 3) strength of each joint of tubes at the last kept step, and where its main brings it.
        floor: N that rounding of the nodes' places alone makes in the stiffest piece.
        arm: mm, mean length of an element: moments are measured over it.
        pressed: (force along the travel N, energy N mm, points touching) of the last pass.
        gone: (m, 2) how far each section has gone: 0 elastic, 1 yielded, 2 hinge.
        use: (m, 2, 2) largest elastic stress over yield of each section, at the last two kept steps.
        skin: (m, 2) strain of each section's outermost fibre in pull, at the last kept step.
        windows: where the mean strain over a gauge length is looked for.
        strains: (w,) the mean strain over each of them at the last kept step.
        loose: nodes that nothing holds any more since parts of the frame let go.
    """

    model: FrameModel
    beams: Beams
    steels: Steels
    state: BeamState
    ties: Ties
    top: Topology
    force: Floats
    diag: Floats
    off: Floats
    sizes: Floats
    windows: GaugeWindows
    joints: Floats
    floor: float = 0.0
    arm: float = 1.0
    tool: Tool | None = None
    points: Points | None = None
    pressed: tuple[float, float, int] = (0.0, 0.0, 0)
    gone: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    use: Floats = field(default_factory=lambda: np.zeros((0, 2, 2)))
    skin: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    strains: Floats = field(default_factory=lambda: np.zeros(0))
    loose: Ints = field(default_factory=lambda: np.zeros(0, np.int64))


def assembly(model: FrameModel) -> Assembly:
    """``model`` at rest, ready to solve."""
    top = topology(model)
    c, beams, windows = len(top.active), pack_beams(model), gauge_windows(model)
    ties = pack_ties(model)
    return Assembly(
        model=model,
        beams=beams,
        floor=ROUNDING * float(np.abs(model.nodes).max()) * _stiffest(model, beams),
        arm=float(beams.length.mean()) if len(beams.length) else 1.0,
        steels=pack_steels(model),
        state=fresh_state(model),
        ties=ties,
        joints=np.stack([ties.hinge_cap[model.hinges.tubes.row]] * 2),
        top=top,
        force=np.zeros((len(model.nodes), 6)),
        diag=np.zeros((c, 6, 6)),
        off=np.zeros((len(top.pattern.row), 6, 6)),
        sizes=np.zeros((c, 6)),
        gone=np.zeros((len(model.elements), 2), np.int64),
        use=np.zeros((len(model.elements), 2, 2)),
        skin=np.zeros((len(model.elements), 2)),
        windows=windows,
        strains=np.zeros(len(windows.length)),
    )


def _stiffest(model: FrameModel, beams: Beams) -> float:
    """The largest stiffness, N/mm, between two nodes' places.

    A short thick piece is stiffest across: 12 E I / L3 (1 + phi), four odd bending stiffnesses over L2.
    """
    along, across = beams.stiff[:, 0], 4.0 * beams.stiff[:, 4:] / beams.length[:, None] ** 2
    moving = model.springs.dof < 3
    each = (4.0 * along, across, model.hinges.stiffness[:, :3], model.springs.stiffness[moving])
    return max((float(k.max()) for k in each if k.size), default=0.0)


def weaken(a: Assembly, share: float) -> None:
    """Bring joints and dents ``share`` of the way (1 at most) to the strength that the last step left."""
    if a.points is not None:
        press_on(a.points, share)
    before, after = a.joints
    if np.isfinite(before).all():
        a.ties.hinge_cap[a.model.hinges.tubes.row] = before + min(share, 1.0) * (after - before)


def evaluate(a: Assembly, x: Floats, r: Floats, *, travel: float = 0.0, tangent: bool = True) -> None:
    """Fill ``a.force`` and, for ``tangent``, the blocks at places ``x`` and rotations ``r`` (n, 3, 3)."""
    slots, m, b = a.top.slots, len(a.model.elements), len(a.model.bars.area)
    a.force[:] = 0.0
    if tangent:
        a.diag[:] = 0.0
        a.off[:] = 0.0
    beams_pass(a.beams, a.steels, a.state, slots, x, r, a.force, a.diag, a.off, tangent)
    if len(a.ties.spring_node):
        springs_pass(a.ties, slots, a.model.nodes, x, r, a.force, a.diag, tangent)
    if b:
        bars_pass(a.ties, a.steels, slots, x, a.force, a.diag, a.off, tangent, m)
    if len(a.ties.hinge_ends):
        hinges_pass(a.ties, slots, x, r, a.force, a.diag, a.off, tangent, m + b)
    if a.tool is not None and a.points is not None:
        a.pressed = contact_pass(a.tool, a.points, slots, x, travel, a.force, a.diag, a.off, tangent)
    if tangent:
        _hold(a)


AHEAD = 1e-4
"""mm that a tool is moved on by to see what it adds; far less than its contacts' soft start."""


def push_on(a: Assembly, x: Floats, travel: float) -> Floats:
    """Forces (n, 6) that the tool adds on the frame at ``x`` for each mm of travel, N/mm.

    Raises:
        ValueError: there is no tool.
    """
    if a.tool is None or a.points is None:
        raise ValueError("nothing presses on this frame")
    force = np.zeros((2, *a.force.shape))
    for k, at in ((1, travel + AHEAD), (0, travel)):
        contact_pass(a.tool, a.points, a.top.slots, x, at, force[k], a.diag, a.off, False)
    return (force[0] - force[1]) / AHEAD


LOOSE = 1.0
"""N/mm in the tangent alone of a node that nothing holds: it comes to rest where it is instead of flying."""


def _hold(a: Assembly) -> None:
    """A unit diagonal, of the block's own size, on held degrees of freedom of partly held nodes."""
    slots = a.top.slots
    for node in a.top.partly:
        c = slots.column[node]
        size = max(float(np.abs(np.diagonal(a.diag[c])).max()), 1.0)
        for dof in np.flatnonzero(slots.free[node] == 0.0):
            a.diag[c, dof, dof] = size
    if len(a.loose):
        a.diag[a.top.slots.column[a.loose]] += LOOSE * np.diag([1.0, 1.0, 1.0, 1e3, 1e3, 1e3])


def factorise(a: Assembly) -> tuple[int, int]:
    """Factor in place; (negative pivots, 6 x step + dof of the first lost pivot or -1)."""
    return factor(a.top.pattern, a.diag, a.off, a.sizes)


def backsolve(a: Assembly, loads: Floats) -> Floats:
    """Movements (k, n, 6) under ``loads`` (k, n, 6), 0 where held."""
    slots = a.top.slots
    b = np.ascontiguousarray((loads * slots.free)[:, a.top.active])
    solve(a.top.pattern, a.diag, a.off, b)
    out = np.zeros_like(loads)
    out[:, a.top.active] = b
    out *= slots.free
    return out


def keep_step(a: Assembly, over: Floats) -> tuple[float, float]:
    """Keep the present try as the new state; (energy stored, energy spent in the step), N mm."""
    stored, spent = keep(a.beams, a.steels, a.state, a.gone, a.use, a.skin)
    a.strains = gauge_strains(a.windows, a.skin)
    if len(over):
        more, lost = keep_ties(a.ties, a.steels, over)
        stored, spent = stored + more, spent + lost
    if a.points is not None and a.tool is not None:
        spent += keep_dents(a.points)
        aim(a.points, a.tool.friction)
    return stored + a.pressed[1], spent
