"""How the bench's work goes into the car: by which opening, in which moves, and what must wait outside."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation, Slerp

from cagewright.base.answers import Answer, Value, figure
from cagewright.base.names import listed, named, shown
from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.fitup.carry import CarriedIn, carried_in
from cagewright.fitup.opening import opening_of, wrong_edge
from cagewright.fitup.order import Where
from cagewright.fitup.room import GROUND
from cagewright.fitup.way import part_of, turned
from cagewright.job.opening import Job
from cagewright.job.order import bench_work, openings_of, shell_in, steps_of
from cagewright.plan.types import where_of
from cagewright.shape.types import Line3

Floats = NDArray[np.float64]
LEAST_TURN, LEAST_MOVE = np.radians(4.0), 12.0
"""Turns and moves smaller than these (rad, mm) are not said."""
WAYS: tuple[tuple[str, str], ...] = (("back", "forward"), ("to the right", "to the left"), ("up", "down"))
"""The car's axes as a hand moves along them, and the other way."""
TURNS: tuple[tuple[str, str], ...] = (
    ("right side up", "left side up"), ("nose up", "nose down"), ("anticlockwise", "clockwise"),
)  # fmt: skip
"""A turn about each axis of the car, and the other way; the last as seen from above."""
ENDS: dict[Where, str] = {
    "car": "It stands in its place: tack its feet plumb and square to the car.",
    "dropped": "It hangs low, as it does when the roof's joints are welded: from there it is pushed up.",
    "slid": "It stands slid back with its feet loose: from there it is pushed home.",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryMove:
    """One move of the way in.

    Attributes:
        number: from 1; the first holds the part up outside.
        words: what to do.
        room: least room round the part on it, at least; None for the first, and the last, which ends against
            the body.
        said: both in one.
        pose: where the part's middle then is (3), mm, and how it is turned from the plan (w, x, y, z).
    """

    number: int
    words: str
    room: Value | None
    said: str
    pose: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PassageAnswer(Answer):
    """How the bench's work goes in.

    Attributes:
        opening: name of the measured opening.
        members: tubes that go in together.
        waits: tubes that have to wait outside.
        middle: (3) the part's middle where the plan has it, mm.
        moves: from outside to its place; none where no way was found.
        room: least room on the way, but for the last move, at least.
        counted: what the search knew of the body, in a sentence.
    """

    opening: str
    members: tuple[str, ...]
    waits: tuple[str, ...]
    middle: tuple[float, float, float]
    moves: tuple[CarryMove, ...]
    room: Value | None
    counted: str


def passage_of(job: Job, door: str, tubes: tuple[str, ...] = ()) -> PassageAnswer:
    """How the bench's work goes in through that opening.

    Args:
        job: the plan, opened.
        door: name of a measured line.
        tubes: that are joined; what the order joins on the bench where not given.

    Raises:
        ProblemsFound: there is no such line, or it is no opening.
    """
    line = opening_line(job, door)
    names = tubes or bench_work(steps_of(job)) or steps_of(job)[0].tack
    return job.cache.get(("passage", job.key, line.name, names), lambda: _answer(job, line, names))


def plainest_passage(job: Job) -> PassageAnswer | None:
    """The way in that the book tells: by the first opening through which the whole goes; None without any.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    names = openings_of(job) if bench_work(steps_of(job)) else ()
    found: PassageAnswer | None = None
    for name in names:
        answer = passage_of(job, name)
        if answer.moves and not answer.waits:
            return answer
        found = found if found and (found.moves or not answer.moves) else answer
    return found


def opening_line(job: Job, door: str) -> Line3:
    """The measured line of that name.

    Raises:
        ProblemsFound: there is no such line, or it is no opening.
    """
    known = [line.name for line in job.cage.lines]
    line = next((x for x in job.cage.lines if x.name == named(door, known)), None)
    where = where_of(job.plan, ("shell", "lines"))
    if line is None:
        near = nearest_word(door, known)
        wanted = f"wanted one of {', '.join(known)}" if known else "wanted a plan with shell lines"
        found = f"there is no measured line '{door}'"
        raise ProblemsFound([Problem(code="no-line", where=where, found=found, wanted=wanted, nearest=near)])
    try:
        opening = opening_of(line.points, np.zeros(3))
        wrong_edge(line.points, opening, job.cage.units)
    except ValueError as wrong:
        shell = job.plan.shell
        owner = next((n for n, e in (shell.lines if shell else {}).items() if line.name in {n, e.mirror}), "")
        where = where_of(job.plan, ("shell", "lines", owner, "path"))
        found = f"'{line.name}' is no opening: {wrong}"
        wanted = "wanted a closed line of three corners or more, near enough to flat"
        raise ProblemsFound([Problem(code="no-opening", where=where, found=found, wanted=wanted)]) from None
    return line


def _answer(job: Job, line: Line3, names: tuple[str, ...]) -> PassageAnswer:
    units = job.cage.units
    found = carried_in(job.cage, shell_in(job), line.points, names)
    blank = PassageAnswer(
        headline="", opening=line.name, members=found.members, waits=found.waits, middle=(0.0, 0.0, 0.0),
        moves=(), room=None, counted=_counted(job, line, units),
    )  # fmt: skip
    if found.way is None:
        return replace(
            blank, headline=_none(found, line, units), level="fail" if found.never else "cannot tell"
        )
    chosen = [m for m in job.cage.members if m.name in found.members]
    middle = part_of(chosen).middle
    on_the_way = found.way.room[:-1] if len(found.way.room) > 1 else found.way.room
    least = figure(float(on_the_way.min()), "length", units, places=0, bound="at least")
    moves = _moves(found, first=_first_through(job, line, found), units=units)
    waits = f", {listed(found.waits)} left outside," if found.waits else ""
    goes = f"{_part_words(found.members)} goes in through {shown(line.name)}{waits} in {len(moves)} moves"
    return replace(
        blank,
        headline=f"{goes}, {least.said} clear on the way as far as the body is known.",
        level="look at" if found.waits else "fine",
        middle=(float(middle[0]), float(middle[1]), float(middle[2])),
        moves=moves,
        room=least,
    )


def _part_words(members: tuple[str, ...]) -> str:
    return shown(members[0]) + (f" with {listed(map(shown, members[1:]))}" if len(members) > 1 else "")


def _none(found: CarriedIn, line: Line3, units: LengthUnit) -> str:
    part, door = _part_words(found.members), shown(line.name)
    if found.never is not None:
        size, room = (say_length(v, units, places=0) for v in (found.never.size, found.never.room))
        why = {
            "tube": f"a tube of it is {size} thick and the widest circle in the opening {room}",
            "ring": f"it holds a closed ring {size} across where it is narrowest, and the opening is {room} "
            "at its widest",
        }[found.never.what]
        return f"{part} never goes in through {door}, however it is turned: {why}. Join it inside."
    if found.blocked > 0.0:
        deep = say_length(found.blocked, units, places=0)
        return (
            f"{part} through {door}: cannot tell. Where the plan has it it stands {deep} in the body, and "
            "hung low or slid back too: put that right first (check says where)."
        )
    return (
        f"{part} through {door}: cannot tell. No way found in {found.tries} tries, with up to two tubes left "
        f"out; try it with a light frame of the same size, or join it inside."
    )


def _counted(job: Job, line: Line3, units: LengthUnit) -> str:
    spanned = "roof, pillars, rails and floor as spanned over the measured lines"
    body = "the scan" if shell_in(job).scan is not None else spanned
    ground = say_length(GROUND, units, places=0)
    return (
        f"Counted: the edge of {shown(line.name)} and the skin round it, {body}, and the ground {ground} "
        "under the lowest of it (assumed). Not counted: seats, wheel, trim and whatever was not measured, "
        "and the shell within a plate's length of its own feet. How near it stands in its place, the body "
        "checks say."
    )


def _moves(found: CarriedIn, *, first: str, units: LengthUnit) -> tuple[CarryMove, ...]:
    assert found.way is not None
    poses, room = found.way.poses, found.way.room
    hold = f"Hold it up outside, {_attitude(poses[0])}; {first} goes in first."
    moves = [CarryMove(number=1, words=hold, room=None, said=hold, pose=_plain(poses[0]))]
    for n, ((one, two), least) in enumerate(zip(pairwise(poses), room, strict=True), start=2):
        last = n == len(poses)
        then = f" {ENDS[found.where]}" if last else f" Now {_attitude(two)}."
        words = f"{_move_words(one, two, units)}.{then}"
        room = None if last else figure(float(least), "length", units, places=0, bound="at least")
        said = f"{words} {room.said} clear." if room else words
        moves.append(CarryMove(number=n, words=words, room=room, said=said, pose=_plain(two)))
    return tuple(moves)


def _plain(pose: Floats) -> tuple[float, ...]:
    return tuple(round(float(v), 5) for v in pose)


def _move_words(one: Floats, two: Floats, units: LengthUnit) -> str:
    """``Turn it nose up 40° and left side up 15° while it moves 320 mm to the right and 90 mm up``."""
    turn = (turned(two) * turned(one).inv()).as_rotvec()
    turns = [
        f"{TURNS[i][0] if turn[i] > 0.0 else TURNS[i][1]} {np.degrees(abs(turn[i])):.0f}°"
        + (" seen from above" if i == 2 else "")
        for i in np.argsort(-np.abs(turn))
        if abs(turn[i]) > LEAST_TURN
    ]
    shift = two[:3] - one[:3]
    shifts = [
        f"{say_length(abs(float(shift[i])), units, places=0)} {WAYS[i][0] if shift[i] > 0.0 else WAYS[i][1]}"
        for i in np.argsort(-np.abs(shift))
        if abs(shift[i]) > LEAST_MOVE
    ]
    if turns and shifts:
        return f"Turn it {listed(turns)} while its middle moves {listed(shifts)}"
    if turns:
        return f"Turn it {listed(turns)} where it is"
    return f"Move it {listed(shifts)}" if shifts else "Bring it a finger's width into line"


def _attitude(pose: Floats) -> str:
    """``its top pointing forward and up, its left side down``; as in the car where it is turned by little."""
    turn = turned(pose)
    if turn.magnitude() < 2.0 * LEAST_TURN:
        return "upright as in the car"
    top, left = turn.apply([[0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
    return f"its top pointing {_way_words(top)}, its left side {_way_words(left)}"


def _way_words(way: Floats) -> str:
    order = np.argsort(-np.abs(way))
    words = [WAYS[i][0] if way[i] > 0.0 else WAYS[i][1] for i in order if abs(way[i]) > 0.4]
    return " and ".join(words[:2])


def _first_through(job: Job, line: Line3, found: CarriedIn) -> str:
    """Which corner of which tube is first inside the opening: ``the upper left of main hoop``."""
    assert found.way is not None
    part = part_of([m for m in job.cage.members if m.name in found.members])
    opening = opening_of(line.points, part.middle)
    middles = (part.tubes[:, :3] + part.tubes[:, 3:6]) / 2.0
    places = np.concatenate([part.tubes[:, :3], middles, part.tubes[:, 3:6]])
    for one, two in pairwise(found.way.poses):
        slerp = Slerp([0.0, 1.0], Rotation.concatenate([turned(one), turned(two)]))
        for share in np.linspace(0.0, 1.0, 25):
            at = slerp(share).apply(places) + one[:3] + share * (two[:3] - one[:3])
            out = (at - opening.at) @ opening.out
            if float(out.min()) < 0.0:
                which = int(np.argmin(out))
                return f"{_corner(places[which])} of {shown(part.names[which % len(part.names)])}"
    return "the nearest corner"


def _corner(place: Floats) -> str:
    side = "left" if place[1] < -150.0 else "right" if place[1] > 150.0 else ""
    high = "upper" if place[2] > 150.0 else "lower" if place[2] < -150.0 else ""
    return f"the {' '.join(w for w in (high, side) if w) or 'middle'}"
