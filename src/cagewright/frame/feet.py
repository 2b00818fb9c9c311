"""What a foot stands on, as springs with capacities: a bending panel, or a box with walls under the plate."""

from __future__ import annotations

import math
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Literal

import numpy as np

from cagewright.stock.steels import Certainty

YOUNG = 210_000.0
POISSON = 0.3
WEAKEST_SPAN = 1.05
"""A panel's stiff edge is never nearer than this times the plate's own radius."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FootGround:
    """The shell under a foot.

    Attributes:
        name: as feet name it (``sill``, ``box``, ``floor``, ``turret``).
        kind: ``sheet`` bends between stiff edges; ``box`` has walls under the plate.
        thickness: of the sheet or the walls, mm.
        yield_strength: MPa.
        span: of a sheet, from the plate's middle to the stiff edge, mm.
        depth: of a box, height of the walls, mm.
        source: where the figures come from.
        certainty: how sure they are.
    """

    name: str
    kind: Literal["sheet", "box"]
    thickness: float
    yield_strength: float
    span: float = 0.0
    depth: float = 0.0
    source: str
    certainty: Certainty


@dataclass(frozen=True, slots=True, kw_only=True)
class FootHold:
    """How a shell holds a foot plate.

    Attributes:
        normal: stiffness square to the plate, N/mm.
        sliding: stiffness in the plate's plane, N/mm.
        tilting: stiffness against tilting, N mm/rad.
        push: force into the shell at which it gives, N.
        pull: force out of the shell at which it gives, N.
        slide: force in the plate's plane at which it gives, N.
        tilt: moment at which it gives, N mm.
        dishing: stiffness that a sheet still has after it folds, as it pulls like a skin, N/mm; 0 for a box.
        dishing_tilt: the same against tilting, N mm/rad; 0 for a box.
        tear: force square to the plate at which the sheet shears round the plate, N; the end of dishing.
        tear_tilt: moment at which it does, N mm.
        governs: what gives first when pushed: ``panel folds``, ``walls crush`` or
            ``sheet shears round the plate``.
    """

    normal: float
    sliding: float
    tilting: float
    push: float
    pull: float
    slide: float
    tilt: float
    dishing: float
    dishing_tilt: float
    tear: float
    tear_tilt: float
    governs: str


@cache
def grounds() -> dict[str, FootGround]:
    """The assumed grounds by name."""
    text = files("cagewright.frame").joinpath("data", "grounds.toml").read_text(encoding="utf-8")
    return {row["name"]: FootGround(**row) for row in tomllib.loads(text)["ground"]}


def foot_hold(ground: FootGround, plate: tuple[float, float]) -> FootHold:
    """How ``ground`` holds a foot plate of (length, width) mm; the plate itself is taken as rigid.

    Raises:
        ValueError: a size that is not more than 0.
    """
    if min(*plate, ground.thickness, ground.yield_strength) <= 0.0:
        raise ValueError("a foot's plate and the sheet under it need sizes of more than 0")
    return _on_box(ground, plate) if ground.kind == "box" else _on_sheet(ground, plate)


def punching(ground: FootGround, plate: tuple[float, float]) -> float:
    """Force that shears the sheet all round the plate, N: perimeter x t x fy / sqrt(3) (von Mises shear)."""
    return 2.0 * sum(plate) * ground.thickness * ground.yield_strength / math.sqrt(3.0)


def panel_stiffness(*, span: float, boss: float, thickness: float) -> float:
    """Force per travel of a rigid boss at the middle of a clamped round panel, N/mm.

    w = P a2 / (16 pi D) (1 - B2 - 4 B2 ln2 B / (1 - B2)), B = b/a: the thin-plate solution with a clamped
    edge and a boss that cannot tilt (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, ch. 3;
    rederived). Small travel: a panel stiffens as it dishes.

    Args:
        span: a, middle to clamped edge, mm.
        boss: b, radius of the rigid boss, mm.
        thickness: mm.
    """
    ratio = boss / span
    share = 1.0 - ratio**2 - 4.0 * ratio**2 * math.log(ratio) ** 2 / (1.0 - ratio**2)
    return 16.0 * math.pi * _rigidity(thickness) / (span**2 * share)


def panel_tilting(*, span: float, boss: float, thickness: float) -> float:
    """Moment per turn of a rigid boss at the middle of a clamped round panel, N mm/rad.

    The thin-plate solution w = (A r + B r3 + C/r + F r ln r) cos(phi) with a clamped edge and w = theta r on
    the boss gives M = 4 pi D |F| (same book; agrees with Roark's table for a trunnion on a clamped plate).

    Args:
        span: a, middle to clamped edge, mm.
        boss: b, radius of the rigid boss, mm.
        thickness: mm.
    """
    b = boss / span
    rows = [[1.0, 1.0, 1.0, 0.0], [1.0, 3.0, -1.0, 1.0]]
    rows += [[b, b**3, 1.0 / b, b * math.log(b)], [1.0, 3.0 * b**2, -1.0 / b**2, math.log(b) + 1.0]]
    terms = np.linalg.solve(np.array(rows), np.array([0.0, 0.0, b, 1.0]))
    return 4.0 * math.pi * _rigidity(thickness) * abs(float(terms[3]))


def panel_strength(*, span: float, boss: float, thickness: float, yield_strength: float) -> float:
    """Force at which a clamped round panel folds under a rigid boss, N: 4 pi m a / (a - b), m = fy t2 / 4.

    Yield lines: a hinge ring at the edge, one round the boss, and a fan between (Johansen); dishing then
    carries more, so this is on the safe side of a panel whose edges hold.

    Args:
        span: a, middle to clamped edge, mm.
        boss: b, radius of the rigid boss, mm.
        thickness: mm.
        yield_strength: MPa.
    """
    return math.pi * yield_strength * thickness**2 * span / (span - boss)


def panel_dishing(*, span: float, boss: float, thickness: float, yield_strength: float) -> float:
    """Force per travel of a rigid boss on a round sheet that pulls like a skin, all of it yielding, N/mm.

    Balance of a skin under an even pull fy t: P = 2 pi r fy t dw/dr, so P/w = 2 pi fy t / ln(a/b). Its edge
    has to hold that pull. Thin sheet does this from a travel of about its own thickness on.

    Args:
        span: a, middle to held edge, mm.
        boss: b, radius of the rigid boss, mm.
        thickness: mm.
        yield_strength: MPa.
    """
    return 2.0 * math.pi * yield_strength * thickness / math.log(span / boss)


def dishing_tilt(*, span: float, boss: float, thickness: float, yield_strength: float) -> float:
    """Moment per turn of a rigid boss that tilts in a round skin under an even pull fy t, N mm/rad.

    The skin's w = C (r - a2/r) cos(phi) pulls up and down on the boss, pi fy t b2 (a2 + b2)/(a2 - b2) per
    turn, and its pull outwards on the tilted edge rights it, pi fy t b2: together 2 pi fy t a2 b2/(a2 - b2).

    Args:
        span: a, middle to held edge, mm.
        boss: b, radius of the rigid boss, mm.
        thickness: mm.
        yield_strength: MPa.
    """
    pull = yield_strength * thickness
    return 2.0 * math.pi * pull * (span * boss) ** 2 / (span**2 - boss**2)


def sheet_sliding(*, span: float, boss: float, thickness: float) -> float:
    """Force per travel of a rigid disc pushed along a sheet that is clamped at ``span``, N/mm.

    Plane stress, Kelvin's solution with the edge's correction, k = (3 - nu)/(1 + nu):
    u = F / (2 pi G t (k + 1)) (k ln(a/b) - (a2 - b2)/(k (a2 + b2))).

    Args:
        span: a, middle to clamped edge, mm.
        boss: b, radius of the rigid disc, mm.
        thickness: mm.
    """
    kappa = (3.0 - POISSON) / (1.0 + POISSON)
    shear = YOUNG / (2.0 * (1.0 + POISSON))
    share = kappa * math.log(span / boss) - (span**2 - boss**2) / (kappa * (span**2 + boss**2))
    return 2.0 * math.pi * shear * thickness * (kappa + 1.0) / share


def _rigidity(thickness: float) -> float:
    return YOUNG * thickness**3 / (12.0 * (1.0 - POISSON**2))


def _on_sheet(ground: FootGround, plate: tuple[float, float]) -> FootHold:
    boss = math.sqrt(plate[0] * plate[1] / math.pi)
    span = max(ground.span, WEAKEST_SPAN * boss)
    t = ground.thickness
    fold = panel_strength(span=span, boss=boss, thickness=t, yield_strength=ground.yield_strength)
    shear = punching(ground, plate)
    push = min(fold, shear)
    return FootHold(
        normal=panel_stiffness(span=span, boss=boss, thickness=t),
        sliding=sheet_sliding(span=span, boss=boss, thickness=t),
        tilting=panel_tilting(span=span, boss=boss, thickness=t),
        push=push,
        pull=push,
        slide=shear,
        tilt=push * boss,
        dishing=panel_dishing(span=span, boss=boss, thickness=t, yield_strength=ground.yield_strength),
        dishing_tilt=dishing_tilt(span=span, boss=boss, thickness=t, yield_strength=ground.yield_strength),
        tear=shear,
        tear_tilt=2.0 / math.pi * boss * shear,
        governs="panel folds" if fold < shear else "sheet shears round the plate",
    )


def _on_box(ground: FootGround, plate: tuple[float, float]) -> FootHold:
    """Two walls, one under each long edge, of length plate + depth at mid-height (45 degrees of spread)."""
    length, width = max(plate), min(plate)
    wall = ground.thickness * (length + ground.depth / 2.0)
    normal = 2.0 * YOUNG * wall / ground.depth
    crush = 2.0 * ground.thickness * length * ground.yield_strength * wall_part(ground)
    shear = punching(ground, plate)
    sliding = 2.0 * YOUNG / (2.0 * (1.0 + POISSON)) * wall / ground.depth
    push = min(crush, shear)
    return FootHold(
        normal=normal,
        sliding=sliding,
        tilting=normal * width**2 / 4.0,
        push=push,
        pull=shear,
        slide=shear,
        tilt=push * width / 2.0,
        dishing=0.0,
        dishing_tilt=0.0,
        tear=shear,
        tear_tilt=shear * width / 2.0,
        governs="walls crush" if crush < shear else "sheet shears round the plate",
    )


def wall_part(ground: FootGround) -> float:
    """Part of its yield strength that a box wall reaches before it buckles: Winter's rho, held on four sides.

    rho = (1 - 0.22/lp)/lp, lp = sqrt(fy/scr), scr = 4 pi2 E/(12 (1 - nu2)) (t/h)2 (EN 1993-1-5 4.4 form,
    from memory).
    """
    critical = 4.0 * math.pi**2 * YOUNG / (12.0 * (1.0 - POISSON**2)) * (ground.thickness / ground.depth) ** 2
    slenderness = math.sqrt(ground.yield_strength / critical)
    return 1.0 if slenderness <= 0.673 else (1.0 - 0.22 / slenderness) / slenderness
