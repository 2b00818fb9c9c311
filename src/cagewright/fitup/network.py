"""Rigid bodies, marks on them and readings between the marks, with the equations that tie them.

A mark at p on a body whose middle is c is at c + R(turn)(p - c) + move. The derivative of a turned arm r
by the turn vector is -[r]x J(turn), J the left Jacobian of the rotation group: J = I + (1 - cos a)/a^2 [w]x +
(a - sin a)/a^3 [w]x^2 (Rodrigues; J. Sola, A micro Lie theory, arXiv:1812.01537, eq. 145, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation

from cagewright.base.curves import point_at
from cagewright.base.vectors import UP
from cagewright.fitup.marks import Mark
from cagewright.shape.types import Cage, member_named

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Kind = Literal["tape", "level", "lean", "place"]
AXES = ("back", "across", "up")
SIZES: dict[Kind, float] = {"tape": 1.0, "level": 1.0, "lean": np.radians(0.1), "place": 1.0}
"""Standard deviation of a reading where none is given: mm, and rad for a lean (assumed)."""
BENT, FLAT = 50.0, 3.0
"""A tube lies flat on the bench where it is at least so far from straight, at most so far from plane, mm."""
SOFT_MOVE, SOFT_TURN = 50.0, 0.1
"""How far a body may be from the plan before anything is read: standard deviations, mm and rad (assumed).

