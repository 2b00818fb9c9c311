"""Each joint's force against its strength at every kept step."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from cagewright.frame.couplings import CouplingPlace
from cagewright.frame.foot_welds import FootWeld
from cagewright.frame.idealise import Idealised, JointPlace
from cagewright.frame.joint_flexibility import joint_flexibility
from cagewright.frame.joint_places import WORDS, strengths_at
from cagewright.frame.joint_strength import outside_validity
from cagewright.frame.joint_walls import main_factors
from cagewright.frame.kernels_arrays import pack_beams
from cagewright.frame.model import Floats, Ints, Solution
from cagewright.frame.results import JointUse
from cagewright.frame.survival import crossing
from cagewright.frame.weld_arcs import weld_use


def joint_uses(model: Idealised, solution: Solution, last: int) -> tuple[JointUse, ...]:
    """Every joint's and coupling's use up to kept step ``last``, the first to go over its strength first."""
    uses = [*_welded_uses(model, solution, last), *_coupling_uses(model, solution, last)]
    return tuple(sorted(uses, key=lambda u: (np.inf if u.over is None else u.over, -u.most)))


def _welded_uses(model: Idealised, solution: Solution, last: int) -> tuple[JointUse, ...]:
    """Every welded joint's use up to kept step ``last``.

    Interaction N/N_Rd + (M_ip/M_ip,Rd)2 + M_op/M_op,Rd, the main wall's strength lowered by the main's own
    compression so far, kp (EN 1993-1-8:2005 7.4.2 and Table 7.2, from memory). Torque and shear of the branch
    are not counted: the source has no strength for them.
    """
    if not model.joints:
        return ()
    forces = branch_forces(model, solution)
    frame = model.model
    factors = main_factors(frame.hinges.tubes, frame.sections, solution.forces)
    strength, governs = strengths(model, np.minimum.accumulate(factors))
    parts = np.abs(forces / strength)
    use = joint_share(parts)
    uses = [
        _one(model, solution, j, place, last, use[:, j], parts[:, j], forces[:, j], governs[:, j])
        for j, place in enumerate(model.joints)
    ]
    return tuple(uses)


def _coupling_uses(model: Idealised, solution: Solution, last: int) -> tuple[JointUse, ...]:
    """The use up to kept step ``last`` of every coupling that comes apart.

    Pull (push is carried by contact in all but a sleeve and a pin, where it counts as pull), bending and
    shear, each over its strength, by the joints' interaction; shear adds to pull as in EN 1993-1-8 Table 3.4.
    """
    return tuple(_coupling(solution, place, last) for place in model.couplings)


def _coupling(solution: Solution, place: CouplingPlace, last: int) -> JointUse:
    held, strength = solution.hinges[:, place.hinge], place.strength
    pull = held[:, 0] if place.coupling.kind == "flange" else np.abs(held[:, 0])
    axial = np.maximum(pull, 0.0) / strength.axial
    shear = np.hypot(held[:, 1], held[:, 2]) / (strength.shear or np.inf)
    # bolts in pull and shear: Fv/FvRd + Ft/(1.4 FtRd) <= 1, never less than either alone
    both = np.maximum(axial, shear + axial / 1.4)
    both = np.hypot(axial, shear) if place.coupling.kind == "double lug" else both
    bend = [
        np.abs(held[:, 4 + k]) / b if b > 0.0 else np.zeros(len(held)) for k, b in enumerate(strength.bending)
    ]
    use = joint_share(np.stack([both + bend[0], np.zeros(len(held)), bend[1]], axis=1))
    step = int(np.argmax(use[: last + 1]))
    over = crossing(solution.travel, 1.0 - 1e-6 - use)
    return JointUse(
        joint=place.coupling.name,
        words=f"{place.coupling.kind} in {place.member}",
        most=float(use[step]),
        over=over,
        over_load=None if over is None else float(np.interp(over, solution.travel, solution.load)),
        governs=strength.governs,
        forces=(float(held[step, 0]), float(held[step, 4]), float(held[step, 5])),
        weld=None,
        outside=(),
        fitted=True,
    )


def joint_share(parts: Floats) -> Floats:
    """Share of strength (...,) for parts (..., 3) of the axial, in-plane and out-of-plane strengths.

    All three forces over this share lie on N + M_ip2 + M_op = 1: it grows as the forces do, and is 1 where
    the interaction is.
    """
    straight = parts[..., 0] + parts[..., 2]
    return 0.5 * (straight + np.sqrt(straight**2 + 4.0 * parts[..., 1] ** 2))


def branch_forces(model: Idealised, solution: Solution) -> Floats:
    """Pull along the branch N, moment in plane and out of plane N mm, of every joint (k, j, 3)."""
    return forces_at(model, solution, model.joints)


def forces_at(model: Idealised, solution: Solution, places: Sequence[JointPlace | FootWeld]) -> Floats:
    """Pull along the member N, moment about its two axes N mm, at every one of ``places`` (k, j, 3)."""
    return place_forces(pack_beams(model.model).axes, solution.forces, places)


def place_forces(axes: Floats, forces: Floats, places: Sequence[JointPlace | FootWeld]) -> Floats:
    """As :func:`forces_at` from the elements' axes (m, 3, 3) and forces (k, m, 6)."""
    element = np.array([p.element for p in places])
    part = np.array([p.part for p in places])
    force = forces[:, element]
    y = np.where(part == 0, force[..., 2], force[..., 4])
    z = np.where(part == 0, force[..., 3], force[..., 5])
    moment = y[..., None] * axes[element, :, 1] + z[..., None] * axes[element, :, 2]
    first = np.array([p.in_plane for p in places])
    second = np.array([p.out_of_plane for p in places])
    # moments as they act on the main, about the branch's axis turned to run from the joint into the branch
    return np.stack([force[..., 0], -(moment * first).sum(axis=2), -(moment * second).sum(axis=2)], axis=2)


def strengths(model: Idealised, factors: Floats) -> tuple[Floats, Ints]:
    """Strength (k, j, 3) of every joint at every kept step, and what governs as a number in ``WORDS``."""
    wall, others, words = (np.array(v) for v in zip(*(strengths_at(p) for p in model.joints), strict=True))
    walls = wall * factors[..., None]
    return np.minimum(walls, others), np.where(walls <= others, 0, words)


def _one(
    model: Idealised, solution: Solution, number: int, place: JointPlace, last: int,
    use: Floats, parts: Floats, forces: Floats, governs: Ints,
) -> JointUse:  # fmt: skip
    step = int(np.argmax(use[: last + 1]))
    over = crossing(solution.travel, 1.0 - use)
    welded = _weld_share(place, forces[: last + 1])
    joint = place.joint
    return JointUse(
        joint=joint.name,
        words=f"{joint.branch} on {joint.mains[0]}",
        most=float(use[step]),
        over=over,
        over_load=None if over is None else float(np.interp(over, solution.travel, solution.load)),
        governs=WORDS[int(governs[step, int(np.argmax(parts[step]))])],
        forces=(float(forces[step, 0]), float(forces[step, 1]), float(forces[step, 2])),
        weld=welded,
        outside=outside_validity(place.sizes),
        fitted=joint_flexibility(place.sizes, young=1.0).fitted,
    )


def _weld_share(place: JointPlace, forces: Floats) -> float | None:
    if place.weld is None:
        return None
    share = weld_use(place.weld, axial=forces[:, 0], in_plane=forces[:, 1], out_of_plane=forces[:, 2])
    return float(share.max())
