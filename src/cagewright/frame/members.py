"""Each tube's forces against its strength, where it yields first, and where it bends through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.idealise import Idealised
from cagewright.frame.kernels_section import GAUSS
from cagewright.frame.model import Floats, Ints, Solution
from cagewright.frame.results import MemberUse
from cagewright.frame.spots import spot_on

STATIONS = np.array([0.0, 0.5 * (1.0 - GAUSS), 0.5 * (1.0 + GAUSS), 1.0])
"""Parts of an element where its forces are looked at: both ends, both integration points."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """Each element's (m,) area mm2, plastic modulus mm3, the same in torsion mm3, yield strength MPa.

    In torsion the wall yields all through at (pi/12) (D3 - d3) times fy / sqrt(3).

    Of the elements ``rails``, r of them, ``minor`` (r,) is the plastic modulus about the softer axis, mm3,
    and ``offset`` (r, 2) mm the centroid from the shear centre, about which their moments are counted.
    """

    area: Floats
    plastic: Floats
    twist: Floats
    stress: Floats
    rails: Ints
    minor: Floats
    offset: Floats


def strengths_of(model: Idealised) -> Strengths:
    """The strengths of every element, softened zones counted."""
    frame, sections = model.model, model.model.sections
    first = np.array([m.curve.stress[0] if m.curve else np.inf for m in frame.materials])
    each = [model.cage.members[i].tube.properties for i in model.member]
    kinds = sections.kinds
    rails = np.flatnonzero(kinds)
    return Strengths(
        area=sections.area,
        plastic=np.array([p.plastic for p in each]),
        twist=np.array([p.twist / np.sqrt(3.0) for p in each]),
        stress=first[frame.material] * frame.yield_factor,
        rails=rails,
        minor=np.array([each[e].plastic_minor for e in rails]),
        offset=np.array([sections.profiles[kinds[e] - 1].offset for e in rails]).reshape(-1, 2),
    )


def bending(forces: Floats) -> Floats:
    """Bending moment (..., m, 4) at ``STATIONS`` of every element, N mm, from end forces (..., m, 6)."""
    y, z = moments(forces)
    return np.sqrt(y**2 + z**2)


def moments(forces: Floats) -> tuple[Floats, Floats]:
    """Bending moments (..., m, 4) about local y and z at ``STATIONS``, N mm, from end forces (..., m, 6)."""
    parts = STATIONS
    y = -forces[..., 2, None] * (1.0 - parts) + forces[..., 4, None] * parts
    z = -forces[..., 3, None] * (1.0 - parts) + forces[..., 5, None] * parts
    return y, z


def plastic_use(n: Floats, m: Floats, t: Floats | float = 0.0) -> Floats:
    """Share of a thin round tube's plastic strength used by shares of pull, bending and torque, 0 up.

    The share u at which m/v = cos(pi n / (2 v)), v2 = u2 - t2: the surface of a thin ring whose yield
    strength is lowered by an even shear all round, scaled up or down; a lower bound, exact without torque.
    v cos(pi n / (2 v)) - m rises and bends down, so Newton from below closes in without passing the root.
    """
    pull = np.abs(n)
    use = np.maximum(np.maximum(pull, m), 1e-12)
    for _ in range(6):
        x = 0.5 * np.pi * pull / use
        cosine = np.cos(x)
        use = use + np.maximum(m - use * cosine, 0.0) / (cosine + x * np.sin(x))
    return np.hypot(use, t)


def along_of(model: Idealised, element: int, part: float) -> float:
    """Mm along its member of the place at ``part`` (0 to 1) of an element."""
    start, stop = model.along[element]
    return float(start + part * (stop - start))


def member_uses(model: Idealised, solution: Solution, last: int, hinged: Ints) -> tuple[MemberUse, ...]:
    """Every member's use up to kept step ``last``, most used first.

    Args:
        model: the cage as a frame.
        solution: its answer.
        last: number of the last kept step to look at.
        hinged: (members,) how many places each member bends through at.
    """
    strengths = strengths_of(model)
    forces = solution.forces[: last + 1]
    worst = _worst(*shares_of(strengths, forces), model.member)
    yields = _yields(solution, len(model.member))
    uses = [
        _member_use(model, forces, worst, yields, number, int(hinged[number]))
        for number in range(len(model.cage.members))
    ]
    return tuple(sorted(uses, key=lambda u: -u.most))


def shares_of(strengths: Strengths, forces: Floats) -> tuple[Floats, Floats, Floats]:
    """Shares (..., m, 4) of the tubes' plastic strength in pull, bending and torque alone, 0 up.

    A rail's pull and both bendings are added up as its bending: a straight line between what it carries of
    each alone, which no section carries less than.
    """
    m = bending(forces) / (strengths.plastic * strengths.stress)[:, None]
    n = np.abs(forces[..., 0]) / (strengths.area * strengths.stress)
    t = np.abs(forces[..., 1]) / (strengths.twist * strengths.stress)
    if len(rails := strengths.rails):
        y, z = moments(forces[..., rails, :])
        pull, stress = forces[..., rails, 0, None], strengths.stress[rails, None]
        y, z = y - pull * strengths.offset[:, 1:], z + pull * strengths.offset[:, :1]
        parts = np.abs(y) / (strengths.plastic[rails, None] * stress)
        m[..., rails, :] = parts + np.abs(z) / (strengths.minor[:, None] * stress) + n[..., rails, None]
        n[..., rails] = 0.0
    return np.broadcast_to(n[..., None], m.shape), m, np.broadcast_to(t[..., None], m.shape)


def _worst(n: Floats, m: Floats, t: Floats, member: Ints) -> Floats:
    """Largest plastic use over the steps (m, 4), exact wherever it may be its member's largest.

    A share lies between the largest of ``n``, ``m`` and ``t`` (k, m, 4) and their sum, so most places need no
    more than that to be seen not to be their member's worst.
    """
    use = np.maximum(np.maximum(n, m), t)
    best = np.zeros(int(member.max()) + 1)
    np.maximum.at(best, member, use.max(axis=(0, 2)))
    near = n + m + t >= best[member][:, None]
    use[near] = plastic_use(n[near], m[near], t[near])
    return use.max(axis=0)


def _yields(solution: Solution, count: int) -> Floats:
    """Travel at each element's first yield (m,), infinite where it never yields."""
    found = np.full(count, np.inf)
    for event in solution.events:
        if event.kind == "yield":
            found[event.index] = min(found[event.index], event.travel)
    return found


def _member_use(
    model: Idealised, forces: Floats, worst: Floats, yields: Floats, number: int, hinges: int
) -> MemberUse:
    mine = np.flatnonzero(model.member == number)
    element, station = np.unravel_index(int(np.argmax(worst[mine])), worst[mine].shape)
    pull = forces[:, mine, 0]
    first = float(yields[mine].min())
    along = along_of(model, int(mine[element]), float(STATIONS[station]))
    member = model.cage.members[number]
    return MemberUse(
        member=member.name,
        most=float(worst[mine].max()),
        spot=spot_on(model.cage, member, along),
        yields=first if np.isfinite(first) else None,
        hinges=hinges,
        pull=max(float(pull.max()), 0.0),
        push=max(-float(pull.min()), 0.0),
    )
