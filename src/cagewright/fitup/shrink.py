"""Weld shrinkage: what each weld pulls, and through the frame's stiffness what that moves.

Each weld is a set movement of the branch against its main at the joint (inherent shrinkage): drawn in
across the
weld, and leaned towards the side that is welded first. Figures, each with how sure it is, are in ``FIGURES``.
All of them come from plate; on thin tube they are a start that the shop's own readings correct
(``calibrate``).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np

from cagewright.base.vectors import Vector, cross
from cagewright.fitup.tacked import PartBuilt, part_built
from cagewright.frame.idealise import node_at
from cagewright.frame.joint_places import JointPlace
from cagewright.frame.linear import solve_linear
from cagewright.frame.model import Floats
from cagewright.make.weldmap import leg_for, throat_for
from cagewright.shape.types import Cage, member_named

ACROSS_WELD = 0.10
"""Shrinkage across a weld over A_w / t (O. W. Blodgett, Design of Weldments; second-hand)."""
FILLET = 0.8
"""Shrinkage across one fillet of leg up to 3/4 of the plate, mm (TWI job knowledge; read)."""
KEPT = 0.5
"""Part of the first side's lean that the second side does not pull back (assumed)."""
FIRST_ARM = 1.0 + 2.0 / np.pi
"""Arm of the first half of the weld about the opposite wall, over the tube's radius: half a ring's
middle is 2 r / pi from its diameter (geometry)."""
FIGURES: tuple[tuple[str, str, str], ...] = (
    ("drawn in across the weld", "0.10 A_w / t", "Blodgett, second-hand; for plate"),
    ("the same, shop allowance", "0.8 mm a fillet, leg up to 3/4 t", "TWI, read; for plate, an upper figure"),
    (
        "lean towards the first side",
        "drawn in / (r (1 + 2 / pi)), half of it kept",
        "geometry; the half is assumed",
    ),
)
"""What is used, the figure, its source and how sure."""
PRIOR_SPREAD = 0.5
"""How far a shop's factor may be from 1 before it has read anything (standard deviation, assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bead:
    """One weld to be made: the joint, and unit (3,) out of the branch on the side that is welded first."""

    joint: str
    first: Vector


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrinkage:
    """What one weld does if nothing holds it back.

    Attributes:
        joint: its name.
        drawn: branch drawn into its main, mm.
        lean: branch leaned towards the side welded first, rad.
        upper: the shop allowance for the same weld, mm.
    """

    joint: str
    drawn: float
    lean: float
    upper: float


def shrinkage_of(cage: Cage, joint: str, *, factor: float = 1.0) -> Shrinkage:
    """What the weld of a joint does if nothing holds it back; throat and leg as on the weld map.

    drawn = factor 0.10 A_w / t, A_w = z^2 / 2 of an equal-leg fillet, t the branch's wall.

    Raises:
        KeyError: no such joint.
    """
    found = next((j for j in cage.joints if j.name == joint), None)
    if found is None:
        raise KeyError(joint)
    branch = member_named(cage, found.branch)
    end = branch.ends[0 if found.which == "start" else 1]
    usual = throat_for(branch.tube.wall, *(member_named(cage, m).tube.wall for m in found.mains))
    leg = leg_for(end.throat or usual)
    drawn = factor * across_weld(leg, branch.tube.wall)
    return Shrinkage(joint=joint, drawn=drawn, lean=lean_of(drawn, branch.tube.radius), upper=factor * FILLET)


def across_weld(leg: float, wall: float) -> float:
    """Shrinkage across an equal-leg fillet, mm: 0.10 (leg^2 / 2) / wall (Blodgett, second-hand)."""
    return ACROSS_WELD * (leg**2 / 2.0) / wall


def lean_of(drawn: float, radius: float) -> float:
    """Lean left by a weld made one side first, rad: ``KEPT`` drawn / (radius (1 + 2 / pi))."""
    return KEPT * drawn / (radius * FIRST_ARM)


# --- through the frame


@dataclass(frozen=True, slots=True, kw_only=True)
class Watched:
    """A place whose movement is told: a member and mm along it, with the name it is spoken of by."""

    name: str
    member: str
    along: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shrunk:
    """What a sequence of welds moves.

    Attributes:
        beads: in the order they are made.
        watched: places.
        moves: (w, 3) how each has moved after the last weld, mm.
        running: (b, w) how far each is from its place after each weld, mm.
        worst: largest of ``running``, mm.
    """

    beads: tuple[Bead, ...]
    watched: tuple[Watched, ...]
    moves: Floats
    running: Floats
    worst: float


def shrink(
    cage: Cage,
    beads: Sequence[Bead],
    watched: Sequence[Watched],
    *,
    present: Collection[str] | None = None,
    welded: Collection[str] = (),
    open_ends: Collection[str] = (),
    factor: float = 1.0,
) -> Shrunk:
    """What the welds move, one after the other, each against the stiffness of what is welded by then.

    Args:
        cage: the whole cage.
        beads: in the order they are made.
        watched: places whose movement is told.
        present: names of the members that are there; all where not given.
        welded: joints and feet welded before the first bead.
        open_ends: ends that touch nothing yet, and so are free to move.
        factor: the shop's own.

    Raises:
        FrameError: what is there cannot stand.
        KeyError: a bead names no joint of what is there.
    """
    there = [m.name for m in cage.members] if present is None else present
    done = set(welded)
    moves, running = np.zeros((len(watched), 3)), np.zeros((len(beads), len(watched)))
    for i, bead in enumerate(beads):
        done.add(bead.joint)
        part = part_built(cage, present=there, welded=done, open_ends=open_ends)
        place = _place(part, bead.joint)
        load = _load(part, place, _imposed(cage, place, bead, factor))
        moved = solve_linear(part.model, load[None]).displacement[0]
        moves += _at(part, watched, moved)
        running[i] = np.sqrt((moves**2).sum(axis=1))
    return Shrunk(
        beads=tuple(beads), watched=tuple(watched), moves=moves, running=running,
        worst=float(running.max(initial=0.0)),
    )  # fmt: skip


def _place(part: PartBuilt, joint: str) -> JointPlace:
    found = next((p for p in part.frame.joints if p.joint.name == joint), None)
    if found is None:
        raise KeyError(joint)
    return found


def _imposed(cage: Cage, place: JointPlace, bead: Bead, factor: float) -> Floats:
    """Set movement (6,) of the branch against its main in the joint's axes, mm and rad."""
    s = shrinkage_of(cage, bead.joint, factor=factor)
    return _in_axes(place, s.drawn, s.lean * bead.first)


