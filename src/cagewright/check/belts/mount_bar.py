"""The bar under the belts' pull, as a beam between the joints beside its mounts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Line, piece_at, tangent_at
from cagewright.base.vectors import Vector, dot, length
from cagewright.shape.types import Cage, Member

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class BarSpan:
    """A stretch of a member between two joints, mm along it, and whether it is straight."""

    member: str
    start: float
    stop: float
    straight: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """How much of a span's strength its belts use, as shares; 1 is all of it.

    Attributes:
        span: of the bar.
        first_yield: ends pinned and ends fixed: the greatest stress over yield, bending and axial together.
        collapse: ends pinned and ends fixed: the load over the plastic collapse load.
        pull: sum of the belts' pulls on the span, N.
    """

    span: BarSpan
    first_yield: tuple[float, float]
    collapse: tuple[float, float]
    pull: float


def supports(cage: Cage, member: Member) -> list[float]:
    """Where the member is held, mm along it: its ends and where other members join it."""
    held = {0.0, member.path.length}
    for joint in cage.joints:
        held.update(s for main, s in zip(joint.mains, joint.along, strict=True) if main == member.name)
    return sorted(min(max(s, 0.0), member.path.length) for s in held)


def span_of(cage: Cage, member: Member, along: float) -> BarSpan:
    """The stretch of the member between the supports either side of ``along`` mm."""
    held = supports(cage, member)
    start = max((s for s in held if s < along), default=held[0])
    stop = min((s for s in held if s >= along and s > start), default=held[-1])
    pieces = (piece_at(member.path, s)[0] for s in np.linspace(start, stop, 9)[1:-1].tolist())
    return BarSpan(
        member=member.name, start=start, stop=stop, straight=all(isinstance(p, Line) for p in pieces)
    )


def use_of(member: Member, span: BarSpan, along: Sequence[float], pulls: Sequence[Vector]) -> Use | None:
    """How much of the span's strength the pulls use; None where the steel promises no yield strength.

    Straight beam of the span's length with loads across it, superposed; the pulls' shares along the bar as an
    axial force, added linearly (EN 1993-1-1:2005 6.2.1 (7), from memory). Collapse by the beam mechanism
    through each load; see ``collapse_share``.

    Args:
        member: the bar.
        span: of it.
        along: where each pull acts, mm along the member.
        pulls: (3,) N each.

    Raises:
        ValueError: a pull outside the span.
    """
    fy = member.tube.steel.yield_strength
    if fy is None:
        return None
    size, at = span.stop - span.start, np.array(along) - span.start
    if np.any(at < 0.0) or np.any(at > size):
        raise ValueError("every pull must act on the span")
    props = member.tube.properties
    across, axial = _across(member, along, pulls)
    stress = abs(float(axial.sum())) / props.area
    peaks = [greatest_moment(size, at, across, fixed=fixed) for fixed in (False, True)]
    yields = tuple((stress + peak / props.elastic) / fy for peak in peaks)
    pinned = collapse_share(size, at, length(across), props.plastic * fy)
    return Use(
        span=span,
        first_yield=(yields[0], yields[1]),
        collapse=(pinned, pinned / 2.0),
        pull=float(sum(float(length(p)) for p in pulls)),
    )


def _across(member: Member, along: Sequence[float], pulls: Sequence[Vector]) -> tuple[Array, Array]:
    """The pulls' parts square to the bar (n, 3) and along it (n,), N."""
    tangents = np.array([tangent_at(member.path, s) for s in along])
    forces = np.array(pulls)
    axial = dot(forces, tangents)
    return forces - axial[:, None] * tangents, axial


def greatest_moment(size: float, at: Array, loads: Array, *, fixed: bool) -> float:
    """The greatest bending moment of a beam under point loads, N mm.

    Closed forms of any strength-of-materials handbook, superposed: ends pinned R = P b / L; ends fixed
    R = P b^2 (3a + b) / L^3 and M = P a b^2 / L^2 at the near end.

    Args:
        size: L, mm.
        at: (n,) distance a of each load from the start, mm.
        loads: (n, 3) square to the beam, N.
        fixed: ends held against turning.
    """
    a, b = at, size - at
    if fixed:
        reaction = (b**2 * (3.0 * a + b) / size**3) @ loads
        end = (a * b**2 / size**2) @ loads
    else:
        reaction, end = (b / size) @ loads, np.zeros(3)
    places = np.concatenate([[0.0, size], at])
    over = np.maximum(places[:, None] - a[None, :], 0.0)
    moments = places[:, None] * reaction - end - over @ loads
    return float(length(moments).max())


def collapse_share(size: float, at: Array, loads: Array, plastic: float) -> float:
    """The loads over the collapse load of the beam with pinned ends.

    Upper bound through each load, the worst taken: with a hinge at x that moves by 1 the work done inside is
    Mp (1/x + 1/(L - x)) and outside the sum of the loads times their travel. Twice as strong with fixed ends.

    Args:
        size: L, mm.
        at: (n,) mm from the start.
        loads: (n,) N, taken as all pulling the same way.
        plastic: Mp, N mm.
    """
    shares = [0.0]
    for x in at.tolist():
        if not 0.0 < x < size:
            continue
        travel = np.where(at <= x, at / x, (size - at) / (size - x))
        shares.append(float(loads @ travel) / (plastic * (1.0 / x + 1.0 / (size - x))))
    return max(shares)
