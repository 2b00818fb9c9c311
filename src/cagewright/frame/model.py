"""The nouns of the strength model: a frame of tubes as arrays, and what a solve answers.

Millimetres, newtons, N mm, MPa and radians throughout. Degrees of freedom of a node are numbered
0 to 5: move back, across, up, then turn about back, across, up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

SHEAR_PART = 0.5
"""Shear area of a thin round tube as a part of its area (thin-wall beam theory; Cowper, J. Appl. Mech. 33
(1966) 335 gives 2(1+nu)/(4+3nu), 0.53 for nu 0.3; both from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class HardeningCurve:
    """How a steel hardens: yield stress over accumulated plastic strain, straight between knots.

    Attributes:
        strain: (k,) plastic strain at the knots, first 0, rising.
        stress: (k,) MPa, true stress at the knots, first the yield stress.
        tail: MPa per plastic strain beyond the last knot, 0 or more.
        kinematic: part of the hardening that moves the yield range instead of widening it, 0 to 1
            (1: a steel pulled past yield yields earlier when pushed back).
    """

    strain: Floats
    stress: Floats
    tail: float = 0.0
    kinematic: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """A steel as the frame sees it.

    Attributes:
        young: E, MPa.
        shear: G, MPa.
        curve: its hardening, or None for a steel that never yields.
        tear: strain at which a tube of it tears, mean over the gauge length; infinite where it never does.
    """

    young: float
    shear: float
    curve: HardeningCurve | None = None
    tear: float = math.inf


@dataclass(frozen=True, slots=True, kw_only=True)
class Profile:
    """The fibres of a section that is not a ring, f of them, in the element's local axes.

    Attributes:
        table: (6, f): place along y and z from the shear centre, mm; shear for a twist, mean square 1; shear
            for slips along y and z, mean square 1/2; weight, adding up to f.
        offset: (2,) y and z of the centroid from the shear centre, mm.
    """

    table: Floats
    offset: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class ElementSections:
    """Cross-sections, one row an element; local y and z are the element's own axes.

    Attributes:
        area: (m,) mm2.
        inertia_y: (m,) mm4, bending about local y.
        inertia_z: (m,) mm4, bending about local z.
        torsion: (m,) mm4.
        shear_y: (m,) mm2, shear area along local y; infinite where shear does not bend the member.
        shear_z: (m,) mm2, shear area along local z.
        radius: (m,) mm, outside radius that a platen or pole touches.
        profile: (m,) 0 for a ring, else 1 + the number of the section in ``profiles``; empty for rings alone.
        profiles: the sections that are no rings.
    """

    area: Floats
    inertia_y: Floats
    inertia_z: Floats
    torsion: Floats
    shear_y: Floats
    shear_z: Floats
    radius: Floats
    profile: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    profiles: tuple[Profile, ...] = ()

    @property
    def kinds(self) -> Ints:
        """(m,) ``profile``, 0 where it is left out."""
        return self.profile if len(self.profile) else np.zeros(len(self.area), np.int64)


@dataclass(frozen=True, slots=True, kw_only=True)
class Springs:
    """Springs between a node's degree of freedom and the ground, as many rows as springs.

    Attributes:
        node: (s,) node number.
        dof: (s,) 0 to 5.
        stiffness: (s,) N/mm, or N mm/rad where the degree of freedom is a turn.
        capacity: (s, 2) N or N mm that the ground can push back with when the node moves the minus
            way and the plus way; infinite where it never gives.
        names: one word a spring for messages, or empty.
    """

    node: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    dof: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    stiffness: Floats = field(default_factory=lambda: np.zeros(0))
    capacity: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeJoints:
    """Those of the hinges that are welded joints of tubes, w rows.

    Attributes:
        row: (w,) number of each one's hinge.
        wall: (w, 3) what the main tube's wall carries while the main itself is not pushed: N, N mm, N mm.
        limit: (w, 3) pull-out mm, turn in plane and out of plane rad, at which it parts.
        mains: (w, 2) the main's elements on its two sides.
        part: (w, 2) 0 where such an element starts at the joint, 1 where it stops there.
        main_yield: (w,) MPa.
    """

    row: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    wall: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    limit: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    mains: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    part: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    main_yield: Floats = field(default_factory=lambda: np.zeros(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Hinges:
    """Joints that can give: a pair of nodes tied by six springs of which three can yield.

    The yield rule is N/N_Rd + (M_ip/M_ip,Rd)^2 + M_op/M_op,Rd <= 1 (EN 1993-1-8:2005, 7.4.2 form,
    from memory, unchecked), on absolute values.

    Attributes:
        ends: (h, 2) node numbers: main tube, branch. The springs are at the second; where the first is
            elsewhere (a main's axis, the branch on its surface), what is between them is stiff.
        axes: (h, 3, 3) rows: unit branch axis, unit axis of the in-plane moment, unit axis of the
            out-of-plane moment.
        stiffness: (h, 6) along the three axes N/mm, then about them N mm/rad.
        capacity: (h, 3) N_Rd in N, M_ip,Rd and M_op,Rd in N mm; infinite where it never gives.
        tubes: which are joints of tubes; their ``wall``, lowered by the main's push, counts too.
        hardening: part of the elastic stiffness left after yield, more than 0 and so small that it carries
            next to nothing however stiff the joint was.
        names: one word a hinge for messages, or empty.
    """

    ends: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    axes: Floats = field(default_factory=lambda: np.zeros((0, 3, 3)))
    stiffness: Floats = field(default_factory=lambda: np.zeros((0, 6)))
    capacity: Floats = field(default_factory=lambda: np.zeros((0, 3)))
    tubes: TubeJoints = field(default_factory=TubeJoints)
    hardening: float = 1e-5
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bars:
    """Members that carry pull (and push, unless slack) and nothing else, one row a bar.

    Attributes:
        ends: (b, 2) node numbers.
        area: (b,) mm2.
        material: (b,) number in the frame's materials.
        slack: (b,) True where the bar goes slack instead of taking push (a plate's strip).
        names: one word a bar for messages, or empty.
    """

    ends: Ints = field(default_factory=lambda: np.zeros((0, 2), np.int64))
    area: Floats = field(default_factory=lambda: np.zeros(0))
    material: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    slack: Flags = field(default_factory=lambda: np.zeros(0, np.bool_))
    names: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FrameModel:
    """A frame of straight tubes between nodes.

    Attributes:
        nodes: (n, 3) mm.
        elements: (m, 2) node numbers, start and stop.
        toward: (m, 3) direction that each element's local y is nearest to.
        sections: their cross-sections, m rows.
        material: (m,) number in ``materials``.
        materials: the steels.
        bend_factor: (m,) divides the bending stiffness; 1 for a straight tube.
        yield_factor: (m,) multiplies the yield stress and hardening; below 1 in a softened zone.
        stubs: (m, 2, 3) mm, rigid piece from each end's node to where the tube starts, at rest.
        fixed: (n, 6) True where a node's degree of freedom is held.
        springs: springs to the ground.
        hinges: joints that can give.
        bars: members with pull only.
        names: member name of each element (m words), or empty.
        fibres: how many fibres stand for each section, a multiple of 4.
        torsion: ``yields``: torque and shear make a tube yield together with pull and bending; ``elastic``:
            they never do.
    """

    nodes: Floats
    elements: Ints
    toward: Floats
    sections: ElementSections
    material: Ints
    materials: tuple[Material, ...]
    bend_factor: Floats
    yield_factor: Floats
    stubs: Floats
    fixed: Flags
    springs: Springs = field(default_factory=Springs)
    hinges: Hinges = field(default_factory=Hinges)
    bars: Bars = field(default_factory=Bars)
    names: tuple[str, ...] = ()
    fibres: int = 24
    torsion: Literal["yields", "elastic"] = "yields"


FLAT = 50.0
"""MPa for each 1 of plastic strain, all that is left of hardening past the ultimate strength: 5 MPa over the
next 10 %. With none at all a hinge under bending and torque has no stiffness to be followed by."""


def to_ultimate(*, fy: float, ultimate: float, strain: float, kinematic: float = 1.0) -> HardeningCurve:
    """A steel that rises straight from ``fy`` to ``ultimate`` MPa at plastic ``strain``, then stays."""
    return HardeningCurve(
        strain=np.array([0.0, strain]), stress=np.array([fy, ultimate]), tail=FLAT, kinematic=kinematic
    )


def bilinear(
    *, fy: float, hardening: float, young: float, kinematic: float = 1.0, ultimate: float = math.inf
) -> HardeningCurve:
    """A steel that yields at ``fy`` MPa, then rises at ``hardening`` (0 to 1) times E to ``ultimate``."""
    tail = hardening * young / (1.0 - hardening)
    if tail > 0.0 and fy < ultimate < math.inf:
        return to_ultimate(fy=fy, ultimate=ultimate, strain=(ultimate - fy) / tail, kinematic=kinematic)
    tail = FLAT if ultimate <= fy else tail
    return HardeningCurve(strain=np.zeros(1), stress=np.array([float(fy)]), tail=tail, kinematic=kinematic)


def tube_sections(od: Floats, wall: Floats, *, shear: bool = True) -> ElementSections:
    """Round tubes of ``od`` and ``wall`` (m,) mm: A = pi/4 (D2 - d2), I = pi/64 (D4 - d4), J = 2 I."""
    od, wall = np.asarray(od, float), np.asarray(wall, float)
    bore = od - 2.0 * wall
    area = np.pi / 4.0 * (od**2 - bore**2)
    inertia = np.pi / 64.0 * (od**4 - bore**4)
    carried = SHEAR_PART * area if shear else np.full_like(area, np.inf)
    return ElementSections(
        area=area, inertia_y=inertia, inertia_z=inertia, torsion=2.0 * inertia,
        shear_y=carried, shear_z=carried, radius=od / 2.0,
    )  # fmt: skip


def usual_toward(nodes: Floats, elements: Ints) -> Floats:
    """Local y directions (m, 3) when nobody says otherwise: up, or back for an upright element."""
    along = nodes[elements[:, 1]] - nodes[elements[:, 0]]
    size = np.maximum(np.linalg.norm(along, axis=1), 1e-300)
    upright = np.abs(along[:, 2]) > 0.999 * size
    return np.where(upright[:, None], np.array([1.0, 0.0, 0.0]), np.array([0.0, 0.0, 1.0]))


def frame_model(
    *,
    nodes: Floats,
    elements: Ints,
    sections: ElementSections,
    materials: tuple[Material, ...],
    fixed: Flags,
    toward: Floats | None = None,
    material: Ints | None = None,
    bend_factor: Floats | None = None,
    yield_factor: Floats | None = None,
    stubs: Floats | None = None,
    springs: Springs | None = None,
    hinges: Hinges | None = None,
    bars: Bars | None = None,
    names: tuple[str, ...] = (),
    fibres: int = 24,
    torsion: Literal["yields", "elastic"] = "yields",
) -> FrameModel:
    """A frame with what is not said at its usual value; see :class:`FrameModel` for each argument.

    Raises:
        ValueError: shapes do not agree, or the fibre count is no multiple of 4.
    """
    if len(sections.profiles):
        fibres = max(fibres, max(p.table.shape[1] for p in sections.profiles))
    nodes = np.ascontiguousarray(nodes, float)
    elements = np.ascontiguousarray(elements, np.int64).reshape(-1, 2)
    m = len(elements)
    if fibres < 4 or fibres % 4:
        raise ValueError("the fibre count must be a multiple of 4, so that both bending axes are alike")
    if nodes.ndim != 2 or nodes.shape[1] != 3 or fixed.shape != (len(nodes), 6) or len(sections.area) != m:
        raise ValueError("nodes (n, 3), fixed (n, 6) and sections (m rows) must agree")
    return FrameModel(
        nodes=nodes,
        elements=elements,
        toward=usual_toward(nodes, elements) if toward is None else np.asarray(toward, float),
        sections=sections,
        material=np.zeros(m, np.int64) if material is None else np.asarray(material, np.int64),
        materials=materials,
        bend_factor=np.ones(m) if bend_factor is None else np.asarray(bend_factor, float),
        yield_factor=np.ones(m) if yield_factor is None else np.asarray(yield_factor, float),
        stubs=np.zeros((m, 2, 3)) if stubs is None else np.asarray(stubs, float),
        fixed=np.asarray(fixed, np.bool_),
        springs=springs or Springs(),
        hinges=hinges or Hinges(),
        bars=bars or Bars(),
        names=names,
        fibres=fibres,
        torsion=torsion,
    )


def clamped(count: int, nodes: list[int] | Ints) -> Flags:
    """Flags (count, 6) with all six degrees of freedom of ``nodes`` held."""
    held = np.zeros((count, 6), np.bool_)
    held[np.asarray(nodes, np.int64)] = True
    return held


@dataclass(frozen=True, slots=True, kw_only=True)
class YieldEvent:
    """Something that gave way, in the order it happened.

    Attributes:
        travel: mm; for ``yield`` found within the step by the stress before and after, else the step's end.
        kind: ``yield`` (first fibre past yield), ``hinge`` (at least four fibres in five of the
            section past yield), ``foot`` (a spring at its capacity), ``joint`` (a hinge at its
            capacity), ``strip`` (a bar past yield) or ``dent`` (the tool has dented a tube deep).
        index: element, spring, hinge or bar number.
        part: 0 towards the element's start, 1 towards its stop; 0 for the others.
    """

    travel: float
    kind: Literal["yield", "hinge", "foot", "joint", "strip", "dent"]
    index: int
    part: int


LossKind = Literal["tube", "weld", "foot", "joint"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """Rows of a frame that let go together; ``name`` says what they are."""

    elements: tuple[int, ...] = ()
    springs: tuple[int, ...] = ()
    bars: tuple[int, ...] = ()
    hinges: tuple[int, ...] = ()
    name: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Something that let go.

    Attributes:
        kind: a tube tore at its limit strain, a weld that is not all round broke, a foot tore out of the
            shell, a joint ruptured.
        part: what stopped carrying.
        travel: mm at which it came to its limit, found within the step.
        step: number of the first kept step without it.
        before: N of push before.
        after: N at the same travel, when the rest had taken what it carried.
    """

    kind: LossKind
    part: Part
    travel: float
    step: int
    before: float
    after: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """A push from rest, at each of k kept steps (the first is the rest state).

    Attributes:
        travel: (k,) mm.
        load: (k,) N (for a load pattern, the factor on it).
        displacement: (k, n, 3) mm.
        turn: (k, n, 3, 3) rotation of each node.
        forces: (k, m, 6) N and N mm in each element's own axes: pull, torque, bending about y and z at
            the start, bending about y and z at the stop.
        reaction: (k, n, 6) N and N mm from the ground on each node, 0 where it is free.
        springs: (k, s) N or N mm, force of each spring on its node.
        hinges: (k, h, 6) N and N mm, forces and moments of each hinge in its own axes.
        bars: (k, b) N, pull of each bar.
        touching: (k,) how many contact points press.
        negative_pivots: (k,) how many directions the frame has lost its hold in (0 before a limit).
        work: (k,) N mm put in by the load.
        stored: (k,) N mm held as elastic strain (contact springs included).
        dissipated: (k,) N mm spent on yielding.
        events: what gave way, in order.
        reached: True where the whole travel was followed.
        left: True where the rest of the travel was not wanted.
        end: how it ended, in words: ``reached 150 mm``, ``left at 60 mm`` or ``stalled at 83 mm``.
        stiffness: N/mm at rest (of a platen or pole: over the first step).
        falls: travel mm, load before and after N, where the frame gave way at once.
        strain: (k,) largest strain of a tube's outermost fibre in pull, mean over the gauge length.
        strained: (k,) element at the middle of that length.
        strained_part: (k,) 0 to 1, where on that element.
        losses: what let go, in order.
        dent: (k, m) mm, depth of the deepest dent of each element's wall.
    """

    travel: Floats
    load: Floats
    displacement: Floats
    turn: Floats
    forces: Floats
    reaction: Floats
    springs: Floats
    hinges: Floats
    bars: Floats
    touching: Ints
    negative_pivots: Ints
    work: Floats
    stored: Floats
    dissipated: Floats
    events: tuple[YieldEvent, ...]
    reached: bool
    end: str
    stiffness: float
    left: bool = False
    falls: tuple[tuple[float, float, float], ...] = ()
    strain: Floats = field(default_factory=lambda: np.zeros(0))
    strained: Ints = field(default_factory=lambda: np.zeros(0, np.int64))
    strained_part: Floats = field(default_factory=lambda: np.zeros(0))
    losses: tuple[Loss, ...] = ()
    dent: Floats = field(default_factory=lambda: np.zeros((0, 0)))


@dataclass(frozen=True, slots=True, kw_only=True)
class LinearSolution:
    """Small elastic movement under c load cases.

    Attributes:
        displacement: (c, n, 6) mm and rad.
        forces: (c, m, 6) as in :class:`Solution`.
        reaction: (c, n, 6) N and N mm from the ground, springs not included.
        energy: (c,) N mm stored.
    """

    displacement: Floats
    forces: Floats
    reaction: Floats
    energy: Floats
