"""A frame in motion, followed step by step: generalised-alpha with lumped masses and an energy account.

Chung and Hulbert, J. Appl. Mech. 60 (1993) 371-375; on rotations as a Lie-group method (Bruels and Cardona,
J. Comput. Nonlinear Dyn. 5 (2010) 031002): a step turns a node by the rotation vector of Newmark's formula. A
tube's node has the same rotary inertia about every axis, so its spin is followed in space; a rigid body's in
its own axes, where its inertia does not change. (All from memory; docs/theory/drop.md has the formulas.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import cross
from cagewright.frame.assemble import backsolve, factorise, weaken
from cagewright.frame.body import Carried, evaluate_carried
from cagewright.frame.contact import contact_points
from cagewright.frame.continuation import unbalance
from cagewright.frame.kernels_move import Floor, ground_pass
from cagewright.frame.kernels_turn import move
from cagewright.frame.model import Floats, FrameModel

STEEL = 7.85e-9
"""Density of steel, t/mm3 (EN 1991-1-1 table A.4: 77 to 78.5 kN/m3)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pace:
    """How a motion is followed.

    Attributes:
        first: s, the first step.
        longest: s.
        shortest: s; a step that does not settle at this has stalled.
        rho: what is left of the fastest swings after a step, 0 to 1 (1: no numerical damping).
        tolerance: largest force out of balance over the largest force so far.
        tries: most corrections a step.
        error: mm, a step's own error (Zienkiewicz and Xie, Earthquake Eng. Struct. Dyn. 20 (1991) 871-887)
            averaged over the mass.
        frames: s between the moments that are kept.
    """

    first: float = 2e-5
    longest: float = 2e-3
    shortest: float = 1e-8
    rho: float = 0.7
    tolerance: float = 3e-5
    tries: int = 10
    error: float = 2e-3
    frames: float = 1e-3


@dataclass(frozen=True, slots=True, kw_only=True)
class Scheme:
    """The numbers of a generalised-alpha method."""

    alpha_m: float
    alpha_f: float
    gamma: float
    beta: float


def scheme(rho: float) -> Scheme:
    """Second order, with ``rho`` left of the fastest swings a step (Chung and Hulbert, eqs 17, 20 and 25).

    Raises:
        ValueError: ``rho`` is not from 0 to 1.
    """
    if not 0.0 <= rho <= 1.0:
        raise ValueError("what is left of the fastest swings a step is a part, 0 to 1")
    alpha_m, alpha_f = (2.0 * rho - 1.0) / (rho + 1.0), rho / (rho + 1.0)
    ahead = alpha_f - alpha_m
    return Scheme(alpha_m=alpha_m, alpha_f=alpha_f, gamma=0.5 + ahead, beta=0.25 * (1.0 + ahead) ** 2)


@dataclass(slots=True, kw_only=True)
class Motion:
    """Where a moving frame is; rows are nodes, the body's last.

    Attributes:
        time: s.
        x: (n, 3) mm.
        r: (n, 3, 3).
        v: (n, 6) mm/s and rad/s; the body's spin in its own axes.
        acceleration: (n, 6) mm/s2 and rad/s2, likewise.
        force: (n, 6) N and N mm that the frame pushes back with.
    """

    time: float
    x: Floats
    r: Floats
    v: Floats
    acceleration: Floats
    force: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """A step that settled: where it came to, how it moved (n, 6), and what the ground did in it."""

    motion: Motion
    step: Floats
    size: float
    corrections: int
    ground: tuple[float, float, float, int]
    error: float


@dataclass(slots=True, kw_only=True)
class Mover:
    """A frame with what moves it.

    Attributes:
        c: the frame.
        mass: (n, 6) t and t mm2; of the body's node the turning part is in ``c.body``.
        load: (n, 6) N, weight and whatever else pushes steadily.
        floor: the ground, or None.
        scheme: how it is stepped.
        pace: how fine.
        largest: N, the largest force so far.
    """

    c: Carried
    mass: Floats
    load: Floats
    floor: Floor | None
    scheme: Scheme
    pace: Pace
    largest: float = 0.0


