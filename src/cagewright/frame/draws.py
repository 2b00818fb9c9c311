"""What is not known of a cage and of how it lands, drawn from stated ranges, and a frame with what was drawn.

The draws are a Latin hypercube (McKay, Beckman, Conover, Technometrics 21 (1979) 239): of n draws, each
quantity falls once into each nth of its range, so that a few draws cover all of them. The same draws are used
for every alternative, so that what they share falls out of their differences (common random numbers).
"""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np
from scipy.stats import qmc

from cagewright.frame.idealise import FootPlace, Idealised
from cagewright.frame.model import Flags, Hinges, Material
from cagewright.frame.push_off import Off

SEED = 20090512
"""Of the draws, so that the same study has the same ones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawRange:
    """A quantity that is drawn, evenly between ``low`` and ``high``, and where the range is from."""

    key: str
    words: str
    unit: Literal["factor", "deg", "mm", "part"]
    low: float
    high: float
    source: str
    certainty: Literal["read", "second-hand", "computed", "memory", "assumed", "shop"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """One draw: factors on the model, how far off a push is in degrees and mm, its friction."""

    yield_strength: float = 1.0
    softening: float = 1.0
    joint_strength: float = 1.0
    joint_flexibility: float = 1.0
    foot_stiffness: float = 1.0
    foot_strength: float = 1.0
    strain_limit: float = 1.0
    pitch: float = 0.0
    roll: float = 0.0
    aside: float = 0.0
    friction: float = 0.0

    @property
    def off(self) -> Off:
        """How the push comes."""
        return Off(pitch=self.pitch, roll=self.roll, aside=self.aside, friction=self.friction)


@cache
def ranges() -> tuple[DrawRange, ...]:
    """Every quantity that is drawn, in the order of the file."""
    text = files("cagewright.frame").joinpath("data", "draws.toml").read_text(encoding="utf-8")
    return tuple(DrawRange(**row) for row in tomllib.loads(text)["draw"])


def drawn(count: int, seed: int = SEED) -> tuple[Draw, ...]:
    """So many draws; the same for the same count and seed.

    Raises:
        ValueError: fewer than one.
    """
    if count < 1:
        raise ValueError("at least one draw")
    rows = ranges()
    sample = qmc.LatinHypercube(d=len(rows), rng=seed).random(count)
    values = qmc.scale(sample, [r.low for r in rows], [r.high for r in rows])
    return tuple(Draw(**{r.key: float(v) for r, v in zip(rows, line, strict=True)}) for line in values)


def with_draw(model: Idealised, draw: Draw) -> Idealised:
    """The frame with what was drawn of its steel, welds, joints and feet."""
    frame = model.model
    tubes = set(frame.material.tolist())
    softer = np.clip(1.0 - (1.0 - frame.yield_factor) * draw.softening, 0.1, None)
    changed = replace(
        frame,
        materials=tuple(_steel(m, draw) if i in tubes else m for i, m in enumerate(frame.materials)),
        yield_factor=np.where(frame.yield_factor < 1.0, np.minimum(softer, 1.0), frame.yield_factor),
        springs=replace(
            frame.springs,
            stiffness=frame.springs.stiffness * draw.foot_stiffness,
            capacity=frame.springs.capacity * draw.foot_strength,
        ),
        hinges=_hinges(frame.hinges, _of_feet(model), draw),
    )
    return replace(model, model=changed, feet=tuple(_foot(place, draw) for place in model.feet))


def _steel(material: Material, draw: Draw) -> Material:
    curve = material.curve
    if curve is not None:
        curve = replace(curve, stress=curve.stress * draw.yield_strength)
    return replace(material, curve=curve, tear=material.tear * draw.strain_limit)


def _of_feet(model: Idealised) -> Flags:
    found = np.zeros(len(model.model.hinges.ends), np.bool_)
    found[[row for place in model.feet for row in place.hinges]] = True
    return found


def _hinges(hinges: Hinges, feet: Flags, draw: Draw) -> Hinges:
    stiffer = np.where(feet, draw.foot_stiffness, 1.0 / draw.joint_flexibility)
    stronger = np.where(feet, draw.foot_strength, draw.joint_strength)
    return replace(
        hinges, stiffness=hinges.stiffness * stiffer[:, None], capacity=hinges.capacity * stronger[:, None]
    )


def _foot(place: FootPlace, draw: Draw) -> FootPlace:
    """The foot with the strengths that its tearing and its use are judged by."""
    if place.hold is None:
        return place
    strengths = ("push", "pull", "slide", "tilt", "tear", "tear_tilt")
    hold = replace(place.hold, **{key: getattr(place.hold, key) * draw.foot_strength for key in strengths})
    return replace(place, hold=hold)
