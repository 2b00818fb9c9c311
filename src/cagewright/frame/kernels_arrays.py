"""The frame as plain arrays for the compiled kernels: what does not change in a push, and what does."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from cagewright.frame.kernels_section import FAR, GAUSS
from cagewright.frame.model import (
    Bars,
    ElementSections,
    Floats,
    FrameModel,
    HardeningCurve,
    Hinges,
    Ints,
    Springs,
)

Bytes = NDArray[np.uint8]


class Beams(NamedTuple):
    """Elements, m rows; local axes x along, y, z.

    Attributes:
        ends: (m, 2) node numbers.
        length: (m,) mm between the ends of the rigid stubs.
        axes: (m, 3, 3) columns: local axes at rest.
        stiff: (m, 6) elastic stiffness: stretch, twist, even bending y and z, odd bending y and z.
        bend: (m, 2) 1/(N mm2), flexibility that a bend adds to bending about y and z.
        rigid: (m, 2) N mm2, E I_y and E I_z of the fibres alone.
        shear: (m, 2) N, G A_s for bending about y and about z; 0 where shear is left out.
        web: (m, 3) shear of a fibre, over the root of 3, for each twist (mm) and shear slip y and z; 0 where
            torque does not make the tube yield.
        core: (m, 3) N mm2 and N, what carries twist and shear beside the fibres and never yields.
        reach: (m, 2) mm, fibre ellipse: half axes along y and z.
        fibre: (m,) mm2, area of one fibre.
        limit: (m,) strain at first yield, infinite for an elastic steel.
        stiffer: (m,) 3 G over E.
        share: (m, 8) largest stress over yield, as if elastic, for each mode's deformation: of pull, torque,
            even and odd bending, and two of the shear that goes with odd bending.
        material: (m,) number of the steel.
        factor: (m,) on the yield stress.
        stub: (m, 2, 3) mm, rigid pieces at rest.
        stubbed: (m,) 1 where a stub has length.
        radius: (m,) mm, of the outside.
        kind: (m,) row of its section in the steels' ``places``; 0 for a ring.
        coupled: (m,) 1 where the centroid is not the shear centre: its fibres are always asked.
        offset: (m, 2) mm, y and z of the centroid from the shear centre.
    """

    ends: Ints
    length: Floats
    axes: Floats
    stiff: Floats
    bend: Floats
    rigid: Floats
    shear: Floats
    web: Floats
    core: Floats
    reach: Floats
    fibre: Floats
    limit: Floats
    stiffer: Floats
    share: Floats
    material: Ints
    factor: Floats
    stub: Floats
    stubbed: Bytes
    radius: Floats
    kind: Ints
    coupled: Bytes
    offset: Floats


class Steels(NamedTuple):
    """Hardening curves, one row a steel, and where the sections' fibres are.

    Attributes:
        young: (c,) MPa.
        triple: (c,) MPa, 3 G.
        kinematic: (c,) part of hardening that shifts.
        curve: (c, 3, k) plastic strain at the knots, stress MPa there, slope MPa after each.
        places: (1 + p, 6, f) fibres of the ring and of every other section; see ``kernels_section``.
    """

    young: Floats
    triple: Floats
    kinematic: Floats
    curve: Floats
    places: Floats


class BeamState(NamedTuple):
    """What the fibres remember from the last kept step, and the present try.

    Attributes:
        yielded: (m, 2) 1 where a section has had a fibre past yield.
        touched: (m,) 1 where the present try went through the element's fibres.
        memory: (m, 2, 5, f) plastic strain in pull and in shear, accumulated plastic strain, middle of the
            yield circle in both MPa.
        slip: (m, 2) shear strain for bending about y and z, of the present try.
        extra: (m, 2, 2) 1/mm, curvature taken by a bend's own flexibility, of the present try.
        lean: (m, 6, 6) how slips and extra curvatures change with the mode deformations, where the present
            try went through the fibres.
        natural: (m, 6) mode forces of the present try.
        deform: (m, 6) mode deformations of the present try.
        hold: (m,) 1, or less where the element is letting go of what it carries; 0 where it has.
    """

    yielded: Bytes
    touched: Bytes
    memory: Floats
    slip: Floats
    extra: Floats
    lean: Floats
    natural: Floats
    deform: Floats
    hold: Floats


class Slots(NamedTuple):
    """Where each piece's stiffness goes in the block matrix.

    Attributes:
        column: (n,) elimination step of each node, -1 where it is wholly held.
        free: (n, 6) 1.0 where a degree of freedom can move.
        partly: (n,) 1 where only some can.
        block: (p,) off-diagonal block of each two-node piece: elements, then bars, then hinges.
        flip: (p,) True where the piece's stop is eliminated first.
    """

    column: Ints
    free: Floats
    partly: Bytes
    block: Ints
    flip: NDArray[np.bool_]


def pack_beams(model: FrameModel) -> Beams:
    """The elements of ``model`` as arrays."""
    s, ends = model.sections, model.elements
    tips = model.nodes[ends] + model.stubs
    along = tips[:, 1] - tips[:, 0]
    length = np.sqrt((along**2).sum(axis=1))
    young = np.array([m.young for m in model.materials])[model.material]
    shear = np.array([m.shear for m in model.materials])[model.material]
    stress = np.array([m.curve.stress[0] if m.curve else np.inf for m in model.materials])[model.material]
    rigid = young[:, None] * np.stack([s.inertia_y, s.inertia_z], axis=1)
    area = shear[:, None] * np.stack([s.shear_z, s.shear_y], axis=1)
    carried = np.where(np.isfinite(area), area, 0.0)
    soft = rigid / model.bend_factor[:, None]
    phi = np.divide(12.0 * soft, carried * length[:, None] ** 2, out=np.zeros_like(soft), where=carried > 0.0)
    even = soft / length[:, None]
    stiff = np.concatenate(
        [
            (young * s.area / length)[:, None],
            (shear * s.torsion / length)[:, None],
            even,
            3.0 * even / (1.0 + phi),
        ],
        axis=1,
    )
    # a fibre's shear in the ring is the twist times its arm, and the slips' parts along the ring: G J and
    # G A_s come out exact
    whole = np.stack([shear * s.torsion, carried[:, 0], carried[:, 1]], axis=1)
    arm = np.sqrt(np.array([1.0, 2.0, 2.0]) * whole / (shear * s.area)[:, None])
    yields = model.torsion == "yields"
    web = arm / np.sqrt(3.0) if yields else np.zeros_like(arm)
    kind = s.kinds
    reach, limit = (
        np.sqrt(2.0 * np.stack([s.inertia_z, s.inertia_y], axis=1) / s.area[:, None]),
        stress * model.yield_factor / young,
    )
    reach[kind > 0] = 1.0  # the places of other fibres are in mm
    offset = np.array([np.zeros(2), *(p.offset for p in s.profiles)])[kind]
    coupled = (np.abs(offset).max(axis=1, initial=0.0) > 1e-6).astype(np.uint8)
    furthest = np.where((kind > 0)[:, None], _furthest(s)[kind], reach)
    return Beams(
        web=web,
        core=np.zeros_like(arm) if yields else whole,
        ends=ends, length=length, axes=_axes(along / length[:, None], model.toward), stiff=stiff,
        bend=(model.bend_factor[:, None] - 1.0) / rigid, rigid=rigid, shear=carried,
        reach=reach, fibre=s.area / model.fibres, limit=limit, stiffer=3.0 * shear / young,
        share=_shares(stiff, rigid, carried, length, furthest, web, 3.0 * shear / young) / limit[:, None],
        material=model.material, factor=model.yield_factor, stub=np.ascontiguousarray(model.stubs),
        stubbed=np.any(model.stubs != 0.0, axis=(1, 2)).astype(np.uint8), radius=s.radius,
        kind=kind, coupled=coupled, offset=offset,
    )  # fmt: skip


def _furthest(sections: ElementSections) -> Floats:
    """Bounds (1 + p, 2), mm, that stand for the half axes where stress is bounded, none for the ring.

    A corner feels both bendings at once, where the bound takes the root of their squares: root 2 more.
    """
    each = (math.sqrt(2.0) * np.abs(p.table[:2]).max(axis=1) for p in sections.profiles)
    return np.array([np.zeros(2), *each])


def _shares(
    stiff: Floats, rigid: Floats, shear: Floats, length: Floats, reach: Floats, web: Floats, stiffer: Floats
) -> Floats:
    """Largest strain (m, 8) for each mode's deformation, a slide's by 3 G over E; see ``Beams.share``."""
    bent = reach[:, ::-1] / rigid
    slip = 2.0 * np.divide(stiff[:, 4:], shear, out=np.zeros_like(shear), where=shear > 0.0)
    slide = (stiffer / length)[:, None] * web
    return np.concatenate(
        [
            1.0 / length[:, None], slide[:, :1], bent * stiff[:, 2:4], GAUSS * bent * stiff[:, 4:],
            slide[:, 1:] * slip,
        ],
        axis=1,
    )  # fmt: skip


def cross_rows(a: Floats, b: Floats) -> Floats:
    """Vector products (m, 3) of the rows of ``a`` and ``b`` (m, 3), far quicker than numpy's own."""
    ax, ay, az = a.T
    bx, by, bz = b.T
    return np.stack([ay * bz - az * by, az * bx - ax * bz, ax * by - ay * bx], axis=1)


