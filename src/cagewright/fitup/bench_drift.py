"""What the welds made on the bench move, by the time the clamps are off and the work stands in the car.

The work is a free body: each weld's set movement acts on it as it is by then, and nothing outside holds it
back; what clamps hold while it is hot springs back when they come off, but for what the weld itself keeps
(``shrink.KEPT``). Movements are told from where the first tube comes to lie best along its whole length, for
by that it is stood up in the car.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector
from cagewright.fitup.network import rigid_slopes
from cagewright.fitup.shrink import Bead, Watched, propose, shrink
from cagewright.frame.model import Floats
from cagewright.shape.types import Cage, FlatCut, Foot, Member, member_named

STAND = "bench_stand"
"""The one end of the first tube from which everything is reckoned before the fit."""
ALONG_BASE = 9
"""Places along the first tube that it is laid back by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchEnd:
    """A place of the work that meets something only in the car.

    Attributes:
        name: ``member.start`` or ``member.end`` of the end that lands there, its own or another tube's.
        member: the tube of the work.
        along: where on it, mm.
        point: (3,) as planned, mm.
        out: unit (3,) along the tube that ends there, out through its end.
        own: it is the end of a tube of the work; else the place where another tube lands on one.
        meets: what is met: a foot, or tubes.
    """

    name: str
    member: str
    along: float
    point: Vector
    out: Vector
    own: bool
    meets: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchDrift:
    """What the bench's welds do.

    Attributes:
        beads: in the order, and begun on the sides, that keep the ends nearest their places.
        ends: places that meet the car.
        moves: (e, 3) how far each is moved, mm.
    """

    beads: tuple[Bead, ...]
    ends: tuple[BenchEnd, ...]
    moves: Floats


def bench_ends(cage: Cage, tubes: Sequence[str]) -> tuple[BenchEnd, ...]:
    """Every place of those tubes that meets a foot, a tube that is not there, or another tube's end."""
    there = set(tubes)
    mains = {j.name: j.mains for j in cage.joints}
    found: list[BenchEnd] = []
    for name in tubes:
        member = member_named(cage, name)
        for which, end in zip(("start", "end"), member.ends, strict=True):
            meets = mains.get(end.joint or "", (end.foot,) if end.foot else ())
            if meets and not set(meets) <= there:
                along = 0.0 if which == "start" else member.path.length
                found.append(
                    BenchEnd(name=f"{name}.{which}", member=name, along=along, point=end.cut.origin,
                             out=-end.cut.axis, own=True, meets=tuple(meets))
                )  # fmt: skip
    for joint in cage.joints:
        if joint.branch in there:
            continue
        end = member_named(cage, joint.branch).ends[0 if joint.which == "start" else 1]
        on = [(m, s) for m, s in zip(joint.mains, joint.along, strict=True) if m in there]
        for main, along in on[:1]:
            found.append(
                BenchEnd(name=joint.name, member=main, along=along, point=joint.point, out=-end.cut.axis,
                         own=False, meets=(main,))
            )  # fmt: skip
    return tuple(found)


def bench_drift(
    cage: Cage, tubes: Sequence[str], joints: Sequence[str], *, factor: float = 1.0
) -> BenchDrift:
    """What welding those joints on the bench moves.

    Args:
        cage: the whole cage.
        tubes: on the bench; the first is the one that the others are set to.
        joints: welded there; all others between them are tacked.
        factor: the shop's own.

    Raises:
        FrameError: the tubes do not hang together.
    """
    base = member_named(cage, tubes[0])
    ends = bench_ends(cage, tubes)
    stood = _stood(cage, base)
    marks = [
        Watched(name=f"base {i}", member=base.name, along=float(s))
        for i, s in enumerate(np.linspace(0.0, base.path.length, ALONG_BASE))
    ]
    watched = [Watched(name=e.name, member=e.member, along=e.along) for e in ends]
    loose = tuple(
        f"{m.name}.{e.which}" for m in stood.members for e in m.ends if e.foot is not None and e.foot != STAND
    )
    built = {"present": tuple(tubes), "welded": (STAND,), "open_ends": loose}
    beads = propose(stood, joints, watched, **built, factor=factor)
    moves = shrink(stood, beads, [*marks, *watched], **built, factor=factor).moves
    places = np.array([point_at(base.path, w.along) for w in marks])
    return BenchDrift(
        beads=beads, ends=ends,
        moves=laid_back(places, moves[: len(marks)], np.array([e.point for e in ends]).reshape(-1, 3),
                        moves[len(marks) :]),
    )  # fmt: skip


def laid_back(base: Floats, base_moves: Floats, points: Floats, moves: Floats) -> Floats:
    """The movements (p, 3) told from where the base, moved so, lies best (least squares, a small rigid move).

    Args:
        base: (b, 3) places along the base, mm.
        base_moves: (b, 3) how each has moved, mm.
        points: (p, 3) places whose movement is told, mm.
        moves: (p, 3) how each has moved, mm.
    """
    middle = base.mean(axis=0)
    rigid, *_ = np.linalg.lstsq(rigid_slopes(base - middle).reshape(-1, 6), base_moves.ravel(), rcond=1e-9)
    return moves - rigid_slopes(points - middle) @ rigid


def _stood(cage: Cage, base: Member) -> Cage:
    """The cage with a stand at the first tube's first end, as the frame has to hang on something."""
    first = base.ends[0]
    cut = first.cut
    square = FlatCut(
        origin=cut.origin, axis=cut.axis, normal=cut.axis, zero=cut.zero, tilt=0.0,
        weld_length=cut.weld_length,
    )  # fmt: skip
    stand = Foot(
        name=STAND, point=cut.origin, normal=cut.axis, seat="rigid", plate=(100.0, 100.0, 3.0),
        contact=1e4, bolts=None, members=(base.name,),
    )  # fmt: skip
    end = replace(first, cut=square, foot=STAND, joint=None)
    members = tuple(replace(m, ends=(end, m.ends[1])) if m.name == base.name else m for m in cage.members)
    joints = tuple(j for j in cage.joints if j.name != f"{base.name}.start")
    return replace(cage, members=members, joints=joints, feet=(*cage.feet, stand))