def lumped(model: FrameModel, *, density: float = STEEL) -> Floats:
    """Masses (n, 6) in t and t mm2 of the tubes, half of each element at each of its nodes.

    Turning: density times the half length times 4/3 I, the mean of a tube's 2 I about itself and I across,
    the same about every axis. Bars (plates' strips) weigh nothing.
    """
    tips = model.nodes[model.elements] + model.stubs
    half = 0.5 * density * np.sqrt(((tips[:, 1] - tips[:, 0]) ** 2).sum(axis=1))
    s = model.sections
    turning = half * (s.torsion + s.inertia_y + s.inertia_z) / 3.0
    mass = np.zeros((len(model.nodes), 6))
    for end in range(2):
        np.add.at(mass[:, :3], model.elements[:, end], (half * s.area)[:, None])
        np.add.at(mass[:, 3:], model.elements[:, end], turning[:, None])
    return mass


def mover(
    c: Carried,
    *,
    mass: Floats,
    load: Floats | None = None,
    floor: Floor | None = None,
    pace: Pace | None = None,
) -> Mover:
    """The frame ``c`` with masses (n, 6), steady loads (n, 6) and the ground it may meet."""
    pace = pace or Pace()
    none = np.zeros((len(c.a.model.nodes), 6)) if load is None else load
    weight = float(np.abs(none[:, :3].sum(axis=0)).max())
    c.a.points = contact_points(c.a.model)
    return Mover(
        c=c, mass=mass, load=none, floor=floor, scheme=scheme(pace.rho),
        pace=pace, largest=weight,
    )  # fmt: skip


def started(m: Mover, velocity: Floats) -> Motion:
    """The frame unstrained where it is drawn, its nodes at ``velocity`` (n, 6) mm/s and rad/s.

    The accelerations balance the forces: a lumped mass moves by what pulls it.
    """
    n = len(m.c.a.model.nodes)
    x, r = m.c.a.model.nodes.copy(), np.tile(np.eye(3), (n, 1, 1))
    evaluate_carried(m.c, x, r)
    free = m.c.a.top.slots.free
    pulled = np.divide(m.load, m.mass, out=np.zeros_like(m.load), where=m.mass > 0.0) * free
    motion = Motion(time=0.0, x=x, r=r, v=velocity * free, acceleration=pulled, force=m.c.a.force.copy())
    if m.c.body is not None:
        spin, inertia = motion.v[m.c.node, 3:], m.c.body.inertia
        turning = np.linalg.solve(inertia, -cross(spin, inertia @ spin))
        motion.acceleration[m.c.node, 3:] = turning
    return motion


def try_move(m: Mover, at: Motion, size: float) -> Moved | None:
    """``at`` moved on by ``size`` s, or None where the forces do not come into balance."""
    s, a, node = m.scheme, m.c.a, m.c.node
    now = 1.0 / (1.0 - s.alpha_f)
    step = size * at.v + 0.5 * size**2 * at.acceleration
    if m.c.body is not None:
        step[node, 3:] = at.r[node] @ step[node, 3:]
    ahead = (1.0 - s.alpha_m) / (s.beta * size**2) * now
    mass, six = m.mass[a.top.active] * ahead, np.arange(6)
    weaken(a, 1.0)
    sizes: list[float] = []
    for k in range(m.pace.tries):
        x, r = at.x.copy(), at.r.copy()
        move(x, r, step)
        evaluate_carried(m.c, x, r)
        force = a.force.copy()
        met = np.zeros_like(force)
        ground = (0.0, 0.0, 0.0, 0)
        if m.floor is not None and a.points is not None:
            ground = ground_pass(m.floor, a.points, a.top.slots, at.x, x, size, now, met, a.diag, a.off, True)
        new = _accelerations(m, at, step, size)
        later = _speeds(s, at, new, size)
        residual = _unbalanced(m, at, new, later, r, force) + met
        largest = max(m.largest, float(np.abs(force[:, :3]).max()), ground[0])
        off = unbalance(a, residual) / max(largest, 1e-12)
        if off < m.pace.tolerance:
            m.largest = largest
            there = Motion(time=at.time + size, x=x, r=r, v=later, acceleration=new, force=force)
            return Moved(
                motion=there, step=_own(m, at, step), size=size, corrections=k, ground=ground,
                error=_error(m, at, there, size),
            )  # fmt: skip
        if not np.isfinite(off) or (k >= 4 and off > 0.5 * min(sizes)):
            return None
        sizes.append(off)
        a.diag[:, six, six] += mass
        if m.c.body is not None:
            turned = r[node] @ m.c.body.inertia @ r[node].T
            a.diag[a.top.slots.column[node], 3:, 3:] += ahead * turned
        factorise(a)
        step = step - now * backsolve(a, residual[None])[0]
    return None


