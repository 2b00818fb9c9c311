"""A real drop: the car let fall on its cage, followed in time, beside the still push of the same energy."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace
from typing import Literal

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.frame.body import on_body
from cagewright.frame.choices import Choices
from cagewright.frame.contact import contact_points
from cagewright.frame.drop_body import CarBody, car_body
from cagewright.frame.drop_case import DropCase, refuse_case, up_of, way_of
from cagewright.frame.drop_results import DropResults, StillPush
from cagewright.frame.errors import FrameError
from cagewright.frame.events import order_of
from cagewright.frame.follow import Followed, follow
from cagewright.frame.foot_use import foot_uses
from cagewright.frame.idealise import Idealised, idealise
from cagewright.frame.joint_use import joint_uses
from cagewright.frame.kernels_move import Floor
from cagewright.frame.members import member_uses
from cagewright.frame.model import Floats, FrameModel, Solution
from cagewright.frame.moving import Pace, lumped, mover
from cagewright.frame.push_moments import moments_of, strain_of
from cagewright.frame.push_places import G, placed
from cagewright.frame.push_rows import PushRow
from cagewright.frame.pushes import Push
from cagewright.frame.respond import hinged, shapes_of, solve
from cagewright.frame.survival import Approach, approaches, approaches_with, room_of, touch_of
from cagewright.frame.tearing import watches_of
from cagewright.shape.types import Cage

STIFF, SOFT, CREEP = 2e4, 0.2, 20.0
"""The ground under a contact point, N/mm; mm to its full stiffness; mm/s below which friction fades."""


def level_of(model: FrameModel, up: Vector) -> float:
    """Mm along ``up`` of the lowest place on the outside of the frame's tubes at rest."""
    points = contact_points(model)
    part = points.part[:, None]
    place = (1.0 - part) * model.nodes[points.first] + part * model.nodes[points.second]
    return float((place @ up - points.radius).min())


def drop(
    cage: Cage,
    case: DropCase,
    choices: Choices | None = None,
    step: Callable[[str, float], None] | None = None,
) -> tuple[DropResults, Idealised]:
    """The car let fall on its cage, and the still push of the same energy.

    Args:
        cage: what lands.
        case: how it is let fall.
        choices: which simplifications are made.
        step: told what is being done and the share done.

    Raises:
        FrameError: the case cannot be followed, the car's mass is not known, or the frame cannot stand.
    """
    refuse_case(case)
    model = idealise(cage, choices)
    tell = step or _unheard
    tell("the drop", 0.0)
    masses = lumped(model.model)
    car = car_body(cage, model.model, masses)
    run = fallen(model, car, masses, case)
    tell("the still push of the same energy", 0.7)
    results = told(model, car, case, run)
    results = replace(results, still=still_push(model, case, car, results))
    tell("done", 1.0)
    return results, model


def _unheard(_words: str, _part: float) -> None:
    """Nobody is told how far the work is."""


def fallen(
    model: Idealised, car: CarBody, masses: Floats, case: DropCase, pace: Pace | None = None
) -> Followed:
    """The fall followed from its first touch, which comes after an undisturbed flight.

    Args:
        model: the cage as a frame.
        car: what it stands on.
        masses: (n, 6) of the frame's nodes.
        case: how it is let fall.
        pace: how fine it is followed.
    """
    up, body = up_of(case), car.body
    whole = np.vstack([masses, [body.mass] * 3 + [0.0] * 3])
    load = np.zeros_like(whole)
    load[:, :3] = -G * 1e3 * whole[:, :3] * up
    floor = Floor(up, level_of(model.model, up), STIFF, SOFT, case.friction, CREEP)
    m = mover(on_body(model.model, body), mass=whole, load=load, floor=floor, pace=pace)
    start = np.zeros_like(whole)
    start[:, :3] = case.speed * way_of(case) - math.sqrt(2.0 * G * 1e3 * case.height) * up
    return follow(m, start, until=case.time, watches=watches_of(model))


def seen_from_car(model: Idealised, run: Followed) -> Solution:
    """The fall as somebody strapped into the car sees it: what moves is what the cage moves against the car.

    Only the frame's own nodes; a foot that is called rigid has its force on the shell as a reaction.
    """
    s, n = run.solution, len(model.model.nodes)
    turn, body = s.turn[:, n], s.displacement[:, n]
    centre = run.centre
    place = model.model.nodes + s.displacement[:, :n] - (centre + body)[:, None]
    reaction = np.zeros((len(s.travel), n, 6))
    held, own = np.flatnonzero(model.model.fixed.any(axis=1)), len(model.model.springs.node)
    standing = [int(k) for k in held if k in model.model.elements]
    for i, node in enumerate(standing):
        reaction[:, node] = s.springs[:, own + 6 * i : own + 6 * i + 6]
    return replace(
        s,
        displacement=np.einsum("knj,kji->kni", place, turn) + centre - model.model.nodes,
        turn=np.einsum("kji,knjl->knil", turn, s.turn[:, :n]),
        reaction=reaction,
        springs=s.springs[:, :own],
    )


