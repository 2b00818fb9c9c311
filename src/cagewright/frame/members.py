"""Each tube's forces against its strength, where it yields first, and where it bends through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cagewright.frame.idealise import Idealised
from cagewright.frame.kernels_arrays import GAUSS
from cagewright.frame.model import Floats, Ints, Solution
from cagewright.frame.results import MemberUse
from cagewright.frame.spots import spot_on
from cagewright.stock.tubes import section

STATIONS = np.array([0.0, 0.5 * (1.0 - GAUSS), 0.5 * (1.0 + GAUSS), 1.0])
"""Parts of an element where its forces are looked at: both ends, both integration points."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Strengths:
    """Each element's (m,) area mm2, plastic modulus mm3, fibre modulus I/r mm3, yield strength MPa."""

    area: Floats
    plastic: Floats
    fibre: Floats
    stress: Floats


def strengths_of(model: Idealised) -> Strengths:
    """The strengths of every element, softened zones counted."""
    frame, sections = model.model, model.model.sections
    first = np.array([m.curve.stress[0] if m.curve else np.inf for m in frame.materials])
    tubes = [model.cage.members[i].tube for i in model.member]
    return Strengths(
        area=sections.area,
        plastic=np.array([section(t.od, t.wall).plastic for t in tubes]),
        fibre=sections.inertia_y / np.sqrt(2.0 * sections.inertia_y / sections.area),
        stress=first[frame.material] * frame.yield_factor,
    )


def bending(forces: Floats) -> Floats:
    """Bending moment (..., m, 4) at ``STATIONS`` of every element, N mm, from end forces (..., m, 6)."""
    parts = STATIONS
    y = -forces[..., 2, None] * (1.0 - parts) + forces[..., 4, None] * parts
    z = -forces[..., 3, None] * (1.0 - parts) + forces[..., 5, None] * parts
    return np.sqrt(y**2 + z**2)


def plastic_use(n: Floats, m: Floats) -> Floats:
    """Share of a thin round tube's plastic strength used by axial share ``n`` and moment share ``m``, 0 up.

    The share u at which m/u = cos(pi n / (2 u)), the exact surface of a thin ring scaled up or down.
    u cos(pi n / (2 u)) - m rises and bends down, so Newton from below closes in without passing the root.
    """
    pull = np.abs(n)
    use = np.maximum(np.maximum(pull, m), 1e-12)
    for _ in range(6):
        x = 0.5 * np.pi * pull / use
        cosine = np.cos(x)
        use = use + np.maximum(m - use * cosine, 0.0) / (cosine + x * np.sin(x))
    return use


def elastic_share(strengths: Strengths, forces: Floats) -> Floats:
    """Largest fibre stress over yield (..., m, 2) at both integration points, as if nothing had yielded."""
    moment = bending(forces)[..., 1:3]
    stress = np.abs(forces[..., 0, None]) / strengths.area[:, None] + moment / strengths.fibre[:, None]
    return stress / strengths.stress[:, None]


def first_yield_at(model: Idealised, solution: Solution) -> tuple[float, float, int, int] | None:
    """Travel, load, element and integration point of the first yield, or None where nothing yields.

    The push is kept in steps; within the step in which the first fibre yields, the place and moment are
    found between the elastic stresses at its two ends.
    """
    first = next((e for e in solution.events if e.kind == "yield"), None)
    if first is None:
        return None
    step = max(int(np.searchsorted(solution.travel, first.travel - 1e-9)), 1)
    strengths = strengths_of(model)
    before, after = (elastic_share(strengths, solution.forces[k]) for k in (step - 1, step))
    part = np.where(after > 1.0, (1.0 - before) / np.maximum(after - before, 1e-12), np.inf)
    element, point = (int(v) for v in np.unravel_index(int(np.argmin(part)), part.shape))
    share = float(np.clip(part[element, point], 0.0, 1.0))
    if not np.isfinite(part[element, point]):
        element, point, share = first.index, first.part, 1.0
    travel, load = (
        float(v[step - 1] + share * (v[step] - v[step - 1])) for v in (solution.travel, solution.load)
    )
    return travel, load, element, point


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
    n = forces[..., 0] / (strengths.area * strengths.stress)
    m = bending(forces) / (strengths.plastic * strengths.stress)[:, None]
    worst = _worst(np.broadcast_to(np.abs(n)[..., None], m.shape), m, model.member)
    yields = _yields(solution, len(model.member))
    uses = [
        _member_use(model, forces, worst, yields, number, int(hinged[number]))
        for number in range(len(model.cage.members))
    ]
    return tuple(sorted(uses, key=lambda u: -u.most))


def _worst(n: Floats, m: Floats, member: Ints) -> Floats:
    """Largest plastic use over the steps (m, 4), exact wherever it may be its member's largest.

    A share lies between the larger of ``n`` and ``m`` (k, m, 4) and their sum, so most places need no more
    than that to be seen not to be their member's worst.
    """
    use = np.maximum(n, m)
    best = np.zeros(int(member.max()) + 1)
    np.maximum.at(best, member, use.max(axis=(0, 2)))
    near = n + m >= best[member][:, None]
    use[near] = plastic_use(n[near], m[near])
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
