"""A cage under a push: solved, and answered in what a builder acts on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from cagewright.base.names import shown
from cagewright.base.say import say
from cagewright.frame.contact import push_with
from cagewright.frame.counted import curve_to
from cagewright.frame.curve_figures import drop_of, met_of, peak_of, weights_of
from cagewright.frame.dents_told import dent_notes, dents_told
from cagewright.frame.enough import Enough
from cagewright.frame.events import first_yield_of, order_of
from cagewright.frame.foot_use import foot_uses
from cagewright.frame.idealise import Idealised, node_at
from cagewright.frame.joint_use import joint_uses
from cagewright.frame.members import member_uses
from cagewright.frame.model import Floats, Ints, Solution
from cagewright.frame.push_moments import moments_of, strain_marks, strain_of
from cagewright.frame.push_places import DRIVER, weight_of
from cagewright.frame.pushes import Push
from cagewright.frame.results import Event, Moment, Results, Shape
from cagewright.frame.rises import rises_of
from cagewright.frame.stations import Marks
from cagewright.frame.survival import approaches, room_of, tips
from cagewright.frame.tearing import watches_of
from cagewright.frame.travel import Steps, push_pattern
from cagewright.shape.types import Cage, bodies_of


def marks_of(pushes: Sequence[Push]) -> Marks:
    """The places that need a node for the loads of these pushes."""
    found: dict[str, tuple[float, ...]] = {}
    for load in (load for push in pushes for load in push.point_loads):
        found[load.member] = (*found.get(load.member, ()), load.along)
    return found


def steps_for(push: Push) -> Steps:
    """How a push is followed: about fifty steps, 1 to 5 mm each, cut very fine where joints give at once.

    Forces balance to a ten-thousandth of the largest load, a tenth of the least difference a study can tell.
    A tool stands still while a frame that gives way at once falls, so its steps need not be cut so fine.
    """
    smallest = 1e-5 if push.press is None else 0.03
    return Steps(size=min(max(push.travel / 50.0, 1.0), 5.0), smallest=smallest, tolerance=1e-4)


FURTHER, AT_LEAST = 0.5, 20.0
"""A push is followed half as far again as it counts, and 20 mm: what comes after that is no answer."""


def steps_as_counted(model: Idealised, push: Push) -> Steps:
    """``steps_for`` that follow the push a stretch past where it stops counting, and no further."""
    return replace(steps_for(push), enough=Enough(model, part=FURTHER, least=AT_LEAST))


def steps_to_count(model: Idealised, push: Push) -> Steps:
    """``steps_for`` that follow the push to where it stops counting, and no further."""
    return replace(steps_for(push), enough=Enough(model), first=True)


def solve(
    model: Idealised, push: Push, *, travel: float | None = None, steps: Steps | None = None
) -> Solution:
    """The frame's answer to the push, to its own travel or to ``travel`` mm.

    For loads together, ``load`` is the sum of their sizes and ``travel`` their mean movement along
    themselves, each counted by its size, so that load times travel is work.

    Raises:
        FrameError: the frame cannot stand, in the builder's words.
    """
    target, steps = travel or push.travel, steps or steps_for(push)
    watches = watches_of(model)
    if push.press is not None:
        return push_with(
            model.model, press=push.press, target=target, steps=steps, dents=model.choices.dents,
            watches=watches,
        )  # fmt: skip
    pattern = pattern_of(model, push)
    ways = pattern[:, :3]
    return push_pattern(
        model.model, pattern=pattern, measure=ways, target=target, steps=steps, watches=watches
    )


def pattern_of(model: Idealised, push: Push) -> Floats:
    """The push's loads on the nodes (n, 6), their sizes adding up to 1."""
    whole = whole_load(push)
    pattern = np.zeros((len(model.model.nodes), 6))
    for load in push.point_loads:
        pattern[node_at(model, load.member, load.along), :3] += load.force / whole
    return pattern


def whole_load(push: Push) -> float:
    """The sum of the sizes of a push's loads, N."""
    return sum(float(np.sqrt(p.force @ p.force)) for p in push.point_loads)


