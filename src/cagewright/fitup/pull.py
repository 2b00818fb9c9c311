"""What to do: how each end stands, which way to pull it, and between which marks to see that it has come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.spatial.transform import Rotation

from cagewright.base.say import say
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, dot
from cagewright.check.torch.weld_points import weld_lines
from cagewright.fitup.adjust import Adjusted
from cagewright.fitup.asbuilt import RigidMotion, motions_of
from cagewright.fitup.choose import LONGEST, SHORTEST, Tapes, tape_clear, tapes_of
from cagewright.fitup.fewest import SURE
from cagewright.fitup.marks import direction_words, end_words
from cagewright.fitup.network import Floats, placed, skew
from cagewright.shape.types import Cage, Joint, Member

WITHIN = 3.0
"""How far an end may be out in each direction unless told otherwise, mm: common practice, no source."""
ALONG = 0.6
"""The tape that shows a pull runs within this cosine of its way."""
SAID = 0.5
"""Parts of an offset smaller than this are not spoken of, mm."""
Stands = Literal["in place", "out", "cannot tell"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """The tape that shows a pull: its marks, what it reads now and what it should, mm."""

    a: str
    b: str
    now: float
    then: float


@dataclass(frozen=True, slots=True, kw_only=True)
class EndStands:
    """How one end of a member stands.

    Attributes:
        member: the tube.
        mark: the mark that speaks for the end.
        end: in words: top, bottom, left end, front end, ...
        off: (3,) from where the plan wants it, mm.
        sure: (3,) 95 % range to either side, mm.
        stands: in place, out, or cannot tell.
        pull: (3,) what would bring it to its place, mm, along the axes on which it is out for sure; else 0.
        tape: to watch while it is pulled, or None.
    """

    member: str
    mark: str
    end: str
    off: Vector
    sure: Vector
    stands: Stands
    pull: Vector
    tape: Tape | None


def stands_of(cage: Cage, adjusted: Adjusted, *, within: float = WITHIN) -> tuple[EndStands, ...]:
    """How both ends of every member that can move stand, the worst out first.

    Args:
        cage: as planned.
        adjusted: where everything is.
        within: how far an end may be out in each direction, mm.
    """
    moving = {n for b in adjusted.net.bodies for n in b.members}
    tapes = tapes_of(adjusted.net, cage)
    out = [
        _stands(tapes, adjusted, member, i, within)
        for member in cage.members
        if member.name in moving
        for i in (0, 1)
        if f"{member.name}.{('start', 'end')[i]}" in adjusted.net.index
    ]
    order = {"out": 0, "cannot tell": 1, "in place": 2}
    return tuple(sorted(out, key=lambda s: (order[s.stands], -float(np.sqrt(s.off @ s.off)))))


def _stands(tapes: Tapes, adjusted: Adjusted, member: Member, i: int, within: float) -> EndStands:
    mark = f"{member.name}.{('start', 'end')[i]}"
    net, row = adjusted.net, adjusted.net.index[f"{member.name}.{('start', 'end')[i]}"]
    off = adjusted.places[row] - net.points[row]
    sure = SURE * np.sqrt(np.diag(adjusted.mark_covariance[row]))
    fixed = net.bodies[int(net.body[row])].name not in adjusted.loose
    stands = stands_in(off, sure, within) if fixed else "cannot tell"
    # along with what is out, what is within is only pulled where it is well known: else it may get worse
    least = np.where(np.abs(off) > within, sure, np.maximum(2.0 * sure, SAID))
    pull = -np.where(np.abs(off) > least, off, 0.0) if stands == "out" else np.zeros(3)
    return EndStands(
        member=member.name, mark=mark, end=end_words(member, i), off=off, sure=sure, stands=stands, pull=pull,
        tape=_tape(tapes, adjusted, row, pull) if stands == "out" else None,
    )  # fmt: skip


def stands_in(off: Vector, sure: Vector, within: float) -> Stands:
    """Out where some direction is out for sure, in place where all are in and known well, else cannot tell.

    In place: no more than one in six that it is out by more, that is half the +- less than ``within``.
    """
    size = np.abs(off)
    if bool(((size > within) & (size > sure)).any()):
        return "out"
    return "in place" if bool((np.maximum(size + sure / 2.0, sure) <= within).all()) else "cannot tell"


def off_words(off: Vector, sure: Vector | None, at: Vector, units: LengthUnit = "mm") -> str:
    """The offset in words, largest part first: ``4 ± 1 mm forward and 2 ± 1 mm out``."""
    parts: list[str] = []
    for axis in np.argsort(-np.abs(off)):
        if abs(off[axis]) < SAID:
            continue
        way = direction_words(int(axis), bool(off[axis] > 0.0), float(at[1]))
        either_way = None if sure is None else max(float(sure[axis]), 1.0)
        size = say(abs(float(off[axis])), "length", units, places=0, plus_minus=either_way)
        parts.append(f"{size} {way}")
    return " and ".join(parts) if parts else "where it should be"


def _tape(tapes: Tapes, adjusted: Adjusted, row: int, pull: Vector) -> Tape | None:
    """The clear tape from the end's mark, along the pull, to a mark of another body."""
    net = adjusted.net
    away = adjusted.places - adjusted.places[row]
    size = np.maximum(np.sqrt(dot(away, away)), 1e-9)
    fits = np.abs(away @ pull) / size / float(np.sqrt(pull @ pull))
    usable = (net.body != net.body[row]) & (size > SHORTEST) & (size < LONGEST) & (fits > ALONG)
    # a mark on the car or on what is held shows more than one that may move too
    worth = np.where(usable, fits + 0.2 * (net.body < 0), 0.0)
    for j in np.argsort(-worth):
        if worth[j] <= 0.0:
            return None
        if tape_clear(tapes, net.points[row], net.points[j]):
            then = away[j] - pull
            return Tape(
                a=net.marks[row].name, b=net.marks[j].name, now=float(size[j]),
                then=float(np.sqrt(then @ then)),
            )  # fmt: skip
    return None


