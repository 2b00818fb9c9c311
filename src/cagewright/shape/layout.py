"""Every member's centre line, resolved in the order in which members rest on each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from cagewright.base.curves import Chain
from cagewright.base.problems import Problem, nearest_word
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, length, triple
from cagewright.plan.types import OnMember, Plan
from cagewright.shape.drafts import Draft
from cagewright.shape.located import AlreadyRefused, Path, Refused
from cagewright.shape.paths import Fault, bends_of, corners_of, laid_out, overlapping, repeated
from cagewright.shape.places import Ground, spot
from cagewright.shape.rails import NoSuchSide, lie_of
from cagewright.shape.types import Bend, Lie
from cagewright.stock.tubes import Tube


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """A member before its ends are cut: what it is, its tube, its centre line and bends; how a rail lies."""

    draft: Draft
    tube: Tube
    path: Chain
    bends: tuple[Bend, ...]
    lie: Lie | None = None


def rests_on(draft: Draft) -> set[str]:
    """Names of the members whose centre lines the draft's places refer to."""
    return {place.on for place in draft.entry.path if isinstance(place, OnMember)}


def in_order(drafts: Sequence[Draft]) -> tuple[list[Draft], list[Draft]]:
    """The drafts so that each comes after those it rests on, file order otherwise; and those in a loop."""
    known = {d.name for d in drafts}
    waiting, placed = list(drafts), set[str]()
    ordered: list[Draft] = []
    while waiting:
        ready = [d for d in waiting if rests_on(d) & known <= placed]
        if not ready:
            return ordered, waiting
        ordered.extend(ready)
        placed.update(d.name for d in ready)
        waiting = [d for d in waiting if d.name not in placed]
    return ordered, []


def routes_of(
    plan: Plan, drafts: Sequence[Draft], tubes: Mapping[str, Tube], ground: Ground, *, eased: bool = False
) -> tuple[dict[str, Route], list[Problem]]:
    """Every member's route in file order, as far as they can be resolved, and all the problems met.

    Where it is ``eased``, a member whose bends do not fit is laid out with smaller ones, to be shown.
    """
    ordered, looped = in_order(drafts)
    problems = [_in_a_loop(d, looped, ground) for d in looped]
    names = {*plan.members, *(e.mirror for e in plan.members.values() if e.mirror)}
    paths: dict[str, Chain | None] = {d.name: None for d in looped}
    routes: dict[str, Route] = {}
    for draft in ordered:
        if draft.mirror_of is not None and paths.get(draft.mirror_of, draft) is None:
            # what is wrong with the original is wrong with its twin: told once
            paths[draft.name] = None
            continue
        # a member not reached yet cannot be referred to here; one not in the plan is unknown
        here = replace(ground, paths={**dict.fromkeys(names), **paths})
        route, met = _route(plan, draft, tubes, here, eased)
        problems.extend(met)
        paths[draft.name] = None if route is None else route.path
        if route is not None:
            routes[draft.name] = route
    return {d.name: routes[d.name] for d in drafts if d.name in routes}, problems


def _in_a_loop(draft: Draft, looped: Sequence[Draft], ground: Ground) -> Problem:
    others = ", ".join(sorted(rests_on(draft) & {d.name for d in looped}))
    return Problem(
        code="circular",
        where=ground.where((*draft.path, "path")),
        found=f"'{draft.name}' is placed on {others}, which in the end is placed on '{draft.name}'",
        wanted="give one member of the loop coordinates",
    )


def _route(
    plan: Plan, draft: Draft, tubes: Mapping[str, Tube], ground: Ground, eased: bool
) -> tuple[Route | None, list[Problem]]:
    tube = tubes.get(draft.entry.tube)
    problems: list[Problem] = []
    if tube is None and draft.entry.tube not in plan.tubes:
        problems.append(_unknown_tube(plan, draft, ground))
    points, met = _spots(draft, ground)
    problems.extend(met)
    if points is None or tube is None:
        return None, problems
    radii = [getattr(p, "clr", None) or plan.tubes[draft.entry.tube].clr for p in draft.entry.path]
    route, met = _path(draft, tube, points, radii, ground)
    if route is None and eased and {p.code for p in met} <= TIGHT:
        route, _ = _path(draft, tube, points, _eased(points, tube), ground)
    return route, [*problems, *met]


