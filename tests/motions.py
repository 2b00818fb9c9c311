"""Frames in motion for the tests: a stiff sled on a rigid body, and sticks with a mass at an end."""

from __future__ import annotations

import numpy as np

from cagewright.frame.body import Carried, RigidBody, on_body, on_ground
from cagewright.frame.follow import Followed, follow
from cagewright.frame.kernels_move import Floor
from cagewright.frame.model import FrameModel, Material, bilinear, clamped, frame_model, tube_sections
from cagewright.frame.moving import Mover, Pace, lumped, mover

G = 9806.65
UP = np.array([0.0, 0.0, 1.0])


def stick(
    count: int, length: float, *, od: float = 40.0, wall: float = 3.0, fy: float = np.inf,
    hardening: float = 0.0, young: float = 210e3, shear: bool = False, along: int = 0, fibres: int = 24,
) -> FrameModel:  # fmt: skip
    """A straight tube of ``count`` elements, clamped at its first node."""
    nodes = np.zeros((count + 1, 3))
    nodes[:, along] = np.linspace(0.0, length, count + 1)
    curve = bilinear(fy=fy, hardening=hardening, young=young) if np.isfinite(fy) else None
    return frame_model(
        nodes=nodes,
        elements=np.stack([np.arange(count), np.arange(1, count + 1)], axis=1),
        sections=tube_sections(np.full(count, od), np.full(count, wall), shear=shear),
        materials=(Material(young=young, shear=young / 2.6, curve=curve),),
        fixed=clamped(count + 1, [0]),
        fibres=fibres,
    )


def struck(model: FrameModel, *, mass: float, velocity: np.ndarray, pace: Pace, until: float) -> Followed:
    """The stick struck at its free end by ``mass`` t at ``velocity`` (3,) mm/s, which then stays on it.

    What the last node weighs of its own is set moving too: the momentum is the mass's alone.
    """
    c = on_ground(model)
    masses = lumped(model)
    masses[:, 3:] *= 1e-3
    masses[-1, :3] += mass
    start = np.zeros_like(masses)
    start[-1, :3] = velocity * mass / masses[-1, 0]
    return follow(mover(c, mass=masses, pace=pace), start, until=until)


def sled() -> FrameModel:
    """Four short stiff legs under a body, each held to it at its top and round 20 mm at its foot."""
    corners = np.array([[-500.0, -300, 0], [500, -300, 0], [500, 300, 0], [-500, 300, 0]])
    nodes = np.concatenate([corners + 100.0 * UP, corners])
    return frame_model(
        nodes=nodes,
        elements=np.array([[k, 4 + k] for k in range(4)]),
        sections=tube_sections(np.full(4, 40.0), np.full(4, 10.0)),
        materials=(Material(young=210e3, shear=81e3),),
        fixed=clamped(8, [0, 1, 2, 3]),
    )


def body_of(*, mass: float = 1.0, centre: tuple[float, float, float] = (0.0, 0.0, 300.0),
            radii: tuple[float, float, float] = (400.0, 600.0, 700.0)) -> RigidBody:  # fmt: skip
    """A body of ``mass`` t with radii of gyration, mm."""
    return RigidBody(mass=mass, centre=np.array(centre), inertia=np.diag(np.square(radii)) * mass)


def loosed(
    model: FrameModel, body: RigidBody, *, friction: float | None = None, level: float = -20.0,
    pace: Pace | None = None, gravity: float = G, density: float = 7.85e-12,
) -> tuple[Carried, Mover]:  # fmt: skip
    """The frame, next to weightless, on its body over flat ground; no ground where ``friction`` is None."""
    c = on_body(model, body)
    masses = np.vstack([lumped(model, density=density), np.zeros(6)])
    masses[-1, :3] = body.mass
    load = np.zeros_like(masses)
    load[:, 2] = -gravity * masses[:, 2]
    floor = None if friction is None else Floor(UP, level, 1e4, 0.1, friction, 5.0)
    return c, mover(c, mass=masses, load=load, floor=floor, pace=pace)


def thrown(masses: np.ndarray, nodes: np.ndarray, *, velocity: np.ndarray, spin: np.ndarray) -> np.ndarray:
    """Velocities (n, 6) of nodes that move with a body whose centre is the last node; ``spin`` in rad/s."""
    start = np.zeros_like(masses)
    start[:, :3] = velocity + np.cross(spin, nodes - nodes[-1])
    start[:, 3:] = spin
    return start
