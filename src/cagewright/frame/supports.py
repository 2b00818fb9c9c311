"""The feet of a cage in the frame: held, or on springs with capacities in the plate's own axes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector, cross, square_to
from cagewright.frame.choices import Choices
from cagewright.frame.errors import FrameError
from cagewright.frame.feet import FootGround, FootHold, foot_hold, grounds, punching
from cagewright.frame.mesh import FrameMesh
from cagewright.frame.model import Flags, Hinges, Springs
from cagewright.shape.feet import footprint
from cagewright.shape.types import Cage, Foot

DRILL = 10.0
"""A foot is this many times stiffer and stronger against turning on the spot than tilting (assumed)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FootPlace:
    """Where a foot is in the frame.

    Attributes:
        foot: the foot.
        node: its node.
        springs: rows of its springs, empty where it is held or stands on hinges.
        hinges: rows of its hinges to the ground, empty where it is held or stands on springs.
        ground: node of the ground under its hinges, or -1.
        hold: what the shell carries, or None where the foot is called rigid.
        shell: what is under it, or None where the foot is called rigid.
        punching: N that shears the sheet all round the plate, or None.
    """

    foot: Foot
    node: int
    springs: tuple[int, ...]
    hinges: tuple[int, ...]
    ground: int
    hold: FootHold | None
    shell: FootGround | None
    punching: float | None


@dataclass(slots=True, kw_only=True)
class Supports:
    """Feet as they are set down: their places, rows of springs and of hinges, held nodes."""

    places: list[FootPlace]
    springs: list[tuple[int, int, float, float, float, str]]
    hinges: list[tuple[int, int, Vector, Vector, Vector, str]]
    held: list[int]


def shell_under(foot: Foot) -> FootGround | None:
    """What the foot stands on: the assumed row, changed where the builder gauged it; None if called rigid."""
    if foot.seat == "rigid":
        return None
    row = grounds()[foot.seat]
    sheet = foot.sheet
    if sheet is None:
        return row
    gauged = [getattr(sheet, key) is not None for key in ("thickness", "yield_strength", "span", "depth")]
    return FootGround(
        name=row.name,
        kind=row.kind,
        thickness=sheet.thickness or row.thickness,
        yield_strength=sheet.yield_strength or row.yield_strength,
        span=sheet.span or row.span,
        depth=sheet.depth or row.depth,
        source=sheet.source or "gauged by the builder",
        certainty="shop" if gauged[0] and gauged[1] else "memory",
    )


def supports_of(cage: Cage, mesh: FrameMesh, choices: Choices, first_hinge: int) -> Supports:
    """Every foot that a member lands on, set down; nodes for the ground are added to the mesh.

    Args:
        cage: what stands.
        mesh: its nodes.
        choices: whether the shell under the feet gives.
        first_hinge: how many hinges there are before.

    Raises:
        FrameError: no member lands on a foot, and no rail is welded to the shell along its length.
    """
    supports = Supports(places=[], springs=[], hinges=[], held=[])
    for foot in cage.feet:
        node = mesh.feet.get(foot.name)
        if node is not None:
            supports.places.append(_set(foot, node, mesh, choices, supports, first_hinge))
    for foot, along in runs_as_feet(cage):
        supports.places.append(
            _set(foot, mesh.node_on(foot.members[0], along), mesh, choices, supports, first_hinge)
        )
    if not supports.places:
        raise FrameError(["the cage stands on nothing: no member lands on a foot"])
    return supports


def all_feet(cage: Cage) -> tuple[Foot, ...]:
    """The feet, and the weld runs of rails as feet."""
    return (*cage.feet, *(foot for foot, _ in runs_as_feet(cage)))


def runs_as_feet(cage: Cage) -> Iterator[tuple[Foot, float]]:
    """Every weld run of a rail as a foot, its plate the run by the side it lies on, and where it is, mm."""
    for member in cage.members:
        if member.lie is None:
            continue
        wide = member.tube.section.width
        for k, run in enumerate(member.runs, start=1):
            middle = 0.5 * (run.start + run.stop)
            under = point_at(member.path, middle) - 0.5 * member.tube.section.depth * member.lie.up
            size = max(run.stop - run.start, 1.0)
            yield Foot(
                name=f"{member.name} run {k}", point=under, normal=member.lie.up, seat=run.seat,
                plate=(size, wide, 0.0), contact=size * wide, bolts=None, members=(member.name,),
                sheet=run.sheet,
            ), middle  # fmt: skip


