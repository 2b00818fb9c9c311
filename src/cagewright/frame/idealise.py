"""From a cage to the frame that stands for it, with a map back to members, joints and feet."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector, cross, length, square_to, unit
from cagewright.frame.bends import bend_factor
from cagewright.frame.choices import Choices
from cagewright.frame.feet import FootHold, foot_hold, grounds
from cagewright.frame.joint_strength import JointSizes, JointStrength, joint_strength
from cagewright.frame.model import (
    Bars,
    Floats,
    FrameModel,
    Hinges,
    Ints,
    Material,
    Springs,
    bilinear,
    frame_model,
    tube_sections,
)
from cagewright.frame.stations import TOGETHER, Stations, stations_of
from cagewright.frame.strips import Strip, strips_of
from cagewright.frame.troubles import FrameError
from cagewright.shape.types import Cage, Cope, End, Foot, Joint, Member, member_named
from cagewright.stock.steels import Steel

TYPICAL = 1.15
"""Delivered over promised yield strength where nothing better is known (from memory)."""
STIFF = 1e7
"""Stiffness of a joint that has not given, N/mm; times mm2 for turning, N mm/rad."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPlace:
    """Where a joint is in the frame.

    Attributes:
        joint: the joint.
        element: the branch's element at it.
        part: 0 where the branch's element starts at the joint, 1 where it stops there.
        mains: the first main's elements that meet at its node.
        branch_axis: unit (3,) from the joint into the branch.
        in_plane: unit (3,) axis of the in-plane moment.
        out_of_plane: unit (3,) axis of the out-of-plane moment.
        strength: the joint's strength with an unstressed main.
        sizes: what the strength was computed from.
        hinge: row in the frame's hinges, or -1.
    """

    joint: Joint
    element: int
    part: int
    mains: tuple[int, ...]
    branch_axis: Vector
    in_plane: Vector
    out_of_plane: Vector
    strength: JointStrength
    sizes: JointSizes
    hinge: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FootPlace:
    """Where a foot is in the frame: its node, its springs' rows (six, or none when held), how it is held."""

    foot: Foot
    node: int
    springs: tuple[int, ...]
    hold: FootHold | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Idealised:
    """A cage as a frame.

    Attributes:
        cage: what was idealised.
        model: the frame.
        choices: which simplifications were made.
        member: (m,) number of each element's member in the cage.
        along: (m, 2) developed distances of each element's ends on its member, mm.
        joints: where each joint is.
        feet: where each foot is.
        notes: what was assumed, in words.
    """

    cage: Cage
    model: FrameModel
    choices: Choices
    member: Ints
    along: Floats
    joints: tuple[JointPlace, ...]
    feet: tuple[FootPlace, ...]
    notes: tuple[str, ...]


def idealise(cage: Cage, choices: Choices | None = None) -> Idealised:
    """The cage as a frame.

    Raises:
        FrameError: a steel has no yield strength, or a member has nothing to stand on.
    """
    choices = choices or Choices()
    _refuse_unknown_steels(cage)
    net = _Net(cage, choices)
    joints = tuple(net.joint_place(j) for j in cage.joints)
    feet, springs, fixed = _feet(cage, net, choices)
    model = frame_model(
        nodes=np.array(net.nodes),
        elements=np.array(net.elements),
        sections=tube_sections(*_sizes(cage, net), shear=choices.shear),
        materials=tuple(_material(s, choices) for s in net.steels.values()),
        fixed=fixed,
        material=np.array([list(net.steels).index(cage.members[i].tube.steel.name) for i in net.member]),
        bend_factor=np.array([net.bend_factor(e) for e in range(len(net.elements))]),
        yield_factor=np.array([net.yield_factor(e) for e in range(len(net.elements))]),
        stubs=np.array(net.stubs),
        springs=springs,
        hinges=_hinges(net, joints, choices),
        bars=_bars(strips_of(cage, net.places()) if choices.plates else ()),
        names=tuple(cage.members[i].name for i in net.member),
        fibres=choices.fibres,
    )
    return Idealised(
        cage=cage,
        model=model,
        choices=choices,
        member=np.array(net.member),
        along=np.array(net.along),
        joints=joints,
        feet=feet,
        notes=_notes(cage, choices),
    )


