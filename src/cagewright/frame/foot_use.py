"""Each foot's force against what the shell under it carries, at every kept step."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np

from cagewright.frame.feet import FootHold
from cagewright.frame.idealise import FootPlace, Idealised
from cagewright.frame.joint_use import forces_at
from cagewright.frame.model import Floats, Solution
from cagewright.frame.results import FootUse
from cagewright.frame.survival import crossing
from cagewright.frame.weld_arcs import weld_use


def foot_uses(model: Idealised, solution: Solution, last: int) -> tuple[FootUse, ...]:
    """Every foot's use up to kept step ``last``, most used first, feet called rigid last."""
    welds = weld_shares(model, solution, last)
    uses = [replace(_one(model, solution, p, last), weld=welds.get(p.foot.name)) for p in model.feet]
    return tuple(sorted(uses, key=lambda u: -1.0 if u.most is None else -u.most))


def weld_shares(model: Idealised, solution: Solution, last: int) -> dict[str, float]:
    """Largest share used of an incomplete weld on each foot, elastic line, up to kept step ``last``."""
    if not model.foot_welds:
        return {}
    forces = forces_at(model, solution, model.foot_welds)[: last + 1]
    shares: dict[str, float] = {}
    for j, weld in enumerate(model.foot_welds):
        use = weld_use(
            weld.line, axial=forces[:, j, 0], in_plane=forces[:, j, 1], out_of_plane=forces[:, j, 2]
        )
        shares[weld.foot] = max(shares.get(weld.foot, 0.0), float(use.max()))
    return shares


def foot_forces(model: Idealised, solution: Solution, place: FootPlace) -> Floats:
    """Force and moment of the shell on a foot at every kept step (k, 6), N and N mm, in the car's axes."""
    frame, out = model.model, np.zeros((len(solution.travel), 6))
    if place.springs:
        for row in place.springs:
            out[:, frame.springs.dof[row]] += solution.springs[:, row]
        return out
    for row in place.hinges:
        axes, held = frame.hinges.axes[row], solution.hinges[:, row]
        out -= np.concatenate([held[:, :3] @ axes, held[:, 3:] @ axes], axis=1)
    return out if place.hinges else solution.reaction[:, place.node]


def _one(model: Idealised, solution: Solution, place: FootPlace, last: int) -> FootUse:
    force = foot_forces(model, solution, place)
    normal = place.foot.normal
    square = force[:, :3] @ normal
    slide = _size(force[:, :3] - square[:, None] * normal)
    tilt = _size(force[:, 3:] - (force[:, 3:] @ normal)[:, None] * normal)
    seen = slice(0, last + 1)
    push, pull = max(float(square[seen].max()), 0.0), max(-float(square[seen].min()), 0.0)
    hold = place.hold
    share, torn, over = _shares(hold, square, slide, tilt, solution, last)
    return FootUse(
        foot=place.foot.name,
        push=push,
        pull=pull,
        slide=float(slide[seen].max()),
        tilt=float(tilt[seen].max()),
        most=share,
        torn=torn,
        over=over,
        over_load=None if over is None else float(np.interp(over, solution.travel, solution.load)),
        governs=hold.governs if hold else "called rigid: not judged",
        capacity=(hold.push, hold.pull, hold.slide, hold.tilt) if hold else None,
        punching=place.punching,
    )


def _size(v: Floats) -> Floats:
    return np.sqrt((v**2).sum(axis=1))


def _shares(
    hold: FootHold | None, square: Floats, slide: Floats, tilt: Floats, solution: Solution, last: int
) -> tuple[float | None, float | None, float | None]:
    """Largest share before it gives, largest share of tearing, travel at which the first reaches 1."""
    if hold is None:
        return None, None, None
    pushed = np.where(square > 0.0, square / hold.push, -square / hold.pull)
    share = np.stack([pushed, slide / hold.slide, tilt / hold.tilt]).max(axis=0)
    # a spring that gives stays at its capacity: 1 to rounding counts as reached
    over = crossing(solution.travel, 1.0 - 1e-6 - share)
    torn = np.hypot(square, slide) / hold.tear
    most = float(share[: last + 1].max())
    return most, float(torn[: last + 1].max()), over if math.isfinite(most) else None