def _in_axes(place: JointPlace, drawn: float, lean: Vector) -> Floats:
    axis = place.branch_axis
    turn = cross(axis, lean)
    return np.array([-drawn, 0.0, 0.0, 0.0, float(turn @ place.in_plane), float(turn @ place.out_of_plane)])


def _load(part: PartBuilt, place: JointPlace, imposed: Floats) -> Floats:
    """Forces (n, 6) on the joint's two nodes that stand for the set movement: stiffness times it."""
    hinges = part.model.hinges
    held = hinges.stiffness[place.hinge] * imposed
    axes = hinges.axes[place.hinge]
    six = np.concatenate([axes.T @ held[:3], axes.T @ held[3:]])
    load = np.zeros((len(part.model.nodes), 6))
    main, branch = hinges.ends[place.hinge]
    load[branch] += six
    load[main] -= six
    return load


def _at(part: PartBuilt, watched: Sequence[Watched], moved: Floats) -> Floats:
    """(w, 3) movement of the watched places, those of members that are not there 0."""
    out = np.zeros((len(watched), 3))
    there = {m.name: m for m in part.cage.members}
    for i, w in enumerate(watched):
        if w.member in there:
            out[i] = moved[node_at(part.frame, w.member, w.along), :3]
    return out


# --- proposals


def usual_beads(cage: Cage, joints: Sequence[str]) -> tuple[Bead, ...]:
    """The joints in that order, each begun on the side towards the inside of the cage's middle."""
    part_middle = np.mean([m.ends[0].cut.origin for m in cage.members], axis=0)
    return tuple(Bead(joint=j, first=_sides(cage, j, part_middle)[0]) for j in joints)