def _refuse_unknown_steels(cage: Cage) -> None:
    unknown = {m.tube.steel.name for m in cage.members if m.tube.steel.yield_strength is None}
    if unknown:
        raise FrameError([f"no yield strength is known for {name}" for name in sorted(unknown)])


def yield_of(steel: Steel, choices: Choices) -> float:
    """The yield strength the model uses, MPa.

    Raises:
        ValueError: none is known.
    """
    if steel.yield_strength is None:
        raise ValueError(f"no yield strength is known for {steel.name}")
    return steel.yield_strength * (TYPICAL if choices.strength == "typical" else 1.0)


def _material(steel: Steel, choices: Choices) -> Material:
    curve = bilinear(fy=yield_of(steel, choices), hardening=choices.hardening, young=steel.modulus)
    return Material(young=steel.modulus, shear=steel.modulus / (2.0 * (1.0 + steel.poisson)), curve=curve)


def _sizes(cage: Cage, net: _Net) -> tuple[Floats, Floats]:
    tubes = [cage.members[i].tube for i in net.member]
    return np.array([t.od for t in tubes]), np.array([t.wall for t in tubes])


class _Net:
    """Nodes and elements as they are laid, member by member."""

    def __init__(self, cage: Cage, choices: Choices) -> None:
        self.cage, self.choices = cage, choices
        self.stations = stations_of(cage, choices)
        self.steels = {m.tube.steel.name: m.tube.steel for m in cage.members}
        self.number = {m.name: i for i, m in enumerate(cage.members)}
        self.joint_of = {(j.branch, j.which): j for j in cage.joints}
        self.nodes: list[Vector] = []
        self.elements: list[tuple[int, int]] = []
        self.stubs: list[tuple[Vector, Vector]] = []
        self.member: list[int] = []
        self.along: list[tuple[float, float]] = []
        self.interior = {m.name: self._lay_nodes(self.stations[m.name]) for m in cage.members}
        self.ends: dict[tuple[str, int], int] = {}
        self.feet: dict[str, int] = {}
        self.first = {m.name: self._lay_elements(self.stations[m.name]) for m in cage.members}

    def _node(self, point: Vector) -> int:
        self.nodes.append(point)
        return len(self.nodes) - 1

    def _lay_nodes(self, s: Stations) -> list[int]:
        return [self._node(point_at(s.member.path, at)) for at in s.along[1:-1]]

    def node_on(self, name: str, along: float) -> int:
        """The node that stands for the member's axis at ``along`` mm."""
        s = self.stations[name]
        index = int(np.argmin(np.abs(np.array(s.along) - along)))
        if index == 0:
            return self._end_node(s.member, 0)
        if index == len(s.along) - 1:
            return self._end_node(s.member, 1)
        return self.interior[name][index - 1]

    def _end_node(self, member: Member, which: int) -> int:
        key = (member.name, which)
        if key not in self.ends:
            self.ends[key] = self._made_end(member, member.ends[which], which)
        return self.ends[key]

    def _made_end(self, member: Member, end: End, which: int) -> int:
        joint = self.joint_of.get((member.name, end.which))
        if joint is not None:
            main = self.node_on(joint.mains[0], joint.along[0])
            return self._node(self.nodes[main]) if self.choices.joints == "yield" else main
        point = point_at(member.path, self.stations[member.name].along[0 if which == 0 else -1])
        if end.foot is None:
            return self._node(point)
        if end.foot not in self.feet:
            self.feet[end.foot] = self._node(point)
        return self.feet[end.foot]

    def _lay_elements(self, s: Stations) -> int:
        """The member's elements, from its start; returns the number of the first."""
        first = len(self.elements)
        nodes = [self._end_node(s.member, 0), *self.interior[s.member.name], self._end_node(s.member, 1)]
        points = [point_at(s.member.path, at) for at in s.along]
        for i, (a, b) in enumerate(zip(s.along, s.along[1:], strict=False)):
            self.elements.append((nodes[i], nodes[i + 1]))
            self.stubs.append((points[i] - self.nodes[nodes[i]], points[i + 1] - self.nodes[nodes[i + 1]]))
            self.member.append(self.number[s.member.name])
            self.along.append((a, b))
        return first

    def places(self) -> dict[str, tuple[Ints, Floats]]:
        """Each member's inner nodes: numbers (k,) and points (k, 3)."""
        return {
            name: (np.array(nodes, np.int64), np.array([self.nodes[n] for n in nodes]).reshape(-1, 3))
            for name, nodes in self.interior.items()
        }

    def bend_factor(self, element: int) -> float:
        member = self.cage.members[self.member[element]]
        middle = sum(self.along[element]) / 2.0
        bend = next((b for b in member.bends if b.start < middle < b.stop), None)
        if bend is None or not self.choices.bends:
            return 1.0
        return bend_factor(od=member.tube.od, wall=member.tube.wall, radius=bend.clr)

    def yield_factor(self, element: int) -> float:
        s = self.stations[self.cage.members[self.member[element]].name]
        middle = sum(self.along[element]) / 2.0
        near = any(abs(middle - at) <= half + s.zone.reach for at, half in s.welds)
        return s.zone.part if near else 1.0

    def joint_place(self, joint: Joint) -> JointPlace:
        branch = member_named(self.cage, joint.branch)
        which = 0 if joint.which == "start" else 1
        count = len(self.stations[branch.name].along) - 1
        element = self.first[branch.name] + (0 if which == 0 else count - 1)
        axes = _axes(branch.ends[which], self.cage, joint)
        sizes = _joint_sizes(self.cage, branch, joint, self.choices)
        return JointPlace(
            joint=joint,
            element=element,
            part=which,
            mains=self._main_elements(joint),
            branch_axis=axes[0],
            in_plane=axes[1],
            out_of_plane=axes[2],
            strength=joint_strength(sizes),
            sizes=sizes,
            hinge=self.cage.joints.index(joint) if self.choices.joints == "yield" else -1,
        )

    def _main_elements(self, joint: Joint) -> tuple[int, ...]:
        name = joint.mains[0]
        first, count = self.first[name], len(self.stations[name].along) - 1
        return tuple(
            e
            for e in range(first, first + count)
            if self.along[e][0] - TOGETHER <= joint.along[0] <= self.along[e][1] + TOGETHER
        )