def _own(m: Mover, at: Motion, step: Floats) -> Floats:
    """A step's moves with the body's turn in its own axes."""
    if m.c.body is None:
        return step
    own = step.copy()
    own[m.c.node, 3:] = step[m.c.node, 3:] @ at.r[m.c.node]
    return own


def _accelerations(m: Mover, at: Motion, step: Floats, size: float) -> Floats:
    """At the end of a step (n, 6), by Newmark's formula for the moves."""
    beta = m.scheme.beta
    return (_own(m, at, step) - size * at.v) / (beta * size**2) - (0.5 / beta - 1.0) * at.acceleration


def _speeds(s: Scheme, at: Motion, new: Floats, size: float) -> Floats:
    return at.v + size * ((1.0 - s.gamma) * at.acceleration + s.gamma * new)


def _unbalanced(m: Mover, at: Motion, new: Floats, later: Floats, r: Floats, force: Floats) -> Floats:
    """Forces (n, 6) that the step leaves, ground left out, turning parts in space."""
    s = m.scheme
    mean = (1.0 - s.alpha_m) * new + s.alpha_m * at.acceleration
    out = m.mass * mean + (1.0 - s.alpha_f) * force + s.alpha_f * at.force - m.load
    if m.c.body is not None:
        out[m.c.node, 3:] = _body_turning(m, m.c.body.inertia, at, new, later, r, force)
    return out


def _body_turning(
    m: Mover, inertia: Floats, at: Motion, new: Floats, later: Floats, r: Floats, force: Floats
) -> Floats:
    """The body's moments out of balance (3,), in space: J dV/dt + V x J V + R'm in its own axes."""
    s, node = m.scheme, m.c.node
    out = inertia @ ((1.0 - s.alpha_m) * new[node, 3:] + s.alpha_m * at.acceleration[node, 3:])
    for part, spin, turn, moment in (
        (1.0 - s.alpha_f, later[node, 3:], r[node], force[node, 3:]),
        (s.alpha_f, at.v[node, 3:], at.r[node], at.force[node, 3:]),
    ):
        out = out + part * (cross(spin, inertia @ spin) + moment @ turn)
    return r[node] @ out


def _error(m: Mover, at: Motion, there: Motion, size: float) -> float:
    """How far a step may be off, mm: h2 |beta - 1/6| times the change of acceleration, mean over the mass."""
    change = (there.acceleration - at.acceleration)[:, :3]
    mass = m.mass[:, :3]
    mean = float((mass * change**2).sum() / mass.sum())
    return float(size**2 * abs(m.scheme.beta - 1.0 / 6.0) * np.sqrt(mean))


def kinetic(m: Mover, at: Motion) -> float:
    """Energy of motion, N mm."""
    energy = 0.5 * float((m.mass * at.v**2).sum())
    if m.c.body is not None:
        spin = at.v[m.c.node, 3:]
        energy += 0.5 * float(spin @ m.c.body.inertia @ spin)
    return energy


def numerical_loss(m: Mover, at: Motion, moved: Moved) -> float:
    """Energy that the method itself takes out in a step, N mm; it may be below 0 in a step, and is lent then.

    Newmark's formulas make M a . du = dT + M (da) . (h (beta - gamma/2) dv + (1/2 - alpha_f) du) to the
    letter, da, dv and du the changes over the step; the frame's forces are taken (1/2 - alpha_f) of their
    change later than in the middle.
    """
    s, new, h = m.scheme, moved.motion, moved.size
    late = 0.5 - s.alpha_f
    changed = h * (s.beta - 0.5 * s.gamma) * (new.v - at.v) + late * moved.step
    rise = new.acceleration - at.acceleration
    loss = float((m.mass * rise * changed).sum())
    force = new.force - at.force
    if m.c.body is not None:
        node = m.c.node
        loss += float(rise[node, 3:] @ m.c.body.inertia @ changed[node, 3:])
        force[node, 3:] = new.force[node, 3:] @ new.r[node] - at.force[node, 3:] @ at.r[node]
    return loss + late * float((force * moved.step).sum())