def _sides(cage: Cage, joint: str, middle: Vector) -> tuple[Vector, ...]:
    """Four unit directions out of the branch: two square pairs, the one towards ``middle`` first."""
    found = next(j for j in cage.joints if j.name == joint)
    axis = member_named(cage, found.branch).ends[0 if found.which == "start" else 1].cut.axis
    to = middle - found.point
    u = to - (to @ axis) * axis
    size = float(np.sqrt(u @ u))
    u = u / size if size > 1e-6 else np.eye(3)[int(np.argmin(np.abs(axis)))]
    u = u - (u @ axis) * axis
    u = u / float(np.sqrt(u @ u))
    v = cross(axis, u)
    return u, -u, v, -v


def propose(
    cage: Cage,
    joints: Sequence[str],
    watched: Sequence[Watched],
    *,
    present: Collection[str] | None = None,
    welded: Collection[str] = (),
    open_ends: Collection[str] = (),
    factor: float = 1.0,
) -> tuple[Bead, ...]:
    """An order and first sides that keep the watched places near where they are: greedy, not proved best.

    Each weld's pull is taken with everything tacked; the next weld is the one, begun on the side, that leaves
    the smallest largest movement. ``shrink`` then tells what the proposal really moves.

    Args:
        cage: the whole cage.
        joints: to be welded.
        watched: places that should stay.
        present: names of the members that are there; all where not given.
        welded: joints and feet welded before.
        open_ends: ends that touch nothing yet.
        factor: the shop's own.

    Raises:
        FrameError: what is there cannot stand.
        KeyError: no such joint among what is there.
    """
    there = [m.name for m in cage.members] if present is None else present
    part = part_built(cage, present=there, welded={*welded, *joints}, open_ends=open_ends)
    middle = np.mean([m.ends[0].cut.origin for m in cage.members], axis=0)
    options = [(j, side) for j in joints for side in _sides(cage, j, middle)]
    loads = np.array([
        _load(part, _place(part, j), _imposed(cage, _place(part, j), Bead(joint=j, first=s), factor))
        for j, s in options
    ])
    if not len(loads):
        return ()
    moved = solve_linear(part.model, loads).displacement
    effect = np.array([_at(part, watched, m) for m in moved])
    return _greedy(options, effect)


def _greedy(options: list[tuple[str, Vector]], effect: Floats) -> tuple[Bead, ...]:
    left, at = set(range(len(options))), np.zeros(effect.shape[1:])
    beads: list[Bead] = []
    while left:
        rows = sorted(left)
        after = np.sqrt(((at + effect[rows]) ** 2).sum(axis=2)).max(axis=1, initial=0.0)
        best = rows[int(np.argmin(after))]
        joint, first = options[best]
        beads.append(Bead(joint=joint, first=first))
        at = at + effect[best]
        left = {i for i in left if options[i][0] != joint}
    return tuple(beads)


def preset(shrunk: Shrunk) -> Floats:
    """(w, 3) how far off its place to set each watched place before welding, mm."""
    return -shrunk.moves


# --- the shop's own factor


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopFactor:
    """How much more (or less) this shop's welds pull than the figures say.

    Attributes:
        value: multiplies every shrinkage.
        spread: its standard deviation.
        count: readings it rests on.
        fits: root mean square of what is left over the readings' sizes; far over 1 says that the model is not
            this shop's.
    """

    value: float
    spread: float
    count: int
    fits: float


def calibrate(predicted: Sequence[float], measured: Sequence[float], *, size: float = 1.0) -> ShopFactor:
    """The shop's own factor from movements read after welding.

    Weighted least squares of measured = factor predicted, with factor 1 +- ``PRIOR_SPREAD`` beforehand, so
    that one poor reading does not carry it away.

    Args:
        predicted: movements at factor 1, mm.
        measured: the same places' movements as read, mm.
        size: standard deviation of a reading, mm.

    Raises:
        ValueError: the two are not of one length, or the size is not more than 0.
    """
    p, m = np.asarray(predicted, float), np.asarray(measured, float)
    if p.shape != m.shape or not size > 0.0:
        raise ValueError("predicted and measured must be of one length, the size more than 0")
    weight = PRIOR_SPREAD**-2 + float(p @ p) / size**2
    value = (PRIOR_SPREAD**-2 + float(p @ m) / size**2) / weight
    left = (m - value * p) / size
    return ShopFactor(
        value=value,
        spread=float(weight**-0.5),
        count=len(p),
        fits=float(np.sqrt(left @ left / len(p))) if len(p) else 0.0,
    )