def _set(
    foot: Foot, node: int, mesh: FrameMesh, choices: Choices, supports: Supports, first_hinge: int
) -> FootPlace:
    shell = shell_under(foot)
    plate = footprint(foot)
    hold = foot_hold(shell, plate) if shell else None
    springs, hinges, ground = (), (), -1
    if hold is None or choices.feet == "rigid":
        supports.held.append(node)
    elif faces_an_axis(foot.normal):
        rows = spring_rows(foot.normal, hold)
        springs = tuple(range(len(supports.springs), len(supports.springs) + len(rows)))
        supports.springs += [(node, *row, foot.name) for row in rows]
    else:
        ground = mesh.add_node(mesh.nodes[node])
        supports.held.append(ground)
        rows = hinge_rows(foot.normal, hold)
        start = first_hinge + len(supports.hinges)
        hinges = tuple(range(start, start + len(rows)))
        supports.hinges += [(ground, node, *row, foot.name) for row in rows]
    return FootPlace(
        foot=foot, node=node, springs=springs, hinges=hinges, ground=ground, hold=hold, shell=shell,
        punching=punching(shell, plate) if shell else None,
    )  # fmt: skip


def faces_an_axis(normal: Vector) -> bool:
    """Whether a plate faces back, across or up within a tenth of a degree."""
    return float(np.abs(normal).max()) > np.cos(np.radians(0.1))


def spring_rows(normal: Vector, hold: FootHold) -> list[tuple[int, float, float, float]]:
    """Springs of a plate that faces an axis: degree of freedom, stiffness, capacity moving minus and plus."""
    rows = [(dof, *_spring(normal, hold, dof)) for dof in range(6)]
    if hold.dishing > 0.0:
        square = int(np.argmax(np.abs(normal)))
        push, tilt = _beyond(hold)
        rows.append((square, hold.dishing, push, push))
        rows += [(3 + dof, hold.dishing_tilt, tilt, tilt) for dof in range(3) if dof != square]
    return rows


def _beyond(hold: FootHold) -> tuple[float, float]:
    """What a sheet carries as a skin, beyond its folding, until it shears round the plate, N and N mm."""
    return max(hold.tear - hold.push, 1.0), max(hold.tear_tilt - hold.tilt, 1.0)


def _spring(normal: Vector, hold: FootHold, dof: int) -> tuple[float, float, float]:
    square = abs(float(normal[dof % 3])) > 0.5
    if dof >= 3:
        times = DRILL if square else 1.0
        return hold.tilting * times, hold.tilt * times, hold.tilt * times
    if not square:
        return hold.sliding, hold.slide, hold.slide
    into, out_of = hold.push, hold.pull
    return (hold.normal, into, out_of) if normal[dof] > 0.0 else (hold.normal, out_of, into)


def hinge_rows(normal: Vector, hold: FootHold) -> list[tuple[Vector, Vector, Vector]]:
    """Axes (3, 3), stiffness (6,) and capacity (3,) of a tilted plate's hinges to the ground.

    Exact in the plate's own axes. The first gives under push (or pull: the lesser) and tilt together by the
    joints' rule, the second is the sheet pulling like a skin; sliding along the plate never gives in the
    model, but is compared with its strength.
    """
    first = square_to(normal, np.array([0.0, 1.0, 0.0]))
    axes = np.array([normal, first, cross(normal, first)])
    stiffness = np.array([
        hold.normal,
        hold.sliding,
        hold.sliding,
        DRILL * hold.tilting,
        hold.tilting,
        hold.tilting,
    ])
    rows = [(axes, stiffness, np.array([min(hold.push, hold.pull), hold.tilt, hold.tilt]))]
    if hold.dishing > 0.0:
        # a hinge needs some stiffness in every direction: a thousandth of what the first one has
        flat, drill = 1e-3 * stiffness[1], 1e-3 * stiffness[3]
        skin = np.array([hold.dishing, flat, flat, drill, hold.dishing_tilt, hold.dishing_tilt])
        push, tilt = _beyond(hold)
        rows.append((axes, skin, np.array([push, tilt, tilt])))
    return rows


def springs_of(supports: Supports) -> Springs:
    """The feet's springs."""
    rows = supports.springs
    return Springs(
        node=np.array([r[0] for r in rows], np.int64),
        dof=np.array([r[1] for r in rows], np.int64),
        stiffness=np.array([r[2] for r in rows]),
        capacity=np.array([r[3:5] for r in rows]).reshape(-1, 2),
        names=tuple(r[5] for r in rows),
    )


def hinges_with(joints: Hinges, supports: Supports) -> Hinges:
    """The joints' hinges and the feet's after them."""
    rows = supports.hinges
    if not rows:
        return joints
    return Hinges(
        ends=np.concatenate([joints.ends, np.array([r[:2] for r in rows], np.int64)]),
        axes=np.concatenate([joints.axes, np.array([r[2] for r in rows])]),
        stiffness=np.concatenate([joints.stiffness, np.array([r[3] for r in rows])]),
        capacity=np.concatenate([joints.capacity, np.array([r[4] for r in rows])]),
        tubes=joints.tubes,
        names=(*joints.names, *(r[5] for r in rows)),
    )


def held_nodes(count: int, supports: Supports) -> Flags:
    """Flags (count, 6) of what is held."""
    fixed = np.zeros((count, 6), np.bool_)
    fixed[supports.held] = True
    return fixed