def respond(model: Idealised, push: Push, solution: Solution | None = None) -> Results:
    """What the cage does under the push.

    Args:
        model: the cage as a frame.
        push: what presses.
        solution: its answer, where it was solved before; else it is followed a stretch past what counts.

    Raises:
        FrameError: the frame cannot stand, in the builder's words.
    """
    answer = solution or solve(model, push, steps=steps_as_counted(model, push))
    weight, assumed = weight_of(model.cage), _masses_taken(model.cage)
    order = order_of(model, answer)
    near = approaches(model, push, answer)
    moments, strain = moments_of(model, answer, near), strain_of(model, answer)
    upto = moments[0]
    curve = curve_to(answer, upto.travel)
    dents = dents_told(model, answer, upto.travel)
    last = min(int(np.argmax(curve.load)), len(answer.load) - 1)
    return Results(
        title=model.cage.title,
        revision=model.cage.revision,
        push=push,
        choices=model.choices,
        weight=weight,
        travel=answer.travel,
        load=answer.load,
        work=answer.work * 1e-3,
        reached=answer.reached,
        left=answer.left,
        end=answer.end,
        falls=answer.falls,
        moments=moments,
        strain=strain,
        limits=strain_marks(model, strain, answer.travel),
        stiffness=stiffness_of(answer),
        first_yield=first_yield_of(model, answer),
        peak=peak_of(curve, weight),
        room=room_of(model, answer, near, upto.travel),
        drop=drop_of(push, upto, weight),
        order=order,
        demands=tuple(
            met_of(d, curve, weights_of(model.cage, d, whole_load(push)), whole=upto.kind == "end of travel")
            for d in push.demands
        ),
        joints=joint_uses(model, answer, last),
        feet=foot_uses(model, answer, last),
        members=member_uses(model, answer, last, hinged(model, order)),
        shapes=shapes_of(model, answer, upto),
        rises=rises_of(model, push, answer),
        notes=(*model.notes, *push.notes, *assumed, *dent_notes(model, dents)),
        dents=dents,
    )


def _masses_taken(cage: Cage) -> list[str]:
    """Whose mass is not in the plan, and what it is taken as."""
    mass, bodies = say(DRIVER, "mass", cage.units, places=0), bodies_of(cage)
    whose = [name or "driver" for name, body in bodies if not body.mass] if bodies else ["driver"]
    return [f"the {shown(name)}'s mass is taken as {mass}" for name in whose] if cage.car else []


def hinged(model: Idealised, order: tuple[Event, ...]) -> Ints:
    """How many places each member (members,) bends through at."""
    names = [m.name for m in model.cage.members]
    count = np.zeros(len(names), np.int64)
    for happening in order:
        if happening.kind == "hinge" and happening.spot is not None:
            count[names.index(happening.spot.member)] += 1
    return count


def stiffness_of(solution: Solution) -> float | None:
    """Load over travel at the start, N/mm; None where not even the first step was followed.

    The slope between the first kept steps before anything gives, so that a tool's soft first touch does not
    count; where there are none, that of the first step.
    """
    first = next((e.travel for e in solution.events), np.inf)
    elastic = np.flatnonzero(solution.travel < first)
    if len(elastic) > 2:
        one, two = int(elastic[1]), int(elastic[min(3, len(elastic) - 1)])
        rise = solution.load[two] - solution.load[one]
        return float(rise / (solution.travel[two] - solution.travel[one]))
    return float(solution.stiffness) if np.isfinite(solution.stiffness) else None


def shapes_of(model: Idealised, solution: Solution, upto: Moment) -> tuple[Shape, ...]:
    """The cage at rest, at the largest load that counts, where the push stops counting, and at its end."""
    counted = min(int(np.searchsorted(solution.travel, upto.travel - 1e-9)), len(solution.travel) - 1)
    moments = {"at rest": 0, "at the largest load": int(np.argmax(solution.load[: counted + 1]))}
    if upto.what:
        moments["counted to here"] = counted
    moments["at the end"] = len(solution.travel) - 1
    place = tips(model, solution)
    return tuple(
        Shape(
            label=label,
            travel=float(solution.travel[k]),
            load=float(solution.load[k]),
            lines=tuple(_line(place[k], model.member, i) for i in range(len(model.cage.members))),
        )
        for label, k in moments.items()
    )


def _line(place: Floats, member: Ints, number: int) -> Floats:
    mine = np.flatnonzero(member == number)
    return np.concatenate([place[mine, 0], place[mine[-1:], 1]])
