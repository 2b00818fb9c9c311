"""The moments of a push after which less can be defended, and the strain of its tubes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from cagewright.frame.counted import curve_to
from cagewright.frame.gauge import DIAMETERS
from cagewright.frame.idealise import Idealised
from cagewright.frame.members import along_of
from cagewright.frame.model import Floats, Loss, Solution
from cagewright.frame.results import GaugeStrain, Moment, MomentKind, StrainMark, TubePlace
from cagewright.frame.spots import spot_on
from cagewright.frame.survival import Approach, crossing, name_of, touch_of
from cagewright.frame.yields import tear_of, uniform_of


def strain_of(model: Idealised, solution: Solution) -> GaugeStrain:
    """The largest strain of any tube's outside up to each kept step, and where."""
    so_far = np.maximum.accumulate(solution.strain)
    step = np.searchsorted(so_far, so_far, "left")
    spots: dict[int, TubePlace] = {}
    for k in step:
        if int(k) not in spots:
            spots[int(k)] = _spot(model, int(solution.strained[k]), float(solution.strained_part[k]))
    return GaugeStrain(diameters=DIAMETERS, most=so_far, spots=tuple(spots[int(k)] for k in step))


def strain_marks(model: Idealised, strain: GaugeStrain, travel: Floats) -> tuple[StrainMark, ...]:
    """Where the most strained tube reaches its steel's uniform elongation, and its elongation at break."""
    tubes = {m.name: m.tube.steel for m in model.cage.members}
    steel = [tubes[spot.member] for spot in strain.spots]
    marks: list[StrainMark] = []
    for words, limit in (("uniform elongation", uniform_of), ("elongation at break", tear_of)):
        over = np.array([limit(s, model.choices) for s in steel]) - strain.most
        at = crossing(travel, over)
        if at is not None:
            row = steel[int(np.searchsorted(travel, at - 1e-9))]
            part = limit(row, model.choices)
            marks.append(
                StrainMark(travel=at, part=part, words=f"{words} of {row.name}, {100.0 * part:.3g} %")
            )
    return tuple(marks)


def moments_of(model: Idealised, solution: Solution, found: tuple[Approach, ...]) -> tuple[Moment, ...]:
    """What ends the part of the push that can be defended, in order of travel; at least one.

    The last is the end of the push, unless the rest of it was not wanted.
    """
    moments: list[Moment] = []
    touch = touch_of(found, solution.travel)
    if touch is not None:
        at, one = touch
        who = name_of(model, one, int(np.argmax(one.gap <= 0.0)))
        to = f"{one.space.person}'s {one.space.part}"
        moments.append(replace(moment_at(solution, "first touch", at, what=who), to=to))
    ways: tuple[tuple[tuple[str, ...], MomentKind], ...] = (
        (("tube", "weld", "foot"), "first tear"),
        (("joint",), "first rupture"),
    )
    for kinds, kind in ways:
        loss = next((x for x in solution.losses if x.kind in kinds), None)
        if loss is not None:
            moments.append(_let_go(model, solution, kind, loss))
    if not (solution.left and moments):
        last = float(solution.travel[-1])
        moments.append(moment_at(solution, "end of travel" if solution.reached else "cannot tell", last))
    return tuple(sorted(moments, key=lambda m: m.travel))


def _let_go(model: Idealised, solution: Solution, kind: MomentKind, loss: Loss) -> Moment:
    """When the first of its kind let go: a tube by its name and place, others by theirs."""
    if loss.kind == "tube":
        spot = _spot(model, loss.part.elements[0], 0.5)
        return moment_at(solution, kind, loss.travel, what=spot.member, spot=spot)
    return moment_at(solution, kind, loss.travel, what=loss.part.name)


def moment_at(
    solution: Solution, kind: MomentKind, travel: float, *, what: str = "", spot: TubePlace | None = None
) -> Moment:
    """The moment at ``travel`` mm, its load found straight between kept steps."""
    curve = curve_to(solution, travel)
    load, energy = float(curve.load[-1]), float(curve.work[-1])
    return Moment(kind=kind, travel=travel, load=load, energy=energy, what=what, spot=spot)


def _spot(model: Idealised, element: int, part: float) -> TubePlace:
    member = model.cage.members[int(model.member[element])]
    return spot_on(model.cage, member, along_of(model, element, part))