def _axes(end: End, cage: Cage, joint: Joint) -> tuple[Vector, Vector, Vector]:
    """Unit axes: into the branch, of the in-plane moment, of the out-of-plane moment."""
    axis = end.cut.axis
    main = member_named(cage, joint.mains[0])
    step = 1.0
    along = point_at(main.path, joint.along[0] + step) - point_at(main.path, joint.along[0] - step)
    normal = cross(axis, unit(along))
    in_plane = unit(normal) if float(length(normal)) > 1e-6 else square_to(axis, np.array([0.0, 0.0, 1.0]))
    return axis, in_plane, cross(axis, in_plane)


def _joint_sizes(cage: Cage, branch: Member, joint: Joint, choices: Choices) -> JointSizes:
    main = member_named(cage, joint.mains[0]).tube
    cut = branch.ends[0 if joint.which == "start" else 1].cut
    return JointSizes(
        main_od=main.od,
        main_wall=main.wall,
        branch_od=branch.tube.od,
        branch_wall=branch.tube.wall,
        angle=cut.angle if isinstance(cut, Cope) else np.pi / 2.0,
        main_yield=yield_of(main.steel, choices),
        branch_yield=yield_of(branch.tube.steel, choices),
    )


def _feet(cage: Cage, net: _Net, choices: Choices) -> tuple[tuple[FootPlace, ...], Springs, np.ndarray]:
    fixed = np.zeros((len(net.nodes), 6), np.bool_)
    places: list[FootPlace] = []
    rows: list[tuple[int, int, float, float, float, str]] = []
    for foot in cage.feet:
        node = net.feet.get(foot.name)
        if node is None:
            continue
        if choices.feet == "rigid" or foot.seat == "rigid":
            fixed[node] = True
            places.append(FootPlace(foot=foot, node=node, springs=(), hold=None))
            continue
        hold = foot_hold(grounds()[foot.seat], foot.plate[:2])
        numbers = tuple(range(len(rows), len(rows) + 6))
        places.append(FootPlace(foot=foot, node=node, springs=numbers, hold=hold))
        rows += [(node, dof, *_spring(foot.normal, hold, dof), foot.name) for dof in range(6)]
    if not places:
        raise FrameError(["the cage stands on nothing: no member lands on a foot"])
    return tuple(places), _springs(rows), fixed