def _axes(along: Floats, toward: Floats) -> Floats:
    """Columns (m, 3, 3): along, local y as near ``toward`` as can be, local z."""
    y = toward - (toward * along).sum(axis=1, keepdims=True) * along
    y = y / np.sqrt((y**2).sum(axis=1, keepdims=True))
    return np.ascontiguousarray(np.stack([along, y, cross_rows(along, y)], axis=2), float)


def pack_steels(model: FrameModel) -> Steels:
    """The steels of ``model`` and its fibre angles as arrays."""
    most = max([len(m.curve.strain) for m in model.materials if m.curve], default=1)
    rows = [_curve_row(m.curve, most) for m in model.materials]
    angle = (np.arange(model.fibres) + 0.5) * (2.0 * np.pi / model.fibres)
    ring = np.stack([np.cos(angle), np.sin(angle), np.ones_like(angle)] * 2)
    return Steels(
        young=np.array([m.young for m in model.materials]),
        triple=np.array([3.0 * m.shear for m in model.materials]),
        kinematic=np.array([m.curve.kinematic if m.curve else 1.0 for m in model.materials]),
        curve=np.array(rows),
        places=np.array(
            [ring, *(_padded(p.table, model.fibres) for p in model.sections.profiles)], np.float64
        ),
    )


