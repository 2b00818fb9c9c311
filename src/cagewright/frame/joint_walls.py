"""What the main tube's own push leaves of its joints, for the model's hinges and for the report alike."""

from __future__ import annotations

import numpy as np

from cagewright.frame.model import ElementSections, Floats, Ints, TubeJoints


def main_factors(joints: TubeJoints, sections: ElementSections, forces: Floats) -> Floats:
    """The factor kp (..., w) of every joint's main wall under the elements' end forces (..., m, 6).

    kp = 1 - 0.3 np (1 + np), np = compression / fy0 (EN 1993-1-8:2005 Table 7.2, from memory). The stress is
    that of the main's bending beside the joint and of the less pushed of its two sides (so that the branch's
    own push is left out), at most the yield strength.
    """
    force = forces[..., joints.mains, :]
    y = np.where(joints.part == 0, force[..., 2], force[..., 4])
    z = np.where(joints.part == 0, force[..., 3], force[..., 5])
    elastic = (sections.inertia_z / sections.radius)[joints.mains]
    bending = (np.sqrt(y**2 + z**2) / elastic).max(axis=-1)
    compression = bending - (force[..., 0] / sections.area[joints.mains]).max(axis=-1)
    share = np.clip(compression / joints.main_yield, 0.0, 1.0)
    return 1.0 - 0.3 * share * (1.0 + share)


def parting(joints: TubeJoints, deform: Floats) -> Floats:
    """How near every joint (..., w) is to parting, 1 there, for hinges deformed by ``deform`` (..., h, 6).

    Pull-out and both turns over their limits, the root of the sum of squares (assumed); a branch pushed into
    its main stays where it is.
    """
    moved = np.abs(deform[..., joints.row, :][..., [0, 4, 5]])
    moved[..., 0] = np.maximum(deform[..., joints.row, 0], 0.0)
    return np.sqrt(((moved / joints.limit) ** 2).sum(axis=-1))


def beside(mains: list[tuple[int, ...]], starts: Floats, place: Floats) -> tuple[Ints, Ints]:
    """The two elements of each joint's main (w, 2), and which of their ends is at the joint (w, 2).

    Args:
        mains: elements of each joint's main that meet there, at least one; the same twice at a main's end.
        starts: (m, 2) developed distance of each element's ends, mm.
        place: (w,) developed distance of each joint on its main, mm.
    """
    pairs = np.array([(e[0], e[-1]) for e in mains], np.int64).reshape(-1, 2)
    away = np.abs(starts[pairs] - place[:, None, None])
    return pairs, np.argmin(away, axis=2).astype(np.int64)
