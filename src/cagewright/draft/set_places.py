"""Where each tube of a bought set goes in a body: the places a draft has, and the best tube for each."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy.optimize import linear_sum_assignment

from cagewright.base.curves import Chain
from cagewright.base.vectors import Vector, cross, length, signed_angle, square_to, turn
from cagewright.draft.beside import beside_lines
from cagewright.draft.rigid import (
    LyingTube,
    OnPlane,
    OnTube,
    Place,
    Placed,
    Stand,
    lines_of,
    near_part,
    placed,
)
from cagewright.draft.tighten import Surroundings
from cagewright.plan.tube_set import EndEntry, SetFile, SetTubeEntry
from cagewright.plan.types import Role
from cagewright.shape.cope import heel
from cagewright.shape.shell import SKIN, BodyLine, Shell
from cagewright.shape.tube_shape import TubeShape, centre_line, other_hand
from cagewright.shape.types import Array, Cage, Cope, Foot, Member

BESIDE = 160.0
"""A tube whose axis comes no nearer to the body than this is not laid beside it, mm."""
FOOT_RUN = 150.0
"""Height over a foot below which a tube follows nothing, mm."""
SILL_WIDE = 110.0
"""The sill's top is taken to reach this far in from the body's side over it, mm (assumed, no source)."""
SAME_SIDE = 6.0
"""A tube marked for a side is put there unless the other side suits it better by this much, mm."""
SHORT = 1.0
"""An end that lacks more than this does not reach, mm."""
KEPT = 2.0
"""A notch is kept that lacks no more than this, mm: what is tacked gives so much."""
ALIKE = math.radians(4.0)
"""The two hollows of a notch are alike where its angle and the one it meets lack no more to two squares."""
DEEP = 12.0
"""More than this of metal is not dressed out of a tube's way, mm (ours)."""
FAR_OFF = 90.0
"""A tube that lies further than this off the body on average was made for a larger one, mm (ours)."""
BOXED = 60.0
"""A foot is boxed up by no more than this, mm (ours)."""
WRONG_SEAT = 25.0
"""Legs that stand further than this off their seat do not stand on it, mm (ours)."""
ASIDE = 3.0
"""An end whose axis passes further than this beside what it lands on does not suit, mm."""
Seat = Literal["sill", "floor", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPiece:
    """One tube that is there: of which entry, and its shape where it is the mirrored twin."""

    entry: str
    tube: SetTubeEntry
    shape: TubeShape
    hand: Literal["", "first", "second"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slot:
    """A place that the draft has: the member drafted there, and which side it is on."""

    member: Member
    side: Literal["left", "right", ""]


@dataclass(frozen=True, slots=True, kw_only=True)
class SlotFit:
    """A tube in a place.

    Attributes:
        piece: the tube.
        slot: name of the member that was drafted there.
        seat: of a main rollbar: what its legs stand on.
        placed: where it stands.
        kept: which of its own ends keep their notch.
        lack: what it lacks to suit, mm; 0 where it suits.
        why: in words what it lacks; empty where it suits.
        loose: gap to be expected at the notches it keeps, mm, as far as their angles tell.
        swapped: it was marked for the other side.
        others: the same on the other seat, for a main rollbar.
    """

    piece: SetPiece
    slot: Slot
    seat: Seat
    placed: Placed
    kept: tuple[bool, bool]
    lack: float
    why: str
    loose: float = 0.0
    swapped: bool = False
    others: tuple[SlotFit, ...] = ()

    @property
    def suits(self) -> bool:
        """Whether it reaches."""
        return self.lack <= 0.0


def pieces_of(file: SetFile) -> tuple[tuple[SetPiece, ...], tuple[tuple[str, str], ...]]:
    """Every tube that can be placed, and the others with the reason; spares are neither."""
    found: list[SetPiece] = []
    unplaced: list[tuple[str, str]] = []
    for name, tube in file.tubes.items():
        if tube.spare:
            continue
        gone = [k for k in ("od", "straights", "bends") if getattr(tube, k) is None]
        if gone:
            unplaced.append((name, f"cannot tell where it goes: {', '.join(gone)} not given"))
            continue
        shape = shape_of(tube)
        try:
            centre_line(shape)
        except ValueError:
            unplaced.append((name, "no tube can have this shape: read its bends and straights again"))
            continue
        found.append(SetPiece(entry=name, tube=tube, shape=shape, hand="first" if tube.twin else ""))
        if tube.twin:
            twin = other_hand(shape) if tube.twin == "mirrored" else shape
            found.append(SetPiece(entry=name, tube=tube, shape=twin, hand="second"))
    return tuple(found), tuple(unplaced)


def shape_of(tube: SetTubeEntry) -> TubeShape:
    """The shape of a tube whose straights and bends are known, to its furthest points."""
    bends = tube.bends or ()
    return TubeShape(
        straights=tube.straights or (), angles=tuple(b.angle for b in bends),
        radii=tuple(b.clr for b in bends),
        clockings=tuple(math.remainder(b.twist, math.tau) for b in bends[1:]),
    )  # fmt: skip


def slots_of(cage: Cage) -> tuple[Slot, ...]:
    """Every place of a drafted cage, in the order in which they are built on each other."""
    return tuple(Slot(member=m, side=_side(m)) for m in cage.members)


def _side(member: Member) -> Literal["left", "right", ""]:
    for side in ("left", "right"):
        if member.name.endswith(f"_{side}"):
            return side
    return ""


def notch_past(end: EndEntry, radius: float) -> float:
    """How far past its furthest point a notch has the other tube's axis, mm; NaN where there is no notch."""
    if end.cut != "notch" or end.od is None:
        return math.nan
    phi = np.linspace(0.0, math.tau, 360, endpoint=False)
    room = (end.od / 2.0) ** 2 - (radius * np.sin(phi) - end.offset) ** 2
    w = (np.sqrt(np.maximum(room, 0.0)) - radius * np.cos(phi) * math.cos(end.angle)) / math.sin(end.angle)
    return float(w.min())


@dataclass(frozen=True, slots=True, kw_only=True)
class SetBody:
    """What a set is placed in.

    Attributes:
        cage: drafted for this body.
        shell: what is known of it.
        gap: wanted, mm.
        floor: its height at the hoop, mm, or None.
        side: half width of the body over the sill at the hoop, mm, or None.
    """

    cage: Cage
    shell: Shell
    gap: float
    floor: float | None
    side: float | None


def fitted(file: SetFile, body: SetBody) -> tuple[list[SlotFit], list[Slot], list[tuple[str, str]]]:
    """The tubes in their places; the places left empty; the tubes left over, each with the reason."""
    pieces, over = pieces_of(file)
    left_over = list(over)
    slots, done = list(slots_of(body.cage)), dict[str, SlotFit]()
    feet = {foot.name: foot for foot in body.cage.feet}
    for role in dict.fromkeys(slot.member.role for slot in slots):
        mine = [p for p in pieces if p.tube.role == role]
        open_ = [s for s in slots if s.member.role == role and _stands_on_something(s, done)]
        for fit in _shared_out(mine, open_, done, feet, body):
            done[fit.slot.member.name] = fit
        left_over += _not_used(mine, done)
    roles: set[Role] = {slot.member.role for slot in slots}
    left_over += [
        (p.entry, f"this body's draft has no place for a {p.tube.role}")
        for p in pieces
        if p.tube.role not in roles and p.hand != "second"
    ]
    return list(done.values()), [s for s in slots if s.member.name not in done], left_over


def _stands_on_something(slot: Slot, done: Mapping[str, SlotFit]) -> bool:
    """Whether what its ends land on is there."""
    mains = {e.cut.mains[0] for e in slot.member.ends if isinstance(e.cut, Cope)}
    return all(name in done for name in mains)


def _not_used(mine: Sequence[SetPiece], done: Mapping[str, SlotFit]) -> list[tuple[str, str]]:
    used = {id(fit.piece) for fit in done.values()}
    return [
        (p.entry, "every place of its kind in this body is taken, or what it would stand on is missing")
        for p in mine
        if id(p) not in used
    ]


def _shared_out(
    pieces: Sequence[SetPiece],
    slots: Sequence[Slot],
    done: Mapping[str, SlotFit],
    feet: Mapping[str, Foot],
    body: SetBody,
) -> Iterator[SlotFit]:
    """The tubes of one role shared out over its places so that least is left in all (the Hungarian way)."""
    if not pieces or not slots:
        return
    tried = [[_best(piece, slot, done, feet, body) for slot in slots] for piece in pieces]
    cost = np.array([[_price(fit) + _wrong_side(fit.piece, fit.slot) for fit in row] for row in tried])
    for i, j in zip(*linear_sum_assignment(cost), strict=True):
        yield replace(tried[i][j], swapped=_wrong_side(pieces[i], slots[j]) > 0.0)


def _price(fit: SlotFit) -> float:
    """What is left, mm, with what it lacks on top."""
    return math.sqrt(fit.placed.cost) + fit.lack + fit.loose


def _wrong_side(piece: SetPiece, slot: Slot) -> float:
    return SAME_SIDE if piece.tube.side and slot.side and piece.tube.side != slot.side else 0.0


def _best(
    piece: SetPiece, slot: Slot, done: Mapping[str, SlotFit], feet: Mapping[str, Foot], body: SetBody
) -> SlotFit:
    """The tube in the place: with its notches kept where they serve, on sill and floor where it is a hoop."""
    seats: tuple[Seat, ...] = ("sill", "floor") if slot.member.role == "main rollbar" else ("",)
    if body.floor is None or body.side is None:
        seats = seats[:1]
    every = [_fit(piece, slot, seat, done, feet, body) for seat in seats]
    first = min(every, key=_price)
    return replace(first, others=tuple(fit for fit in every if fit is not first))


def _fit(
    piece: SetPiece,
    slot: Slot,
    seat: Seat,
    done: Mapping[str, SlotFit],
    feet: Mapping[str, Foot],
    body: SetBody,
) -> SlotFit:
    radius = (piece.tube.od or 0.0) / 2.0
    place = Place(
        path=slot.member.path, gap=body.gap, square=slot.member.role == "main rollbar",
        stands=(
            _stand(slot.member, 0, seat, done, feet, body, radius),
            _stand(slot.member, 1, seat, done, feet, body, radius),
        ),
        body=_beside(slot.member, feet, body),
    )  # fmt: skip
    past = (notch_past(piece.tube.start, radius), notch_past(piece.tube.end, radius))
    best: SlotFit | None = None
    for kept in ((True, True), (True, False), (False, True), (False, False)):
        if any(k and math.isnan(p) for k, p in zip(kept, past, strict=True)):
            continue
        some = (past[0] if kept[0] else math.nan, past[1] if kept[1] else math.nan)
        for found in placed(LyingTube(shape=piece.shape, radius=radius, past=some), place):
            stands = place.stands[::-1] if found.turned else place.stands
            if any(k and isinstance(stand, OnPlane) for k, stand in zip(kept, stands, strict=True)):
                continue
            rolled, off = _rolled(piece, found, stands, kept)
            lack, why = _lack(rolled, kept, off, stands)
            loose = sum(_loose(piece, rolled, s, i) for i, s in enumerate(stands) if kept[i])
            fit = SlotFit(
                piece=piece, slot=slot, seat=seat, placed=rolled, kept=kept, lack=lack, why=why, loose=loose
            )
            if best is None or _price(fit) < _price(best) - (0.0 if kept == best.kept else 0.5):
                best = fit
        if best is not None and best.suits:
            break
    assert best is not None
    return best


def _stand(
    member: Member, which: int, seat: Seat, done: Mapping[str, SlotFit], feet: Mapping[str, Foot],
    body: SetBody, radius: float,
) -> Stand:  # fmt: skip
    end = member.ends[which]
    at = member.path.pieces[0].start if which == 0 else member.path.pieces[-1].stop
    if end.foot is not None and not isinstance(end.cut, Cope):
        foot = feet[end.foot]
        inner = outer = None
        if seat == "floor" and body.floor is not None and body.side is not None:
            outer = body.side - SILL_WIDE - radius
            point = np.array([foot.point[0], math.copysign(outer, float(foot.point[1])), body.floor])
            return OnPlane(point=point, normal=foot.normal, outer=outer)
        if seat == "sill" and body.side is not None:
            inner, outer = body.side - SILL_WIDE, body.side - radius
        return OnPlane(point=foot.point, normal=foot.normal, inner=inner or 0.0, outer=outer or 1e4)
    assert isinstance(end.cut, Cope)
    main = done[end.cut.mains[0]]
    line = lines_of([path_of(main)])[0]
    return OnTube(line=near_part(line, at), radius=(main.piece.tube.od or 0.0) / 2.0, point=at)


def path_of(fit: SlotFit) -> Chain:
    """The centre line of a tube in its place, to its furthest points."""
    return centre_line(fit.piece.shape, fit.placed.frame)


def _beside(member: Member, feet: Mapping[str, Foot], body: SetBody) -> Surroundings | None:
    """The body's lines that the drafted tube runs beside; None where it is nowhere near."""
    if not member.bends:
        return None
    line = lines_of([member.path])[0][::4]
    across = member.role == "main rollbar"
    near = [
        one
        for one in body.shell.lines
        if (one.kind == "section" if across else one.kind in SKIN and one.kind != "section")
        and _apart(one, line) < BESIDE
    ]
    if not near:
        return None
    low = [float(feet[e.foot].point[2]) for e in member.ends if e.foot]
    look = beside_lines(near, (), min(low, default=-1e4) + FOOT_RUN)
    return _seen_along(look, float(near[0].points[:, 0].mean())) if across else look


def _seen_along(look: Surroundings, back: float) -> Surroundings:
    """The body beside points seen along the car: a section is known in its own plane only."""
    return lambda points: look(points * [0.0, 1.0, 1.0] + [back, 0.0, 0.0])


def _apart(one: BodyLine, line: Array) -> float:
    points = np.vstack([
        np.linspace(a, b, 8) for a, b in zip(one.points, one.points[1:], strict=False)
    ])  # fmt: skip
    return float(length(points[:, None] - line[None]).min())


def _rolled(
    piece: SetPiece, found: Placed, stands: Sequence[Stand], kept: Sequence[bool]
) -> tuple[Placed, float]:
    """A straight tube turned about itself until its kept notches face what they meet; what is left, rad."""
    wanted = [
        _heel_off(piece, found, stand, i)
        for i, (stand, keeps) in enumerate(zip(stands, kept, strict=True))
        if keeps
    ]
    if not wanted or piece.shape.angles:
        return found, max((abs(w) for w in wanted), default=0.0)
    roll = math.atan2(sum(map(math.sin, wanted)), sum(map(math.cos, wanted)))
    left = max(abs(math.remainder(w - roll, math.tau)) for w in wanted)
    frame = replace(found.frame, normal=turn(found.frame.normal, found.frame.along, roll))
    return replace(found, frame=frame), left


def heel_way(piece: SetPiece, found: Placed, which: int) -> tuple[Vector, Vector]:
    """The way (3,) from the tube's axis to its notch's heel, and the axis (3,) from the end inwards."""
    end = piece.tube.start if which == 0 else piece.tube.end
    path = centre_line(piece.shape, found.frame)
    line = lines_of([path])[0]
    travel = line[1] - line[0] if which == 0 else line[-1] - line[-2]
    travel = travel / float(length(travel))
    normal = found.frame.normal if which == 0 else _last_normal(piece.shape, found)
    inside = cross(normal, travel)
    clocking = -end.clocking if piece.hand == "second" and piece.tube.twin == "mirrored" else end.clocking
    return turn(inside, travel, clocking), travel if which == 0 else -travel


def _last_normal(shape: TubeShape, found: Placed) -> Vector:
    normal, along = found.frame.normal, found.frame.along
    for k, angle in enumerate(shape.angles):
        normal = turn(normal, along, shape.clockings[k - 1] if k else 0.0)
        along = turn(along, normal, angle)
    return normal


def _met(piece: SetPiece, found: Placed, stand: OnTube, which: int) -> tuple[float, float]:
    """At what angle a kept notch meets its tube, and how far about the travel its heel is off, rad."""
    way, axis = heel_way(piece, found, which)
    k = int(np.argmin(length(stand.line[:-1] - found.ends[which].at)))
    main = stand.line[k + 1] - stand.line[k]
    main = main / float(length(main))
    travel = axis if which == 0 else -axis
    off = signed_angle(square_to(travel, way), heel(axis, main), travel)
    return math.acos(min(abs(float(axis @ main)), 1.0)), off


def _loose(piece: SetPiece, found: Placed, stand: Stand, which: int) -> float:
    """The gap that a kept notch leaves where the two tubes meet at another angle than it was cut for, mm."""
    if not isinstance(stand, OnTube):
        return 0.0
    angle = (piece.tube.start if which == 0 else piece.tube.end).angle
    met, off = _met(piece, found, stand, which)
    out = abs(met - angle) if abs(off) < math.pi / 2.0 else math.pi - met - angle
    return (piece.tube.od or 0.0) * math.tan(min(out, 1.0))


def _heel_off(piece: SetPiece, found: Placed, stand: Stand, which: int) -> float:
    """How far, about the tube's travel, the notch's heel is from where it would face what it meets, rad.

    Near to square the two hollows of a notch are all but alike: then either may be the heel.
    """
    if not isinstance(stand, OnTube):
        return 0.0
    angle = (piece.tube.start if which == 0 else piece.tube.end).angle
    met, off = _met(piece, found, stand, which)
    alike = math.pi - met - angle < ALIKE
    return off if not alike or abs(off) < math.pi / 2.0 else off - math.copysign(math.pi, off)


def _lack(found: Placed, kept: Sequence[bool], off: float, stands: Sequence[Stand]) -> tuple[float, str]:
    """What a tube lacks in its place: the worst of short, aside, too large, too small; in mm and words.

    A foot that is a little short is boxed up, one that stands in the body's side is told with the body.
    """
    worst: list[tuple[float, str]] = []
    for word, end, keeps, stand in zip(("start", "end"), found.ends, kept, stands, strict=True):
        foot = isinstance(stand, OnPlane)
        if end.more > (BOXED if foot else KEPT if keeps else SHORT):
            worst.append((end.more, f"its {word} is {end.more:.0f} mm short"))
        if keeps and end.more < -KEPT:
            worst.append((-end.more, f"its {word} is {-end.more:.0f} mm too long for its notch"))
        if end.aside > (WRONG_SEAT if foot else ASIDE):
            worst.append((end.aside, f"its {word} stands {end.aside:.0f} mm beside what it should stand on"))
    if found.deep > DEEP:
        worst.append((found.deep, f"it is too large: {found.deep:.0f} mm into the body where it does best"))
    if found.gaps is not None and found.gaps[1] > FAR_OFF:
        worst.append((found.gaps[1], f"it is too small: {found.gaps[1]:.0f} mm off the body on average"))
    if off > math.radians(8.0):
        worst.append((math.degrees(off), f"its notch is turned {math.degrees(off):.0f} deg the wrong way"))
    return max(worst, default=(0.0, ""))
