"""From a cage to the frame that stands for it, with a map back to members, joints and feet."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from cagewright.base.answers import CANNOT_TELL
from cagewright.base.names import listed, shown
from cagewright.base.say import say_length
from cagewright.frame.choices import Choices
from cagewright.frame.couplings import CouplingPlace, coupling_places, hinges_after, hinges_of
from cagewright.frame.errors import FrameError, refuse
from cagewright.frame.foot_welds import FootWeld, foot_welds
from cagewright.frame.joint_places import JointPlace as JointPlace
from cagewright.frame.joint_places import joint_hinges, joint_places
from cagewright.frame.mesh import FrameMesh
from cagewright.frame.model import (
    SHEAR_PART,
    Bars,
    ElementSections,
    Floats,
    FrameModel,
    Ints,
    Material,
    frame_model,
    usual_toward,
)
from cagewright.frame.rail_joints import RailJointSizes
from cagewright.frame.stations import Marks
from cagewright.frame.strips import SHEET, Strip, strips_of
from cagewright.frame.supports import FootPlace as FootPlace
from cagewright.frame.supports import all_feet, held_nodes, hinges_with, springs_of, supports_of
from cagewright.frame.thin_tubes import class_of, yield_part
from cagewright.frame.yields import hardening_of, limits_words, tear_of, typical_words, yield_of
from cagewright.shape.types import Cage
from cagewright.stock.catalogue import softening_of
from cagewright.stock.sections import size_words
from cagewright.stock.steels import Steel


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
        couplings: where each coupling that comes apart is.
        feet: where each foot is.
        foot_welds: the welds on foot plates that are not all round.
        notes: what was assumed, in words.
    """

    cage: Cage
    model: FrameModel
    choices: Choices
    member: Ints
    along: Floats
    joints: tuple[JointPlace, ...]
    feet: tuple[FootPlace, ...]
    foot_welds: tuple[FootWeld, ...]
    notes: tuple[str, ...]
    couplings: tuple[CouplingPlace, ...] = ()


def idealise(cage: Cage, choices: Choices | None = None, marks: Marks | None = None) -> Idealised:
    """The cage as a frame.

    Args:
        cage: what is built.
        choices: which simplifications are made.
        marks: further places that need a node: mm along each member, by name.

    Raises:
        FrameError: a steel has no yield strength, a member stands on nothing, or a size is absurd.
    """
    choices = choices or Choices()
    _refuse_unknown_steels(cage)
    standing = _on_feet_alone(cage)
    mesh = FrameMesh(standing, choices, marks)
    joints = joint_places(standing, mesh, choices)
    hinges = joint_hinges(mesh, joints, choices)
    couplings = coupling_places(standing, len(hinges.ends))
    hinges = hinges_after(hinges, hinges_of(mesh, couplings, gives=choices.joints != "report"))
    welds = foot_welds(cage, mesh)
    supports = supports_of(cage, mesh, choices, len(hinges.ends))
    strips = strips_of(cage, mesh.places()) if choices.plates else ()
    steels = list(mesh.steels)
    sections, toward = _sections(cage, mesh, choices)
    elements = range(len(mesh.elements))
    model = frame_model(
        nodes=np.array(mesh.nodes),
        elements=np.array(mesh.elements),
        sections=sections,
        toward=toward,
        materials=(
            *(_material(s, choices) for s in mesh.steels.values()),
            *(_material(s, choices) for s in ([SHEET] if strips else [])),
        ),
        fixed=held_nodes(len(mesh.nodes), supports),
        material=np.array([steels.index(cage.members[i].tube.steel.name) for i in mesh.member]),
        bend_factor=np.array([mesh.bend_factor(e) for e in elements]),
        yield_factor=np.array([mesh.yield_factor(e) for e in elements]),
        stubs=np.array(mesh.stubs),
        springs=springs_of(supports),
        hinges=hinges_with(hinges, supports),
        bars=_bars(strips, len(steels)),
        names=tuple(cage.members[i].name for i in mesh.member),
        fibres=choices.fibres,
        torsion=choices.torsion,
    )
    refuse(model)
    part_welded = [p.joint.name for p in joints if p.weld]
    part_welded += [f"{w.member} on foot {w.foot}" for w in welds]
    return Idealised(
        cage=cage,
        model=model,
        choices=choices,
        member=np.array(mesh.member),
        along=np.array(mesh.along),
        joints=joints,
        couplings=couplings,
        feet=tuple(supports.places),
        foot_welds=welds,
        notes=_notes(cage, choices, part_welded, strips, joints),
    )


