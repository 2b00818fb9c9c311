"""Frames of one straight rail for the tests: laid along x, its section as it is said to lie."""

import numpy as np

from cagewright.frame.model import (
    ElementSections,
    FrameModel,
    HardeningCurve,
    Material,
    clamped,
    frame_model,
)
from cagewright.frame.profiles import rail_frame
from cagewright.shape.types import Lie
from cagewright.stock.sections import Section, properties

E, G = 210_000.0, 210_000.0 / 2.6
ALONG, ACROSS, UP = np.eye(3)


def rail(
    section: Section, size: float, count: int, curve: HardeningCurve | None = None, *, shear=True
) -> FrameModel:
    """A cantilever of ``count`` elements whose nodes stand on the middle of the section's box."""
    p = properties(section)
    made = rail_frame(section, Lie(across=ACROSS, up=UP), ALONG)
    nodes = np.zeros((count + 1, 3))
    nodes[:, 0] = np.linspace(0.0, size, count + 1)

    def all_of(value: float) -> np.ndarray:
        return np.full(count, value)

    return frame_model(
        nodes=nodes,
        elements=np.stack([np.arange(count), np.arange(1, count + 1)], axis=1),
        toward=np.tile(made.toward, (count, 1)),
        sections=ElementSections(
            area=all_of(p.area), inertia_y=all_of(p.inertia), inertia_z=all_of(p.minor),
            torsion=all_of(p.torsion), radius=all_of(section.reach),
            shear_y=all_of(made.shear[0] if shear else np.inf),
            shear_z=all_of(made.shear[1] if shear else np.inf),
            profile=np.ones(count, np.int64), profiles=(made.profile,),
        ),
        materials=(Material(young=E, shear=G, curve=curve),),
        fixed=clamped(count + 1, [0]),
        stubs=np.tile(made.offset, (count, 2, 1)),
    )  # fmt: skip
