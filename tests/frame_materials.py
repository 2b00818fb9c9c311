"""Sections and steels that published cases have and cages do not."""

import numpy as np

from cagewright.frame.model import ElementSections, Floats, HardeningCurve


def measured(*, strain: Floats, stress: Floats, young: float, kinematic: float = 1.0) -> HardeningCurve:
    """A steel from points of a true stress over true total strain record that starts at yield.

    Args:
        strain: (k,) total true strain, rising.
        stress: (k,) true stress, MPa, not falling.
        young: E, MPa; the elastic part is taken off the strain.
        kinematic: see :class:`HardeningCurve`.

    Raises:
        ValueError: the record falls, runs backwards or rises more steeply than E.
    """
    plastic = np.asarray(strain, float) - np.asarray(stress, float) / young
    plastic = plastic - plastic[0]
    if np.any(np.diff(plastic) <= 0.0) or np.any(np.diff(stress) < 0.0) or stress[0] <= 0.0:
        raise ValueError("a hardening record must rise in strain, never fall in stress, and start at yield")
    return HardeningCurve(strain=plastic, stress=np.asarray(stress, float), tail=0.0, kinematic=kinematic)


def plain_sections(count: int, *, area: float, inertia_y: float, inertia_z: float, torsion: float,
                   shear: float = np.inf) -> ElementSections:  # fmt: skip
    """``count`` equal sections of any shape by their properties, mm2 and mm4; thin as a line to a platen."""
    full = [np.full(count, float(v)) for v in (area, inertia_y, inertia_z, torsion, shear, shear, 0.0)]
    return ElementSections(area=full[0], inertia_y=full[1], inertia_z=full[2], torsion=full[3],
                    shear_y=full[4], shear_z=full[5], radius=full[6])  # fmt: skip