Wide beside any reading; they only keep what no reading fixes (a plain tube's roll) from being undefined."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measurement.

    Attributes:
        name: how it is spoken of, e.g. ``main_hoop.start to front_left``.
        kind: ``tape`` distance; ``level``: how much higher ``b`` is than ``a``; ``lean``: of the line
            from ``a`` up to ``b`` off the plumb, towards ``axis``; ``place``: of ``a`` along ``axis``.
        a: name of a mark.
        b: name of the other mark; empty for a place.
        axis: 0 back, 1 across, 2 up; -1 where it has none.
        seen: mm, or rad for a lean.
        size: its standard deviation, mm or rad.
    """

    name: str
    kind: Kind
    a: str
    b: str
    axis: int
    seen: float
    size: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """What moves as one piece: a welded sub-assembly or a tacked tube; ``name`` is its first member's."""

    name: str
    members: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """Marks on bodies, as arrays.

    Attributes:
        bodies: those that can move.
        held: what the positions are told from: ``the car``, or the datum body's name.
        marks: every mark that stands on a body or on what is held.
        index: mark's row by name.
        points: (n, 3) where the plan wants the marks, mm.
        body: (n,) each mark's body, -1 where it is held.
        middles: (k, 3) each body's middle, about which it turns, mm.
        up: unit (3,) that a level goes by: the car's, or on the bench square to the tube that lies on it.
        prior: (6k, 6k) weights 1/mm2 and 1/rad2 of the plan's own places, and of what is tacked together.
    """

    bodies: tuple[Body, ...]
    held: str
    marks: tuple[Mark, ...]
    index: Mapping[str, int]
    points: Floats
    body: Ints
    middles: Floats
    up: Floats
    prior: Floats


CAR = "the car"
TACKED = 1.5
"""How far a tacked joint may have been left open, standard deviation in each direction, mm (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tie:
    """Two members tacked together at ``point`` (3,), mm."""

    point: Floats
    members: tuple[str, str]


def ties_of(cage: Cage) -> tuple[Tie, ...]:
    """Every joint of the cage, tacked."""
    return tuple(Tie(point=j.point, members=(j.branch, m)) for j in cage.joints for m in j.mains)


def network(
    marks: Sequence[Mark],
    bodies: Sequence[Body],
    *,
    datum: str = CAR,
    held: Sequence[str] = (),
    up: Floats = UP,
    ties: Sequence[Tie] = (),
) -> Network:
    """The marks that stand on the bodies, or on what is held.

    Args:
        marks: of the cage and the car.
        bodies: what is there, each moving as one piece.
        held: members of bodies that stand where the plan has them, beside the datum.
        datum: ``the car`` (marks on the car are held), or the name of the body that all else is told from.
        up: unit (3,) that a level goes by.
        ties: where members that are there were tacked together before anything was read.

    Raises:
        ValueError: the datum is none of these, a member is in two bodies, or no mark is left.
    """
    names = [b.name for b in bodies]
    if datum != CAR and datum not in names:
        raise ValueError(f"the datum '{datum}' is neither {CAR} nor one of the bodies")
    members = [m for b in bodies for m in b.members]
    if len(set(members)) != len(members):
        raise ValueError("a member is in two bodies")
    free = tuple(b for b in bodies if b.name != datum and not set(b.members) & set(held))
    owner = {m: k for k, b in enumerate(free) for m in b.members}
    owner |= {m: -1 for b in bodies if b not in free for m in b.members}
    car = datum == CAR
    kept = tuple(m for m in marks if (m.member in owner if m.member else car))
    if not kept:
        raise ValueError("no mark stands on any of the bodies")
    body = np.array([owner[m.member] if m.member else -1 for m in kept], np.int64)
    points = np.array([m.point for m in kept])
    middles = np.array([points[body == k].mean(axis=0) for k in range(len(free))]).reshape(-1, 3)
    return Network(
        bodies=free,
        held=datum,
        marks=kept,
        index={m.name: i for i, m in enumerate(kept)},
        points=points,
        body=body,
        middles=middles,
        up=up,
        prior=np.diag(soft_weights(len(free))) + _tied(ties, owner, middles),
    )


def _tied(ties: Sequence[Tie], owner: Mapping[str, int], middles: Floats) -> Floats:
    """(6k, 6k) weights that hold tacked members together where they meet."""
    out = np.zeros((6 * len(middles), 6 * len(middles)))
    for tie in ties:
        ends = [owner[m] for m in tie.members if m in owner]
        if len(ends) < 2 or ends[0] == ends[1]:
            continue
        apart = np.zeros((3, len(middles), 6))
        for k, sign in zip(ends, (1.0, -1.0), strict=True):
            if k >= 0:
                apart[:, k, :3] += sign * np.eye(3)
                apart[:, k, 3:] -= sign * skew(tie.point - middles[k])
        rows = apart.reshape(3, -1) / TACKED
        out += rows.T @ rows
    return out


def up_at(cage: Cage, datum: str) -> Floats:
    """Unit (3,) that a level goes by: up in the car; square to the tube that lies flat on the bench."""
    if datum == CAR:
        return UP
    path = member_named(cage, datum).path
    points = np.array([point_at(path, s) for s in np.linspace(0.0, path.length, 40)])
    _, sizes, ways = np.linalg.svd(points - points.mean(axis=0))
    if sizes[1] < BENT * np.sqrt(len(points)) or sizes[2] > FLAT * np.sqrt(len(points)):
        return UP
    middle = np.mean([point_at(m.path, m.path.length / 2.0) for m in cage.members], axis=0)
    return ways[2] * (1.0 if ways[2] @ (middle - points.mean(axis=0)) >= 0.0 else -1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """Readings as arrays: ``kind`` (m,) 0 tape, 1 level, 2 lean, 3 place; ``b`` is ``a`` for a place.

    ``up`` is the unit (3,) that a level goes by.
    """

    kind: Ints
    a: Ints
    b: Ints
    axis: Ints
    seen: Floats
    size: Floats
    up: Floats


def soft_weights(bodies: int) -> Floats:
    """(6k,) weights 1/mm2 and 1/rad2 of the plan's own place for each body."""
    return np.tile([SOFT_MOVE**-2] * 3 + [SOFT_TURN**-2] * 3, bodies)


KINDS: tuple[Kind, ...] = ("tape", "level", "lean", "place")


def rows_of(net: Network, readings: Sequence[Reading]) -> Rows:
    """The readings as arrays.

    Raises:
        KeyError: a reading names a mark that is not in the network.
    """
    return Rows(
        kind=np.array([KINDS.index(r.kind) for r in readings], np.int64),
        a=np.array([net.index[r.a] for r in readings], np.int64),
        b=np.array([net.index[r.b or r.a] for r in readings], np.int64),
        axis=np.array([r.axis for r in readings], np.int64),
        seen=np.array([r.seen for r in readings], float),
        size=np.array([r.size for r in readings], float),
        up=net.up,
    )


def placed(net: Network, state: Floats) -> Floats:
    """Where the marks are (n, 3), mm, with the bodies moved and turned by ``state`` (k, 6), mm and rad."""
    out = net.points.copy()
    for k in range(len(net.bodies)):
        mine = net.body == k
        arm = net.points[mine] - net.middles[k]
        out[mine] = net.middles[k] + Rotation.from_rotvec(state[k, 3:]).apply(arm) + state[k, :3]
    return out


def slopes_of_places(net: Network, state: Floats) -> Floats:
    """(n, 3, 6) how each mark moves with its own body's six numbers; 0 where it is held."""
    out = np.zeros((len(net.points), 3, 6))
    for k in range(len(net.bodies)):
        mine = np.flatnonzero(net.body == k)
        turn = state[k, 3:]
        arm = Rotation.from_rotvec(turn).apply(net.points[mine] - net.middles[k])
        out[mine, :, :3] = np.eye(3)
        out[mine, :, 3:] = -skew(arm) @ _left_jacobian(turn)
    return out


def rigid_slopes(arms: Floats) -> Floats:
    """(n, 3, 6) how places (n, 3) off a body's middle move with its move and small turn about that."""
    return np.concatenate([np.tile(np.eye(3), (len(arms), 1, 1)), -skew(arms)], axis=2)


def skew(v: Floats) -> Floats:
    """Cross-product matrices (..., 3, 3) of (..., 3)."""
    out = np.zeros((*v.shape, 3))
    out[..., 0, 1], out[..., 0, 2], out[..., 1, 2] = -v[..., 2], v[..., 1], -v[..., 0]
    return out - np.swapaxes(out, -1, -2)


def _left_jacobian(turn: Floats) -> Floats:
    a = float(np.sqrt(turn @ turn))
    w = skew(turn)
    if a < 1e-4:
        return np.eye(3) + 0.5 * w + w @ w / 6.0
    return np.eye(3) + (1.0 - np.cos(a)) / a**2 * w + (a - np.sin(a)) / a**3 * w @ w


def predicted(rows: Rows, places: Floats) -> Floats:
    """(m,) what each reading would say with the marks at ``places`` (n, 3): mm, rad for a lean."""
    one, two = places[rows.a], places[rows.b]
    gap = two - one
    along = gap[np.arange(len(gap)), rows.axis]
    return np.choose(
        rows.kind,
        [
            np.sqrt((gap**2).sum(axis=1)),
            gap @ rows.up,
            np.arctan2(along, gap[:, 2]),
            one[np.arange(len(one)), rows.axis],
        ],
    )


def slopes(net: Network, rows: Rows, state: Floats) -> Floats:
    """(m, 6k) how each predicted reading changes with the bodies' numbers, not yet divided by its size."""
    places, of_place = placed(net, state), slopes_of_places(net, state)
    by_b, by_a = _by_points(rows, places)
    out = np.zeros((len(rows.a), max(len(net.bodies), 1), 6))
    for at, by in ((rows.a, by_a), (rows.b, by_b)):
        free = net.body[at] >= 0
        np.add.at(
            out,
            (np.flatnonzero(free), net.body[at][free]),
            np.einsum("mi,mij->mj", by[free], of_place[at[free]]),
        )
    return out[:, : len(net.bodies)].reshape(len(rows.a), 6 * len(net.bodies))


def _by_points(rows: Rows, places: Floats) -> tuple[Floats, Floats]:
    """How each reading changes with its second and its first mark's place, (m, 3) each."""
    gap = places[rows.b] - places[rows.a]
    i = np.arange(len(gap))
    far = np.sqrt((gap**2).sum(axis=1))
    by = np.zeros_like(gap)
    tape, level, lean, place = (rows.kind == k for k in range(4))
    by[tape] = gap[tape] / np.maximum(far[tape], 1e-9)[:, None]
    by[level] = rows.up
    along, rise = gap[i, rows.axis], gap[:, 2]
    square = np.maximum(along**2 + rise**2, 1e-9)
    by[i[lean], rows.axis[lean]] = (rise / square)[lean]
    by[lean, 2] = (-along / square)[lean]
    first = -by
    first[i[place], rows.axis[place]] = 1.0
    return by, first
