"""Where each joint is in the frame, which way its forces are counted, and what it carries."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.curves import point_at
from cagewright.base.vectors import Vector, cross, length, square_to, unit
from cagewright.frame.choices import Choices
from cagewright.frame.joint_flexibility import deformation_limits, joint_flexibility
from cagewright.frame.joint_strength import (
    AnySizes,
    Form,
    JointSizes,
    JointStrength,
    joint_modes,
    joint_strength,
)
from cagewright.frame.joint_walls import beside
from cagewright.frame.mesh import FrameMesh
from cagewright.frame.model import Floats, Hinges, Ints, TubeJoints
from cagewright.frame.rail_joints import RailJointSizes
from cagewright.frame.weld_arcs import WeldHold, WeldLine, weld_hold, weld_line
from cagewright.frame.yields import tensile_of, yield_of
from cagewright.shape.types import Cage, Cope, End, Joint, Member, member_named

STIFF = 1e7
"""Stiffness of what no formula speaks of, N/mm; times mm2 for turning, N mm/rad."""
ARM = 30.0
"""That turning stiffness is ``STIFF`` at this arm, mm."""
RIGID = 0.02
"""The part of the formula's flexibility that stands for a rigid joint where joints give: the demo's energies
are then within 0.8 % of those with ``STIFF``, for less than half the work."""


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
        strength: the joint's strength with an unstressed main, its weld counted.
        sizes: what the strength was computed from.
        form: ``X`` where another branch stands opposite on the main, else ``T``.
        weld: the line of a weld that is not all round or has a throat of its own, or None.
        weld_hold: what that line carries, or None.
        hinge: row in the frame's hinges.
    """

    joint: Joint
    element: int
    part: int
    mains: tuple[int, ...]
    branch_axis: Vector
    in_plane: Vector
    out_of_plane: Vector
    strength: JointStrength
    sizes: AnySizes
    form: Form
    weld: WeldLine | None
    weld_hold: WeldHold | None
    hinge: int


def joint_places(cage: Cage, mesh: FrameMesh, choices: Choices) -> tuple[JointPlace, ...]:
    """The place of every joint, in the cage's order."""
    return tuple(_place(cage, mesh, choices, i, joint) for i, joint in enumerate(cage.joints))


def _place(cage: Cage, mesh: FrameMesh, choices: Choices, number: int, joint: Joint) -> JointPlace:
    branch, which = member_named(cage, joint.branch), 0 if joint.which == "start" else 1
    end = branch.ends[which]
    axis, in_plane, out_of_plane = _axes(end, cage, joint)
    sizes, form = _sizes(cage, branch, end, joint, choices), form_of(cage, joint)
    line = _line(cage, branch, end, joint, (in_plane, out_of_plane))
    hold = weld_hold(line) if line else None
    return JointPlace(
        joint=joint,
        element=mesh.end_element(branch.name, which),
        part=which,
        mains=mesh.main_elements(joint),
        branch_axis=axis,
        in_plane=in_plane,
        out_of_plane=out_of_plane,
        strength=with_weld(joint_strength(sizes, form=form), hold),
        sizes=sizes,
        form=form,
        weld=line,
        weld_hold=hold,
        hinge=number,
    )


def with_weld(strength: JointStrength, hold: WeldHold | None) -> JointStrength:
    """The least of the joint and its weld."""
    if hold is None:
        return strength
    welded = (hold.axial, hold.in_plane, hold.out_of_plane)
    joint = (strength.axial, strength.in_plane, strength.out_of_plane)
    governs = tuple(
        "weld" if w < j else word for w, j, word in zip(welded, joint, strength.governs, strict=True)
    )
    axial, in_plane, out_of_plane = (min(w, j) for w, j in zip(welded, joint, strict=True))
    return replace(
        strength, axial=axial, in_plane=in_plane, out_of_plane=out_of_plane,
        governs=(governs[0], governs[1], governs[2]),
    )  # fmt: skip


def form_of(cage: Cage, joint: Joint) -> Form:
    """``X`` where another branch lands opposite: within half the main's diameter, axes within 20 degrees."""
    main = member_named(cage, joint.mains[0]).tube.across
    axis = _end_of(cage, joint).cut.axis
    for other in cage.joints:
        if other is joint or other.mains[0] != joint.mains[0]:
            continue
        if abs(other.along[0] - joint.along[0]) > main / 2.0:
            continue
        if float(axis @ _end_of(cage, other).cut.axis) < -np.cos(np.radians(20.0)):
            return "X"
    return "T"


def _end_of(cage: Cage, joint: Joint) -> End:
    return member_named(cage, joint.branch).ends[0 if joint.which == "start" else 1]


def _axes(end: End, cage: Cage, joint: Joint) -> tuple[Vector, Vector, Vector]:
    """Unit axes: into the branch, of the in-plane moment, of the out-of-plane moment."""
    axis = end.cut.axis
    main = member_named(cage, joint.mains[0])
    step = 1.0
    along = point_at(main.path, joint.along[0] + step) - point_at(main.path, joint.along[0] - step)
    normal = cross(axis, unit(along))
    in_plane = unit(normal) if float(length(normal)) > 1e-6 else square_to(axis, np.array([0.0, 0.0, 1.0]))
    return axis, in_plane, cross(axis, in_plane)