TIGHT = frozenset({"bend-overlap", "clr-too-small", "no-clr"})
"""What is wrong with bends that smaller ones can stand for in a picture."""
LEAST = 1.05
"""The smallest bend that is drawn, in radii of its tube."""


def _eased(points: Sequence[Vector], tube: Tube) -> list[float | None]:
    """A radius for each place, mm, small enough for its bend to fit between its neighbours' middles."""
    least = LEAST * tube.radius
    radii: list[float | None] = [least] * len(points)
    for corner in corners_of(points, radii)[0]:
        i = corner.index
        room = 0.48 * min(float(length(points[i] - points[k])) for k in (i - 1, i + 1))
        radii[i] = max(room * corner.clr / max(corner.setback, 1e-6), least)
    return radii


def _unknown_tube(plan: Plan, draft: Draft, ground: Ground) -> Problem:
    return Problem(
        code="unknown-tube",
        where=ground.where((*draft.path, "tube")),
        found=f"there is no tube called '{draft.entry.tube}'",
        wanted="name one of the plan's tubes",
        nearest=nearest_word(draft.entry.tube, plan.tubes),
    )


def _spots(draft: Draft, ground: Ground) -> tuple[list[Vector] | None, list[Problem]]:
    points: list[Vector] = []
    problems: list[Problem] = []
    for i, place in enumerate(draft.entry.path):
        try:
            points.append(spot(place, ground, (*draft.path, "path", i)))
        except Refused as refused:
            problems.append(refused.problem)
        except AlreadyRefused:
            continue
    return (points if len(points) == len(draft.entry.path) else None), problems


def _path(
    draft: Draft,
    tube: Tube,
    points: Sequence[Vector],
    radii: Sequence[float | None],
    ground: Ground,
) -> tuple[Route | None, list[Problem]]:
    faults = repeated(points)
    if not faults:
        corners, faults = corners_of(points, radii)
        faults.extend(_too_small(c.index, c.clr, tube, ground.units) for c in corners if c.clr <= tube.radius)
        faults = faults or overlapping(points, corners, ground.units)
        if not faults:
            path = laid_out(points, corners)
            try:
                lie = None if tube.is_round else lie_of(path, draft.entry.lies)
            except NoSuchSide as wrong:
                return None, [_lies_nowhere(draft, str(wrong), ground)]
            return Route(draft=draft, tube=tube, path=path, bends=bends_of(path, corners), lie=lie), []
    return None, [located(f, draft, ground, points[f.index]) for f in faults]


def _too_small(index: int, clr: float, tube: Tube, units: LengthUnit) -> Fault:
    return Fault(
        code="clr-too-small",
        index=index,
        found=f"the radius at place {index + 1} is {say_length(clr, units)}, "
        f"no more than half the tube's {say_length(tube.across, units)}",
        wanted="give the centreline radius of a die the shop has",
    )


def _lies_nowhere(draft: Draft, why: str, ground: Ground) -> Problem:
    return Problem(
        code="no-such-side",
        where=ground.where((*draft.path, "lies")),
        found=f"{draft.name}: {why}",
        wanted="say where its underside looks, and then an angle's standing leg: lies: [down, outside]",
    )


def located(fault: Fault, draft: Draft, ground: Ground, point: Vector) -> Problem:
    """The fault as a problem at its place of the member's path, which is at the point (3,)."""
    path: Path = (*draft.path, "path", fault.index)
    return Problem(
        code=fault.code,
        where=ground.where(path),
        found=f"{draft.name}: {fault.found}",
        wanted=fault.wanted,
        point=triple(point),
    )