def ground_gaps(run: Followed, case: DropCase, level: float, points: Floats) -> Floats:
    """From the nearest of the car's own places (p, 3) up from the ground at every kept moment (k,), mm."""
    s, up = run.solution, up_of(case)
    turned = np.einsum("kij,pj->kpi", s.turn[:, -1], points - run.centre)
    return (((run.centre + s.displacement[:, -1])[:, None] + turned) @ up - level).min(axis=1)


def near_people(model: Idealised, case: DropCase, run: Followed, seen: Solution) -> tuple[Approach, ...]:
    """How near tubes and the ground come to the people over a drop, who move with the car."""
    level = level_of(model.model, up_of(case))
    return approaches_with(model, seen, "ground", lambda points: ground_gaps(run, case, level, points))


def told(model: Idealised, car: CarBody, case: DropCase, run: Followed) -> DropResults:
    """What the drop did to the cage."""
    up = up_of(case)
    seen = seen_from_car(model, run)
    near = near_people(model, case, run, seen)
    moments = moments_of(model, seen, near)
    order = order_of(model, seen)
    last = len(seen.travel) - 1
    middle = _middle(run, car)
    turned = run.solution.turn[:, -1]
    return DropResults(
        title=model.cage.title,
        revision=model.cage.revision,
        case=case,
        choices=model.choices,
        mass=car.mass * 1e3,
        centre=car.centre,
        time=seen.travel,
        force=seen.load,
        down=(middle[0] - middle) @ up,
        turned=np.arccos(np.clip(0.5 * (np.trace(turned, axis1=1, axis2=2) - 1.0), -1.0, 1.0)),
        taken=seen.work * 1e-3,
        account=run.account,
        reached=run.reached,
        end=run.solution.end,
        room=room_of(model, seen, near, moments[0].travel),
        moments=moments,
        strain=strain_of(model, seen),
        order=order,
        joints=joint_uses(model, seen, last),
        feet=foot_uses(model, seen, last),
        members=member_uses(model, seen, last, hinged(model, order)),
        shapes=shapes_of(model, seen, moments[0]),
        still=None,
        notes=(*car.assumed, *model.notes),
    )


def _middle(run: Followed, car: CarBody) -> Floats:
    """Where the middle of the whole car's mass is at every kept moment (k, 3), as fixed in its body."""
    s = run.solution
    off = np.einsum("kij,j->ki", s.turn[:, -1], car.centre - run.centre)
    return run.centre + s.displacement[:, -1] + off


# --- beside it


def still_push(model: Idealised, case: DropCase, car: CarBody, results: DropResults) -> StillPush | None:
    """A flat platen pressed on as the ground lies until it has taken up the energy of the fall.

    That energy is weight times the height and the way down in the push: as if the car came down without
    turning and without sliding. None where a platen cannot stand so.
    """
    side: Literal["left", "right"] = "left" if case.roll >= 0.0 else "right"
    row = PushRow(
        name="still", title="still push as the ground lies", kind="platen", travel=600.0, side=side,
        pitch=math.degrees(case.pitch), roll=abs(math.degrees(case.roll)), size=(6000.0, 6000.0),
        source="the drop", certainty="computed",
    )  # fmt: skip
    try:
        push = placed(model.cage, row)
        solution = solve(model, push, travel=_reach(results))
    except (FrameError, ValueError):
        return None
    return _still(model, push, solution, G * car.mass * 1e3, case.height)


def _reach(results: DropResults) -> float:
    """Mm to push: well past what the fall came down by."""
    return float(np.clip(2.0 * results.down.max(), 100.0, 600.0))


def _still(model: Idealised, push: Push, solution: Solution, weight: float, height: float) -> StillPush:
    wanted = weight * (height + solution.travel)
    over = np.flatnonzero(solution.work >= wanted)
    step = int(over[0]) if len(over) else len(solution.travel) - 1
    touch = touch_of(approaches(model, push, solution), solution.travel)
    return StillPush(
        enough=bool(len(over)),
        travel=_between(solution.work - wanted, solution.travel, step),
        energy=float(solution.work[step]) * 1e-3,
        peak=float(solution.load[: step + 1].max()),
        room=None if touch is None else touch[0],
        reached=solution.reached or bool(len(over)),
    )


def _between(short: Floats, travel: Floats, step: int) -> float:
    """Travel where ``short`` comes up to 0 in the step that ends at ``step``."""
    if step == 0 or short[step] < 0.0:
        return float(travel[step])
    part = -short[step - 1] / (short[step] - short[step - 1])
    return float(travel[step - 1] + part * (travel[step] - travel[step - 1]))
