"""The car under its cage as one rigid body: its mass, where its middle is, and how hard it is to turn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.base.say import say
from cagewright.frame.body import RigidBody
from cagewright.frame.errors import FrameError
from cagewright.frame.model import Floats, FrameModel
from cagewright.frame.push_places import DRIVER, G, weight_of
from cagewright.frame.supports import all_feet
from cagewright.shape.types import Cage, bodies_of

AHEAD_OF_HIP, OVER_FLOOR = 200.0, 250.0
"""mm: the middle of a car lies about so far ahead of its driver's hip and at its height, or so far over the
lowest foot (common practice, no source)."""
RADII = (600.0, 1150.0, 1200.0)
"""mm, radii of gyration of a saloon about its own back, across and up axes: roll, pitch, yaw (memory, of
tables of measured cars: 0.5 to 0.65, 1.1 to 1.3 and 1.15 to 1.35 m)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CarBody:
    """The car without its tubes, as a rigid body, and what is known of the whole.

    Attributes:
        body: what the tubes stand on.
        mass: of car and driver, tubes counted, t.
        centre: (3,) mm, of the whole.
        assumed: what the plan does not say, in words.
    """

    body: RigidBody
    mass: float
    centre: Floats
    assumed: tuple[str, ...]


def car_body(cage: Cage, model: FrameModel, masses: Floats) -> CarBody:
    """The car that carries the cage.

    Args:
        cage: what it carries.
        model: the cage as a frame.
        masses: (n, 6) of its nodes, t and t mm2.

    Raises:
        FrameError: the car's mass is not known, or the tubes leave no car of this mass and inertia.
    """
    weight = weight_of(cage)
    if weight is None or cage.car is None:
        raise FrameError(["the car's mass is not known, and a drop needs it: say car: mass"])
    mass = weight / G * 1e-3
    centre = _centre(cage)
    whole = np.diag(_inertia(cage, mass))
    tubes, m = float(masses[:, 0].sum()), masses[:, 0]
    left = mass - tubes
    if left <= 0.0:
        raise FrameError([
            f"the car's mass, {say(cage.car.mass, 'mass', cage.units, places=0)}, is less than that of its "
            f"tubes, {say(tubes * 1e3, 'mass', cage.units, places=0)}"
        ])
    middle = (mass * centre - m @ model.nodes) / left
    inertia = whole - _about(model.nodes, m, centre) - _about(middle[None], np.array([left]), centre)
    if float(np.linalg.eigvalsh(inertia)[0]) <= 0.0:
        raise FrameError([
            "the car's inertia is less than that of its tubes: look at car: inertia and centre"
        ])
    return CarBody(
        body=RigidBody(mass=left, centre=middle, inertia=inertia), mass=mass, centre=centre,
        assumed=_assumed(cage, centre),
    )  # fmt: skip


def _centre(cage: Cage) -> Floats:
    if cage.car is not None and cage.car.centre is not None:
        return np.array(cage.car.centre)
    if bodies := bodies_of(cage):
        back, _, up = bodies[0][1].hip
        return np.array([back - AHEAD_OF_HIP, 0.0, up])
    feet = np.array([f.point for f in all_feet(cage)])
    back = 0.5 * float(feet[:, 0].min() + feet[:, 0].max())
    return np.array([back, 0.0, float(feet[:, 2].min()) + OVER_FLOOR])


def _inertia(cage: Cage, mass: float) -> Floats:
    """About the car's back, across and up axes through its middle (3,), t mm2."""
    if cage.car is not None and cage.car.inertia is not None:
        # kg m2 are 1e3 t mm2
        return np.array(cage.car.inertia) * 1e3
    return mass * np.square(RADII)


def _about(places: Floats, masses: Floats, centre: Floats) -> Floats:
    """Inertia (3, 3) of ``masses`` (n,) at ``places`` (n, 3) about ``centre``."""
    off = places - centre
    square = float(masses @ (off**2).sum(axis=1))
    return square * np.eye(3) - np.einsum("n,ni,nj->ij", masses, off, off)


def _assumed(cage: Cage, centre: Floats) -> tuple[str, ...]:
    said: list[str] = []
    car, units, bodies = cage.car, cage.units, bodies_of(cage)
    if car is None or car.centre is None:
        at = ", ".join(say(float(v), "length", units, places=0) for v in centre)
        ahead = say(AHEAD_OF_HIP, "length", units, places=0)
        where = (
            f"{ahead} ahead of the driver's hip and at its height"
            if bodies
            else "over the middle of the feet"
        )
        said.append(f"assumed: the car's middle of mass is at {at} ({where}; common practice, no source)")
    if car is None or car.inertia is None:
        radii = ", ".join(say(r, "length", units, places=0) for r in RADII)
        said.append(
            f"assumed: the car turns like a saloon, with {radii} of gyration in roll, pitch, yaw (memory)"
        )
    if not bodies or not all(body.mass for _, body in bodies):
        said.append(f"assumed: whoever's mass is not in the plan has {say(DRIVER, 'mass', units, places=0)}")
    return tuple(said)
