"""The cage as it stands: every member moved rigidly to where the readings have it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

from scipy.spatial.transform import Rotation

from cagewright.base.curves import Arc, Line, Piece, chain
from cagewright.base.vectors import Vector
from cagewright.check.findings import WORST_FIRST, Finding
from cagewright.fitup.adjust import Adjusted
from cagewright.shape.types import Belts, Cage, Cope, End, FlatCut, Member, Mount, Seating

BUILT = "-built"
"""Stands behind the plan's revision mark on everything computed from an as-built cage."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RigidMotion:
    """A rigid motion: turned about ``middle`` (3,) mm, then moved by ``move`` (3,) mm."""

    middle: Vector
    turn: Rotation
    move: Vector

    def point(self, p: Vector) -> Vector:
        """``p`` (..., 3) mm, moved."""
        return self.middle + self.turn.apply(p - self.middle) + self.move

    def way(self, v: Vector) -> Vector:
        """The direction ``v`` (..., 3), turned."""
        return self.turn.apply(v)


def motions_of(adjusted: Adjusted) -> dict[str, RigidMotion]:
    """The motion of every member that is not held, by name."""
    net = adjusted.net
    return {
        name: RigidMotion(
            middle=net.middles[k],
            turn=Rotation.from_rotvec(adjusted.state[k, 3:]),
            move=adjusted.state[k, :3],
        )
        for k, body in enumerate(net.bodies)
        for name in body.members
    }


def as_built(cage: Cage, adjusted: Adjusted) -> Cage:
    """The cage with every member where the readings have it; members nobody read stay as planned.

    Cuts move with their tube, so a gap or an overlap at a joint shows as one. Feet stay: they are the car's.
    """
    return moved_cage(cage, motions_of(adjusted))


def moved_cage(cage: Cage, motions: dict[str, RigidMotion]) -> Cage:
    """The cage with those members moved, and all that sits on them."""

    def at(member: str | None, point: Vector) -> Vector:
        return motions[member].point(point) if member in motions else point

    return replace(
        cage,
        revision=cage.revision + BUILT,
        members=tuple(_member(m, motions[m.name]) if m.name in motions else m for m in cage.members),
        joints=tuple(replace(j, point=at(j.branch, j.point)) for j in cage.joints),
        plates=tuple(replace(p, corners=at(next(iter(p.members), None), p.corners)) for p in cage.plates),
        gussets=tuple(replace(g, point=at(g.between[0], g.point)) for g in cage.gussets),
        people=tuple(replace(p, belts=_belts(p.belts, at), seat=_seat(p.seat, at)) for p in cage.people),
        pushes=tuple(p if p.point is None else replace(p, point=at(p.member, p.point)) for p in cage.pushes),
    )


At = Callable[[str | None, Vector], Vector]


def _belts(belts: Belts | None, at: At) -> Belts | None:
    if belts is None:
        return None
    return replace(belts, mounts=tuple(replace(b, mount=_mount(b.mount, at)) for b in belts.mounts))


def _seat(seat: Seating | None, at: At) -> Seating | None:
    return seat and replace(seat, mounts=tuple(_mount(m, at) for m in seat.mounts))


def _mount(mount: Mount, at: At) -> Mount:
    return replace(mount, point=at(mount.member, mount.point))


def _member(member: Member, motion: RigidMotion) -> Member:
    start, end = (_end(e, motion) for e in member.ends)
    return replace(
        member,
        path=chain(tuple(_piece(p, motion) for p in member.path.pieces)),
        bends=tuple(replace(b, apex=motion.point(b.apex), normal=motion.way(b.normal)) for b in member.bends),
        ends=(start, end),
    )


def _piece(piece: Piece, motion: RigidMotion) -> Piece:
    if isinstance(piece, Line):
        return Line(start=motion.point(piece.start), stop=motion.point(piece.stop))
    return Arc(
        centre=motion.point(piece.centre),
        radius=piece.radius,
        u=motion.way(piece.u),
        v=motion.way(piece.v),
        angle=piece.angle,
    )


def _end(end: End, motion: RigidMotion) -> End:
    cut = end.cut
    where = {"origin": motion.point(cut.origin), "axis": motion.way(cut.axis), "zero": motion.way(cut.zero)}
    moved: Cope | FlatCut
    if isinstance(cut, Cope):
        moved = replace(cut, **where)
    else:
        moved = replace(cut, **where, normal=motion.way(cut.normal))
    return replace(end, cut=moved)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedFinding:
    """A finding whose verdict is not what it was on the plan.

    Attributes:
        clause: book and clause, or the check's name.
        where: of it, in words.
        planned: its verdict and reading on the plan.
        built: the same as built.
        worse: whether it is, or looks, broken now, or asks to be looked at, and was better.
    """

    clause: str
    where: str
    planned: str
    built: str
    worse: bool


def changed_findings(planned: Iterable[Finding], built: Iterable[Finding]) -> tuple[ChangedFinding, ...]:
    """What of the findings is another verdict as built, those that are worse now first."""
    left: defaultdict[tuple[str, ...], list[Finding]] = defaultdict(list)
    for f in planned:
        left[_key(f)].append(f)
    changed: list[Finding] = []
    for f in built:
        same = next((old for old in left[_key(f)] if old.verdict == f.verdict), None)
        if same is None:
            changed.append(f)
        else:
            left[_key(f)].remove(same)
    pairs = [(next(iter(left[_key(f)]), None), f) for f in changed]
    out = [
        ChangedFinding(
            clause=f"{f.book} {f.clause}".strip(), where=str(f.where), planned=_verdict(old),
            built=_verdict(f), worse=_rank(f) < min(_rank(old), _rank(None)),
        )
        for old, f in pairs
    ]  # fmt: skip
    return tuple(sorted(out, key=lambda c: not c.worse))


def _rank(finding: Finding | None) -> int:
    """Place in the order of verdicts; of nothing found, that of what cannot be told."""
    return WORST_FIRST.index(finding.verdict if finding else "cannot tell")


def _key(finding: Finding) -> tuple[str, ...]:
    w = finding.where
    return finding.book, finding.rule, finding.clause, repr((w.members, w.feet, w.joints))


def _verdict(finding: Finding | None) -> str:
    if finding is None:
        return "not found"
    return f"{finding.verdict} ({finding.measured.said})" if finding.measured else finding.verdict
