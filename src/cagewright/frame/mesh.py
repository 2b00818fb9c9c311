"""Nodes and elements laid along a cage's members, joint by joint."""

from __future__ import annotations

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector, unit
from cagewright.frame.bends import bend_factor
from cagewright.frame.choices import Choices
from cagewright.frame.model import Floats, Ints
from cagewright.frame.profiles import rail_frame
from cagewright.frame.stations import TOGETHER, Marks, MeshStations, stations_of
from cagewright.frame.thin_tubes import yield_part
from cagewright.frame.yields import yield_of
from cagewright.shape.types import Cage, End, Joint, Member


class FrameMesh:
    """Nodes and elements as they are laid, member by member.

    Attributes:
        nodes: (3,) each, mm.
        elements: node numbers of each element.
        stubs: rigid pieces (3,) at each element's start and stop.
        member: number of each element's member in the cage.
        along: developed distances of each element's ends on its member, mm.
        interior: inner nodes of each member.
        ends: node of each member's end, 0 for its start and 1 for its end.
        feet: node of each foot that a member lands on.
        parted: nodes on the first and the second side of each coupling that comes apart, by its name.
        first: number of each member's first element.
        rails: how each rail's elements lie, by name.
    """

    def __init__(self, cage: Cage, choices: Choices, marks: Marks | None = None) -> None:
        self.cage, self.choices = cage, choices
        self.stations = stations_of(cage, choices, marks)
        self.steels = {m.tube.steel.name: m.tube.steel for m in cage.members}
        self.number = {m.name: i for i, m in enumerate(cage.members)}
        self.rails = {
            m.name: rail_frame(m.tube.section, m.lie, unit(m.path.pieces[0].stop - m.path.pieces[0].start))
            for m in cage.members
            if m.lie is not None
        }
        self.nodes: list[Vector] = []
        self.elements: list[tuple[int, int]] = []
        self.stubs: list[tuple[Vector, Vector]] = []
        self.member: list[int] = []
        self.along: list[tuple[float, float]] = []
        self.interior = {m.name: self._lay_nodes(self.stations[m.name]) for m in cage.members}
        self.ends: dict[tuple[str, int], int] = {}
        self.feet: dict[str, int] = {}
        self.parted: dict[str, tuple[int, int]] = {}
        self.first = {m.name: self._lay_elements(self.stations[m.name]) for m in cage.members}

    def add_node(self, point: Vector) -> int:
        """The number of a new node at ``point`` (3,)."""
        self.nodes.append(point)
        return len(self.nodes) - 1

    def _lay_nodes(self, s: MeshStations) -> list[int]:
        return [self.add_node(point_at(s.member.path, at)) for at in s.along[1:-1]]

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
        """A foot's node, or one of its own where the tube stops: on its main's surface."""
        point = point_at(member.path, self.stations[member.name].along[0 if which == 0 else -1])
        if end.foot is None:
            return self.add_node(point)
        if end.foot not in self.feet:
            self.feet[end.foot] = self.add_node(point)
        return self.feet[end.foot]

    def _lay_elements(self, s: MeshStations) -> int:
        """The member's elements, from its start; returns the number of the first."""
        first = len(self.elements)
        nodes = [self._end_node(s.member, 0), *self.interior[s.member.name], self._end_node(s.member, 1)]
        rail = self.rails.get(s.member.name)
        off = np.zeros(3) if rail is None else rail.offset
        points = [point_at(s.member.path, at) + off for at in s.along]
        begins = {**dict(enumerate(nodes)), **self._part(s, nodes)}
        for i, (a, b) in enumerate(zip(s.along, s.along[1:], strict=False)):
            self.elements.append((begins[i], nodes[i + 1]))
            self.stubs.append((points[i] - self.nodes[nodes[i]], points[i + 1] - self.nodes[nodes[i + 1]]))
            self.member.append(self.number[s.member.name])
            self.along.append((a, b))
        return first

    def _part(self, s: MeshStations, nodes: list[int]) -> dict[int, int]:
        """A second node at each coupling that comes apart, by the number of its station."""
        second: dict[int, int] = {}
        for coupling in s.member.couplings:
            if coupling.parts:
                i = int(np.argmin(np.abs(np.array(s.along) - coupling.along)))
                second[i] = self.add_node(self.nodes[nodes[i]])
                self.parted[coupling.name] = (nodes[i], second[i])
        return second

    def places(self) -> dict[str, tuple[Ints, Floats]]:
        """Each member's inner nodes: numbers (k,) and points (k, 3)."""
        return {
            name: (np.array(nodes, np.int64), np.array([self.nodes[n] for n in nodes]).reshape(-1, 3))
            for name, nodes in self.interior.items()
        }

    def bend_factor(self, element: int) -> float:
        """How many times more flexible than straight tube the element is."""
        member = self.cage.members[self.member[element]]
        middle = sum(self.along[element]) / 2.0
        bend = next((b for b in member.bends if b.start < middle < b.stop), None)
        if bend is None or not self.choices.bends:
            return 1.0
        return bend_factor(od=member.tube.od, wall=member.tube.wall, radius=bend.clr)

    def yield_factor(self, element: int) -> float:
        """Part of its yield strength that the element has left beside welds, and where its wall buckles."""
        tube = self.cage.members[self.member[element]].tube
        fy = yield_of(tube.steel, self.choices)
        thin = yield_part(tube.section, fy, tube.steel.modulus) if self.choices.thin else 1.0
        s = self.stations[self.cage.members[self.member[element]].name]
        middle = sum(self.along[element]) / 2.0
        near = any(abs(middle - at) <= half + s.zone.reach for at, half in s.welds)
        return thin * (s.zone.part if near else 1.0)

    def main_elements(self, joint: Joint) -> tuple[int, ...]:
        """The first main's elements that meet at the joint's node."""
        name = joint.mains[0]
        first, count = self.first[name], len(self.stations[name].along) - 1
        return tuple(
            e
            for e in range(first, first + count)
            if self.along[e][0] - TOGETHER <= joint.along[0] <= self.along[e][1] + TOGETHER
        )

    def end_element(self, name: str, which: int) -> int:
        """The number of a member's element at its start (0) or end (1)."""
        count = len(self.stations[name].along) - 1
        return self.first[name] + (0 if which == 0 else count - 1)