def _padded(table: Floats, fibres: int) -> Floats:
    """A section's fibres (6, f) with more that weigh nothing, its weights still adding up to their number."""
    short = fibres - table.shape[1]
    if not short:
        return table
    more = np.concatenate([table, np.zeros((6, short))], axis=1)
    more[5] *= fibres / table.shape[1]
    return more


def _curve_row(curve: HardeningCurve | None, most: int) -> Floats:
    row = np.full((3, most), FAR)
    row[2] = 0.0
    if curve is None:
        row[0, 0] = 0.0
        return row
    k = len(curve.strain)
    row[0, :k], row[1, :k] = curve.strain, curve.stress
    row[2, : k - 1] = np.diff(curve.stress) / np.diff(curve.strain)
    row[2, k - 1] = curve.tail
    return row


def fresh_state(model: FrameModel) -> BeamState:
    """Fibres that have never been loaded."""
    m, f = len(model.elements), model.fibres
    return BeamState(
        yielded=np.zeros((m, 2), np.uint8), touched=np.zeros(m, np.uint8), memory=np.zeros((m, 2, 5, f)),
        slip=np.zeros((m, 2)),
        extra=np.zeros((m, 2, 2)), lean=np.zeros((m, 6, 6)),
        natural=np.zeros((m, 6)), deform=np.zeros((m, 6)), hold=np.ones(m),
    )  # fmt: skip