# --- gaps at joints


@dataclass(frozen=True, slots=True, kw_only=True)
class JointGap:
    """How a joint has opened.

    Attributes:
        joint: its name.
        open: widest root gap round the weld line, mm; 0 where it is tight all round.
        overlap: deepest overlap, mm: the tube has to be dressed back or moved.
        shift: (3,) how the branch's end has moved against its main, mm.
        sure: 95 % range of the gap to either side, mm.
    """

    joint: str
    open: float
    overlap: float
    shift: Vector
    sure: float


def after_pulls(adjusted: Adjusted, stands: Sequence[EndStands]) -> Adjusted:
    """Where everything is once the pulls are made: each body moved, as one piece, by what its ends ask for.

    The least move (a turn counted at its marks' distance) that brings the pulled ends where they should be
    and leaves the body's other ends where they are.
    """
    net, state = adjusted.net, adjusted.state.copy()
    for k in range(len(net.bodies)):
        mine = [s for s in stands if int(net.body[net.index[s.mark]]) == k]
        if not any(s.pull.any() for s in mine):
            continue
        rows = [net.index[s.mark] for s in mine]
        arms = np.array([adjusted.places[r] for r in rows]) - net.middles[k] - state[k, :3]
        size = max(float(np.sqrt((arms**2).sum(axis=1)).max()), 1.0)
        by = np.concatenate([np.hstack([np.eye(3), -skew(arm) / size]) for arm in arms])
        move = np.linalg.lstsq(by, np.concatenate([s.pull for s in mine]), rcond=1e-6)[0]
        state[k, :3] += move[:3]
        turn = Rotation.from_rotvec(move[3:] / size) * Rotation.from_rotvec(state[k, 3:])
        state[k, 3:] = turn.as_rotvec()
    return replace(adjusted, state=state, places=placed(net, state))


def joint_gaps(cage: Cage, adjusted: Adjusted, stands: Sequence[EndStands] = ()) -> tuple[JointGap, ...]:
    """How every joint will have opened once the pulls are made; the plan's own fit is taken as tight.

    Only joints both of whose tubes the readings fix, or that are held.

    Args:
        cage: as planned.
        adjusted: where everything is.
        stands: how the ends stand and what is to be pulled.
    """
    motions = motions_of(after_pulls(adjusted, stands))
    net = adjusted.net
    read = {int(net.body[net.index[n]]) for c in adjusted.checks for n in (c.reading.a, c.reading.b) if n}
    fixed = [k for k, b in enumerate(net.bodies) if k in read and b.name not in adjusted.loose]
    known = {m for k in fixed for m in net.bodies[k].members}
    held = {m.member for m, k in zip(net.marks, net.body, strict=True) if m.member and k < 0}
    lines = {line.name: line for line in weld_lines(cage) if line.kind == "joint"}
    return tuple(
        _gap(adjusted, joint, lines[joint.name].points, lines[joint.name].main_normal, motions)
        for joint in cage.joints
        if {joint.branch, joint.mains[0]} <= known | held and joint.name in lines
    )


def _gap(
    adjusted: Adjusted, joint: Joint, points: Floats, normal: Floats, motions: dict[str, RigidMotion]
) -> JointGap:
    def moved(member: str) -> Floats:
        return motions[member].point(points) - points if member in motions else np.zeros_like(points)

    apart = moved(joint.branch) - moved(joint.mains[0])
    rise = dot(apart, normal)
    return JointGap(
        joint=joint.name,
        open=max(float(rise.max()), 0.0),
        overlap=max(float(-rise.min()), 0.0),
        shift=np.mean(apart, axis=0),
        sure=SURE * _spread(adjusted, joint, points[int(np.argmax(rise))], normal[int(np.argmax(rise))]),
    )


def _spread(adjusted: Adjusted, joint: Joint, point: Vector, normal: Vector) -> float:
    """Standard deviation of the gap at ``point`` along ``normal``, mm."""
    net = adjusted.net
    row = np.zeros(6 * len(net.bodies))
    for name, sign in ((joint.branch, 1.0), (joint.mains[0], -1.0)):
        k = next((k for k, b in enumerate(net.bodies) if name in b.members), None)
        if k is not None:
            arm = point - net.middles[k]
            row[6 * k : 6 * k + 3] += sign * normal
            row[6 * k + 3 : 6 * k + 6] += sign * np.cross(arm, normal)
    return float(np.sqrt(max(row @ adjusted.covariance @ row, 0.0)))