def _on_feet_alone(cage: Cage) -> Cage:
    """The cage without the joints of ends on feet: such an end is only cut clear of a tube close by."""
    feet = {(m.name, e.which) for m in cage.members for e in m.ends if e.foot is not None}
    return replace(cage, joints=tuple(j for j in cage.joints if (j.branch, j.which) not in feet))


def _refuse_unknown_steels(cage: Cage) -> None:
    unknown = {m.tube.steel.name for m in cage.members if m.tube.steel.yield_strength is None}
    if CANNOT_TELL in unknown:
        of = listed([shown(m.name) for m in cage.members if m.tube.steel.name == CANNOT_TELL])
        raise FrameError([f"nobody can tell the steel of {of}: ask for its paper, or it is not pushed"])
    if unknown:
        raise FrameError([f"no yield strength is known for {name}" for name in sorted(unknown)])


def _material(steel: Steel, choices: Choices) -> Material:
    curve = hardening_of(steel, choices)
    shear = steel.modulus / (2.0 * (1.0 + steel.poisson))
    return Material(young=steel.modulus, shear=shear, curve=curve, tear=tear_of(steel, choices))


def _sections(cage: Cage, mesh: FrameMesh, choices: Choices) -> tuple[ElementSections, Floats]:
    """Every element's section and the direction (m, 3) of its local y axis."""
    nodes, elements = np.array(mesh.nodes), np.array(mesh.elements)
    tips = nodes[elements] + np.array(mesh.stubs)
    toward = usual_toward(tips.reshape(-1, 3), np.arange(2 * len(elements)).reshape(-1, 2))
    each = [cage.members[i].tube.properties for i in mesh.member]
    rails = {i: mesh.rails[m.name] for i, m in enumerate(cage.members) if m.name in mesh.rails}
    number = {i: k + 1 for k, i in enumerate(rails)}
    area = np.array([p.area for p in each])
    shear = np.repeat(SHEAR_PART * area[:, None], 2, axis=1)
    for e, i in enumerate(mesh.member):
        if i in rails:
            toward[e], shear[e] = rails[i].toward, rails[i].shear
    if not choices.shear:
        shear[:] = np.inf
    return ElementSections(
        area=area,
        inertia_y=np.array([p.inertia for p in each]),
        inertia_z=np.array([p.minor for p in each]),
        torsion=np.array([p.torsion for p in each]),
        shear_y=shear[:, 0],
        shear_z=shear[:, 1],
        radius=np.array([cage.members[i].tube.radius for i in mesh.member]),
        profile=np.array([number.get(i, 0) for i in mesh.member], np.int64),
        profiles=tuple(r.profile for r in rails.values()),
    ), toward


def _bars(strips: tuple[Strip, ...], material: int) -> Bars:
    if not strips:
        return Bars()
    return Bars(
        ends=np.array([s.ends for s in strips], np.int64),
        area=np.array([s.area for s in strips]),
        material=np.full(len(strips), material, np.int64),
        slack=np.ones(len(strips), np.bool_),
        names=tuple(s.plate for s in strips),
    )


def node_at(model: Idealised, member: str, along: float) -> int:
    """The node nearest to ``along`` mm of the member.

    Raises:
        ValueError: no such member.
    """
    number = next((i for i, m in enumerate(model.cage.members) if m.name == member), None)
    if number is None:
        raise ValueError(f"no member '{member}'")
    mine = np.flatnonzero(model.member == number)
    away = np.abs(model.along[mine] - along)
    element, part = np.unravel_index(int(np.argmin(away)), away.shape)
    return int(model.model.elements[mine[element], part])