class Ties(NamedTuple):
    """Springs, bars and hinges as arrays with what they remember; see the model's nouns for the fields.

    Attributes:
        spring_node: (s,) node.
        spring_dof: (s,) degree of freedom.
        spring_stiff: (s,) N/mm or N mm/rad.
        spring_cap: (s, 2) N or N mm.
        spring_set: (s, 2) movement left behind: kept, present try.
        spring_force: (s,) N or N mm on the node.
        spring_hold: (s,) 1, or less where it is letting go; 0 where it has.
        bar_ends: (b, 2) nodes.
        bar_area: (b,) mm2.
        bar_length: (b,) mm at rest.
        bar_material: (b,) number of the steel.
        bar_slack: (b,) 1 where the bar takes no push.
        bar_set: (b, 3) plastic strain, accumulated, shift MPa: kept.
        bar_force: (b,) N.
        bar_strain: (b,) strain of the present try.
        bar_hold: (b,) 1, or less where it is letting go; 0 where it has.
        hinge_ends: (h, 2) nodes.
        hinge_axes: (h, 3, 3) rows at rest.
        hinge_apart: (h, 3) mm, the second node from the first at rest, in the hinge's axes.
        hinge_stiff: (h, 6).
        hinge_cap: (h, 3).
        hinge_left: (h, 1) part of stiffness after yield.
        hinge_set: (h, 2, 3) plastic stretch, turn in plane, turn out of plane: kept, present try.
        hinge_force: (h, 6) in the hinge's axes.
        hinge_deform: (h, 6) of the present try.
        hinge_hold: (h,) 1, or less where it is letting go; 0 where it has.
    """

    spring_node: Ints
    spring_dof: Ints
    spring_stiff: Floats
    spring_cap: Floats
    spring_set: Floats
    spring_force: Floats
    spring_hold: Floats
    bar_ends: Ints
    bar_area: Floats
    bar_length: Floats
    bar_material: Ints
    bar_slack: Bytes
    bar_set: Floats
    bar_force: Floats
    bar_strain: Floats
    bar_hold: Floats
    hinge_ends: Ints
    hinge_axes: Floats
    hinge_apart: Floats
    hinge_stiff: Floats
    hinge_cap: Floats
    hinge_left: Floats
    hinge_set: Floats
    hinge_force: Floats
    hinge_deform: Floats
    hinge_hold: Floats


def pack_ties(model: FrameModel) -> Ties:
    """The springs, bars and hinges of ``model`` as arrays, never loaded."""
    sp: Springs = model.springs
    ba: Bars = model.bars
    hi: Hinges = model.hinges
    s, b, h = len(sp.node), len(ba.area), len(hi.ends)
    gap = model.nodes[ba.ends[:, 1]] - model.nodes[ba.ends[:, 0]]
    apart = model.nodes[hi.ends[:, 1]] - model.nodes[hi.ends[:, 0]]
    return Ties(
        spring_node=sp.node, spring_dof=sp.dof, spring_stiff=sp.stiffness, spring_cap=sp.capacity,
        spring_set=np.zeros((s, 2)), spring_force=np.zeros(s), spring_hold=np.ones(s),
        bar_ends=ba.ends, bar_area=ba.area, bar_material=ba.material,
        bar_length=np.sqrt((gap**2).sum(axis=1)),
        bar_slack=ba.slack.astype(np.uint8), bar_set=np.zeros((b, 3)), bar_force=np.zeros(b),
        bar_strain=np.zeros(b), bar_hold=np.ones(b),
        hinge_ends=hi.ends, hinge_axes=hi.axes, hinge_apart=np.einsum("hij,hj->hi", hi.axes, apart),
        hinge_stiff=hi.stiffness,
        hinge_cap=_capacity(hi), hinge_left=np.full((h, 1), hi.hardening), hinge_set=np.zeros((h, 2, 3)),
        hinge_force=np.zeros((h, 6)), hinge_deform=np.zeros((h, 6)), hinge_hold=np.ones(h),
    )  # fmt: skip


def _capacity(hinges: Hinges) -> Floats:
    """Capacity (h, 3) of every hinge while nothing is pushed."""
    capacity = hinges.capacity.copy()
    capacity[hinges.tubes.row] = np.minimum(capacity[hinges.tubes.row], hinges.tubes.wall)
    return capacity