def _springs(rows: list[tuple[int, int, float, float, float, str]]) -> Springs:
    return Springs(
        node=np.array([r[0] for r in rows], np.int64),
        dof=np.array([r[1] for r in rows], np.int64),
        stiffness=np.array([r[2] for r in rows]),
        capacity=np.array([r[3:5] for r in rows]).reshape(-1, 2),
        names=tuple(r[5] for r in rows),
    )


def _spring(normal: Vector, hold: FootHold, dof: int) -> tuple[float, float, float]:
    """Stiffness and capacities (moving minus, moving plus) of one of a foot's six springs.

    The car's axes stand in for the plate's: each gets its share (squared cosine) of what the plate has
    square to itself and in its plane, which is exact for a plate that faces along an axis.
    """
    share = float(normal[dof % 3]) ** 2
    if dof >= 3:
        stiffness = hold.tilting * (1.0 - share) + 10.0 * hold.tilting * share
        give = hold.tilt * (1.0 - share) + 10.0 * hold.tilt * share
        return stiffness, give, give
    stiffness = hold.normal * share + hold.sliding * (1.0 - share)
    into, out_of = (
        hold.push * share + hold.slide * (1.0 - share),
        hold.pull * share + hold.slide * (1.0 - share),
    )
    return (stiffness, into, out_of) if normal[dof] >= 0.0 else (stiffness, out_of, into)


def _hinges(net: _Net, joints: tuple[JointPlace, ...], choices: Choices) -> Hinges:
    if choices.joints != "yield" or not joints:
        return Hinges()
    ends = [
        (net.node_on(p.joint.mains[0], p.joint.along[0]), net.elements[p.element][p.part]) for p in joints
    ]
    turning = STIFF * 30.0**2
    return Hinges(
        ends=np.array(ends, np.int64),
        axes=np.array([(p.branch_axis, p.in_plane, p.out_of_plane) for p in joints]),
        stiffness=np.tile([STIFF] * 3 + [turning] * 3, (len(joints), 1)),
        capacity=np.array([(p.strength.axial, p.strength.in_plane, p.strength.out_of_plane) for p in joints]),
        names=tuple(p.joint.name for p in joints),
    )


def _bars(strips: tuple[Strip, ...]) -> Bars:
    if not strips:
        return Bars()
    return Bars(
        ends=np.array([s.ends for s in strips], np.int64),
        area=np.array([s.area for s in strips]),
        material=np.zeros(len(strips), np.int64),
        slack=np.ones(len(strips), np.bool_),
        names=tuple(s.plate for s in strips),
    )


def _notes(cage: Cage, choices: Choices) -> tuple[str, ...]:
    seats = sorted({f.seat for f in cage.feet if f.seat != "rigid" and f.members})
    notes = ["the car body itself carries nothing: only its hold on the feet is modelled"]
    if choices.feet == "shell" and seats:
        notes.append(f"the shell under the feet ({', '.join(seats)}) is assumed: gauge your own")
    if choices.strength == "typical":
        notes.append(f"typical yield strength is taken as {TYPICAL:g} times the least (from memory)")
    if any(len(j.mains) > 1 for j in cage.joints):
        notes.append("a bar that lands in a corner of two tubes is carried by the first alone")
    if cage.gussets:
        notes.append("gussets carry nothing")
    return tuple(notes)