def _notes(
    cage: Cage,
    choices: Choices,
    part_welded: list[str],
    strips: tuple[Strip, ...],
    joints: tuple[JointPlace, ...],
) -> tuple[str, ...]:
    said = [
        ("the car body itself carries nothing: only its hold on the feet is modelled", True),
        (_shell_words(cage), choices.feet == "shell"),
        (f"typical yield strength: {typical_words([m.tube.steel for m in cage.members])}",
         choices.strength == "typical"),
        (_assumed_words(cage), choices.softened == "steel"),
        (_thin_words(cage, choices), choices.thin),
        (limits_words([m.tube.steel for m in cage.members]), choices.tearing),
        ("a bar that lands in a corner of two tubes is carried by the first alone",
         any(len(j.mains) > 1 for j in cage.joints)),
        ("rails turn by St Venant torsion alone: what warping stiffens an angle or a flat bar by is left "
         "out", any(m.lie is not None for m in cage.members)),
        (_untold_joints(cage, joints), bool(joints)),
        ("gussets carry nothing", bool(cage.gussets)),
        (_loose_words(cage), True),
        (_coupling_words(cage), True),
        (f"plates are taken as {SHEET.source}", bool(strips)),
        (_untied(cage, strips), choices.plates),
        (_cut_and_standing(cage), True),
        (f"not welded all round: {', '.join(part_welded)}", bool(part_welded)),
        ("joint strength by EN 1993-1-8:2005 Tables 7.1-7.6, from memory, unchecked", bool(cage.joints)),
    ]  # fmt: skip
    return tuple(words for words, so in said if so and words)


def _untold_joints(cage: Cage, joints: tuple[JointPlace, ...]) -> str:
    """The joints on rails that no source speaks of, and what they were given so that they have a limit."""
    why: dict[str, list[str]] = {}
    for p in joints:
        if isinstance(p.sizes, RailJointSizes) and p.strength.outside:
            why.setdefault(p.strength.outside[0], []).append(p.joint.name)
    said = "; ".join(f"{words} ({', '.join(names)})" for words, names in why.items())
    return f"joints whose strength {said}: given the least that is sure to be there" if said else ""


def _loose_words(cage: Cage) -> str:
    """The removable members whose ends the plan says nothing of."""
    bare = [m.name for m in cage.members if m.removable and not any(c.parts for c in m.couplings)]
    return f"removable members without couplings are taken as welded in: {', '.join(bare)}" if bare else ""


def _coupling_words(cage: Cage) -> str:
    """What of couplings no published rule covers."""
    why: dict[str, list[str]] = {}
    for p in coupling_places(cage, 0):
        for words in p.strength.untold:
            why.setdefault(words, []).append(p.coupling.name)
    return "; ".join(f"cannot tell {words} ({', '.join(names)})" for words, names in why.items())


def _thin_words(cage: Cage, choices: Choices) -> str:
    """Tubes that are not class 1, and what that costs them."""
    said: list[str] = []
    for t in dict.fromkeys(m.tube for m in cage.members):
        fy = yield_of(t.steel, choices)
        kind, part = class_of(t.section, fy), yield_part(t.section, fy, t.steel.modulus)
        if kind > 1 or part < 1.0:
            size = size_words(t.section, cage.units)
            lost = f" and is taken to yield at {part:.0%} of its strength" if part < 1.0 else ""
            said.append(f"{size} is class {kind} in bending{lost}")
    source = "(EN 1993-1-1 Table 5.2, ISO 19902; from memory)"
    folds = [
        m.name
        for m in cage.members
        if m.lie and class_of(m.tube.section, yield_of(m.tube.steel, choices)) > 3
    ]
    if folds:
        source += f"; what the rails of class 4 carry cannot be told: {', '.join(folds)}"
    return (
        f"thin tube: {'; '.join(said)}: once it folds it carries less than is counted {source}"
        if said
        else ""
    )


def _assumed_words(cage: Cage) -> str:
    """What is assumed of the steels that have no figure for what their welds leave of them."""
    found = {s.name: softening_of(s) for s in (m.tube.steel for m in cage.members)}
    return "; ".join(
        f"assumed: {name} keeps {z.part:.0%} of its yield within "
        f"{say_length(z.reach, cage.units, places=0)} of a weld ({z.source})"
        for name, z in found.items()
        if z.assumed
    )


def _shell_words(cage: Cage) -> str:
    seats = sorted({f.seat for f in all_feet(cage) if f.seat != "rigid" and f.members and f.sheet is None})
    return f"the shell under the feet ({', '.join(seats)}) is assumed: gauge your own" if seats else ""


def _cut_and_standing(cage: Cage) -> str:
    kept = {j.name for j in _on_feet_alone(cage).joints}
    both = ", ".join(j.name for j in cage.joints if j.name not in kept)
    return f"cut on a tube but standing on a foot, counted on the foot alone: {both}" if both else ""


def _untied(cage: Cage, strips: tuple[Strip, ...]) -> str:
    tied = {s.plate for s in strips}
    loose = [p.name for p in cage.plates if p.name not in tied]
    return f"plates that lie on no tubes carry nothing: {', '.join(loose)}" if loose else ""