def _sizes(cage: Cage, branch: Member, end: End, joint: Joint, choices: Choices) -> AnySizes:
    rail = member_named(cage, joint.mains[0])
    main = rail.tube
    if rail.lie is not None:
        return _on_rail(rail, branch, end, choices)
    return JointSizes(
        main_od=main.od,
        main_wall=main.wall,
        branch_od=branch.tube.od,
        branch_wall=branch.tube.wall,
        angle=end.cut.angle if isinstance(end.cut, Cope) else np.pi / 2.0,
        main_yield=yield_of(main.steel, choices),
        branch_yield=yield_of(branch.tube.steel, choices),
    )


def _on_rail(rail: Member, branch: Member, end: End, choices: Choices) -> RailJointSizes:
    section, axis = rail.tube.section, end.cut.axis
    on_top = rail.lie is None or abs(float(axis @ rail.lie.up)) >= abs(float(axis @ rail.lie.across))
    sides = (section.width, section.depth) if on_top else (section.depth, section.width)
    run = float(abs(end.cut.axis @ unit(rail.path.pieces[0].stop - rail.path.pieces[0].start)))
    return RailJointSizes(
        main=section, branch=branch.tube.section, face=sides[0], other=sides[1],
        angle=max(float(np.arccos(min(run, 1.0))), 0.1),
        main_yield=yield_of(rail.tube.steel, choices), branch_yield=yield_of(branch.tube.steel, choices),
    )  # fmt: skip


def _line(cage: Cage, branch: Member, end: End, joint: Joint, axes: tuple[Vector, Vector]) -> WeldLine | None:
    if not end.open and end.throat is None:
        return None
    tensile = min(tensile_of(m.tube.steel) for m in (branch, member_named(cage, joint.mains[0])))
    return weld_line(end, branch.tube, axes, tensile)


def joint_hinges(mesh: FrameMesh, joints: tuple[JointPlace, ...], choices: Choices) -> Hinges:
    """The joints as hinges: as flexible as the formulas say, and giving at their strength where they may."""
    if not joints:
        return Hinges()
    ends = [
        (mesh.node_on(p.joint.mains[0], p.joint.along[0]), mesh.elements[p.element][p.part]) for p in joints
    ]
    gives = choices.joints != "report"
    kept = np.array([strengths_at(p)[:2] if gives else np.full((2, 3), np.inf) for p in joints])
    place = np.array([p.joint.along[0] for p in joints])
    mains, part = beside([p.mains for p in joints], np.array(mesh.along), place)
    young = [member_named(mesh.cage, p.joint.mains[0]).tube.steel.modulus for p in joints]
    each = list(zip(joints, young, strict=True))
    flexibility = max(choices.flexibility, RIGID) if gives else choices.flexibility
    return Hinges(
        ends=np.array(ends, np.int64),
        axes=np.array([(p.branch_axis, p.in_plane, p.out_of_plane) for p in joints]),
        stiffness=np.array([_stiffness(p.sizes, e, flexibility) for p, e in each]),
        capacity=kept[:, 1],
        tubes=TubeJoints(
            row=np.arange(len(joints)), wall=kept[:, 0], mains=mains, part=part,
            limit=np.array([deformation_limits(p.sizes, young=e) for p, e in each]),
            main_yield=np.array([p.sizes.main_yield for p in joints]),
        ),
        names=tuple(p.joint.name for p in joints),
    )  # fmt: skip


def _stiffness(sizes: AnySizes, young: float, flexibility: float) -> list[float]:
    """Along the three axes N/mm, then about them N mm/rad; what no formula speaks of is as good as rigid."""
    soft = joint_flexibility(sizes, young=young)
    part = 1.0 if soft.fitted else flexibility
    axial = 1.0 / (part * soft.axial + 1.0 / STIFF)
    turns = (1.0 / (part * f + 1.0 / (STIFF * ARM**2)) for f in (soft.in_plane, soft.out_of_plane))
    return [axial, STIFF, STIFF, STIFF * ARM**2, *turns]


WORDS = ("main wall", "punching", "branch", "weld")
"""Every way a joint gives, in the order that numbers stand for."""


def strengths_at(place: JointPlace) -> tuple[Floats, Floats, Ints]:
    """What the main's wall carries (3,), the least of all else (3,), and which that is in ``WORDS`` (3,)."""
    modes = joint_modes(place.sizes, form=place.form)
    if place.weld_hold is not None:
        hold = place.weld_hold
        modes["weld"] = (hold.axial, hold.in_plane, hold.out_of_plane)
    rows = np.array([modes.get(word, (np.inf,) * 3) for word in WORDS[1:]])
    return np.array(modes["main wall"]), rows.min(axis=0), rows.argmin(axis=0) + 1
