"""From a survey to a first plan: every member laid out, then written as a commented plan file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from cagewright.base.vectors import Vector
from cagewright.draft.bars import EVEN, Bar, Hoop, Sides, hoop_of, is_even, leg_of, mark, sign_of
from cagewright.draft.belts import belts, clashes
from cagewright.draft.infill import infill
from cagewright.draft.limits import USUAL_BAR, USUAL_HOOP, Limits, chosen_tube
from cagewright.draft.measured import NEEDS, Element, Measured, measured
from cagewright.draft.section import OFF_CENTRE
from cagewright.draft.telling import GRAVE, SurveyNote
from cagewright.plan.survey import SurveyFile
from cagewright.plan.types import Plan, TubeEntry
from cagewright.shape.types import Array
from cagewright.stock.shop import Shop

BEHIND = 100.0
"""How far roof lines are carried on behind the hoop, where nothing was read, mm."""
Comments = Mapping[tuple[str, str], str]
"""What to say over an entry of the plan file, by section and name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """A first plan.

    Attributes:
        plan: as a plan file would say it.
        comments: over the entries of the file.
        notes: on the survey.
        said: what the draft could not do, and why.
        hoop: how close the main hoop came.
        legs: how close each front leg came, by side.
    """

    plan: Plan
    comments: Comments
    notes: tuple[SurveyNote, ...]
    said: tuple[str, ...]
    hoop: Hoop
    legs: dict[str, Bar]


class NothingToDraft(Exception):
    """Not even the main hoop can be drafted; ``notes`` on the survey say why."""

    def __init__(self, notes: tuple[SurveyNote, ...]) -> None:
        super().__init__("the main hoop cannot be drafted from this survey")
        self.notes = notes


@dataclass(slots=True)
class Sheet:
    """A plan being laid out.

    Attributes:
        file: the survey.
        car: as measured.
        limits: of the rule book.
        even: left and right are drawn alike.
        hoop: the main hoop.
        legs: the front legs by side.
        points: named points of the plan.
        members: in file order.
        feet: by name.
        lines: of the shell.
        gussets: by name.
        comments: over the entries.
        said: what could not be done.
    """

    file: SurveyFile
    car: Measured
    limits: Limits
    even: bool
    hoop: Hoop
    legs: dict[str, Bar]
    points: dict[str, Any] = field(default_factory=dict[str, Any])
    members: dict[str, Any] = field(default_factory=dict[str, Any])
    feet: dict[str, Any] = field(default_factory=dict[str, Any])
    lines: dict[str, Any] = field(default_factory=dict[str, Any])
    gussets: dict[str, Any] = field(default_factory=dict[str, Any])
    comments: dict[tuple[str, str], str] = field(default_factory=dict[tuple[str, str], str])
    said: list[str] = field(default_factory=list[str])


def draft(file: SurveyFile, limits: Limits, shop: Shop) -> Drafted:
    """A first plan from the survey.

    Args:
        file: the survey.
        limits: of the rule book.
        shop: whose dies and stock the tubes are chosen from.

    Raises:
        NothingToDraft: readings are missing or impossible that even the main hoop needs.
    """
    car = measured(file)
    tubes, least, said = _tubes(file, limits, shop)
    even = is_even(car, max(EVEN, 3.0 * file.tape))
    hoop = None
    if not any(note.kind == "impossible" for note in car.notes):
        hoop = hoop_of(car, tubes["hoop"], least["hoop"], file.wishes.gap, even=even)
    if hoop is None:
        raise NothingToDraft(car.notes)
    legs = _legs(car, hoop, tubes["bar"], least["bar"], file.wishes.gap, even=even)
    sheet = Sheet(file=file, car=car, limits=limits, even=even, hoop=hoop, legs=legs, said=said)
    _hoop_entry(sheet)
    _leg_entries(sheet)
    infill(sheet)
    _shell(sheet)
    plan = _plan(sheet, tubes)
    sheet.said += clashes(plan, file.obstacles)
    return Drafted(
        plan=plan,
        comments=sheet.comments,
        notes=car.notes,
        said=tuple(sheet.said),
        hoop=hoop,
        legs=legs,
    )


def _tubes(
    file: SurveyFile, limits: Limits, shop: Shop
) -> tuple[dict[str, TubeEntry], dict[str, float], list[str]]:
    tubes: dict[str, TubeEntry] = {}
    least: dict[str, float] = {}
    said: list[str] = []
    for name, sizes, usual in (
        ("hoop", limits.hoop_sizes, USUAL_HOOP),
        ("bar", limits.bar_sizes, USUAL_BAR),
    ):
        own = file.tubes.get("hoop" if name == "hoop" else "bar")
        wanted = ((own.od, own.wall),) if own is not None else sizes
        chosen, least[name], lack = chosen_tube(wanted, usual, limits, shop)
        tubes[name] = own if own is not None and own.clr is not None else chosen
        said += [f"tube {name}: {lack}"] if lack else []
    return tubes, least, said


def _legs(
    car: Measured, hoop: Hoop, tube: TubeEntry, least: float, gap: float, *, even: bool
) -> dict[str, Bar]:
    both: Sides = ("left", "right")
    legs = {side: leg_of(car, hoop, side, tube, least, gap, sides=both if even else (side,)) for side in both}
    return {side: leg for side, leg in legs.items() if leg is not None} if all(legs.values()) else {}


def place(p: Array | Sequence[float]) -> list[float]:
    """The place in whole millimetres, as a builder can tape it."""
    return [float(round(float(v))) for v in p]


def named_point(sheet: Sheet, name: str, left: Vector, right: Vector) -> tuple[str, str]:
    """The point on both sides, as one mirrored entry where left and right are drawn alike; their names."""
    one, two = f"{name}_left", f"{name}_right"
    if sheet.even:
        sheet.points[one] = {"at": place(left), "mirror": two}
    else:
        sheet.points[one], sheet.points[two] = place(left), place(right)
    return one, two


def both_sides(sheet: Sheet, name: str, left: dict[str, Any], right: dict[str, Any]) -> None:
    """A member, foot or line on both sides: mirrored where left and right are drawn alike."""
    section = {"path": sheet.members, "at": sheet.feet}["path" if "role" in left else "at"]
    if sheet.even:
        section[f"{name}_left"] = {**left, "mirror": f"{name}_right"}
    else:
        section[f"{name}_left"], section[f"{name}_right"] = left, right


def _hoop_entry(sheet: Sheet) -> None:
    names: list[tuple[str, str]] = []
    for i, name in enumerate(sheet.hoop.left.names):
        names.append(named_point(sheet, name, sheet.hoop.left.places[i], sheet.hoop.right.places[i]))
    plate = _plate(sheet, sheet.limits.leg_area, 130.0)
    foot = {"on": "sill", "plate": plate, **_bolts(sheet.limits.bolts[0])}
    both_sides(sheet, "hoop_foot", {"at": names[0][0], **foot}, {"at": names[0][1], **foot})
    path: list[Any] = [{"foot": "hoop_foot_left"}, *(left for left, _ in names[1:])]
    path += [*(right for _, right in names[:0:-1]), {"foot": "hoop_foot_right"}]
    sheet.members["main_hoop"] = {"role": "main rollbar", "tube": "hoop", "path": path}
    sheet.comments["members", "main_hoop"] = _close_words(sheet.hoop.left)


def _close_words(bar: Bar) -> str:
    gap = bar.tight.after
    words = (
        "" if gap is None else f"gap to the marks {gap[0]:.0f} to {gap[2]:.0f} mm, {gap[1]:.0f} on average"
    )
    return words + (f"; {'; '.join(bar.tight.held)}" if bar.tight.held else "")


def _plate(sheet: Sheet, area: float, long: float) -> list[float]:
    wanted = sheet.file.wishes.plate_area or area
    wide = max(math.ceil(wanted * 1.02 / long / 10.0) * 10.0, 80.0)
    return [long, wide, max(sheet.file.wishes.plate, sheet.limits.plate)]


def _bolts(count: int) -> dict[str, Any]:
    return {"bolts": {"count": count, "size": 8.0}} if count else {}


def _leg_entries(sheet: Sheet) -> None:
    if not sheet.legs:
        missing(sheet, "front legs")
        return
    names = _leg_points(sheet)
    plate = _plate(sheet, sheet.limits.leg_area, 120.0)
    foot = {"on": "box", "plate": plate, **_bolts(sheet.limits.bolts[0])}
    both_sides(sheet, "front_foot", {"at": names["left"][0], **foot}, {"at": names["right"][0], **foot})
    both_sides(sheet, "front_leg", _leg(sheet, "left", names["left"]), _leg(sheet, "right", names["right"]))
    for side in ("left",) if sheet.even else ("left", "right"):
        close = _close_words(sheet.legs[side])
        sheet.comments["members", f"front_leg_{side}"] = f"along the screen pillar and the roof rail; {close}"


def _leg_points(sheet: Sheet) -> dict[str, list[str]]:
    """Names of the places of each leg from the foot up, entered among the plan's points."""
    left, right = sheet.legs["left"], sheet.legs["right"]
    if sheet.even:
        pairs = [
            named_point(sheet, name, left.places[i], right.places[i]) for i, name in enumerate(left.names)
        ]
        return {"left": [a for a, _ in pairs], "right": [b for _, b in pairs]}
    for side, leg in sheet.legs.items():
        sheet.points |= {f"{n}_{side}": place(leg.places[i]) for i, n in enumerate(leg.names)}
    return {side: [f"{n}_{side}" for n in leg.names] for side, leg in sheet.legs.items()}


def _leg(sheet: Sheet, side: str, names: list[str]) -> dict[str, Any]:
    up = float(sheet.legs[side].places[-1][2])
    end = {"on": "main_hoop", "side": side, "up": float(round(up))}
    path = [{"foot": f"front_foot_{side}"}, *names[1:], end]
    return {"role": "lateral half-rollbar", "tube": "bar", "path": path}


def missing(sheet: Sheet, element: Element) -> None:
    """Says which readings an element that cannot be drafted waits for."""
    gone = [n.reading for n in sheet.car.notes if n.kind in ("missing", *GRAVE)]
    wants = [r for r in NEEDS[element] if r in gone] or list(NEEDS[element])
    sheet.said.append(f"no {element}: {', '.join(wants)} not read, or in doubt")


# --- the shell, as the plan's checks use it


def _shell(sheet: Sheet) -> None:
    points = sheet.car.points
    for side in ("left", "right"):
        rail = [points.get(f"{n}_{side}") for n in ("pillar_top", "rail_mid", "cant_rail")]
        pillar = [points.get(f"{n}_{side}") for n in ("pillar_base", "pillar_mid", "pillar_top")]
        _line(sheet, f"cant_rail_{side}", carried_on(rail))
        _line(sheet, f"screen_pillar_{side}", pillar)
        _line(sheet, f"door_opening_{side}", _door(sheet, side))
        _line(sheet, f"sill_{side}", _sill(sheet, side))
        _line(sheet, f"floor_{side}", _floor(sheet, side))
    _line(sheet, "header_rail", [points.get(n) for n in ("pillar_top_left", "header", "pillar_top_right")])
    for name, path in roof_lines(sheet.car).items():
        _line(sheet, name, path)
    _line(sheet, "hoop_section", list(sheet.hoop.section))
    sheet.comments["shell", "hoop_section"] = (
        "the body round the main hoop, rounded out from its marks: the hoop is kept beside it"
    )
    sheet.comments["shell", "roof_centre"] = (
        "beside the middle the roof is taken to bow everywhere as it was read at the hoop"
    )


def roof_lines(car: Measured) -> dict[str, list[Array]]:
    """The roof skin's lines along the car, in the middle and 300 mm to each side, by name.

    Off the middle the skin was read at the hoop only; it is taken to fall as much all along.
    """
    left, centre, right = car.roof
    if car.station is None or centre is None:
        return {}
    known = (car.points.get("header"), car.points.get("roof_mid"), np.array([car.station, 0.0, centre]))
    middle = carried_on(known)
    lines = {"roof_centre": middle}
    for side, height in (("left", left), ("right", right)):
        if height is not None:
            step = np.array([0.0, sign_of(side) * OFF_CENTRE, height - centre])
            lines[f"roof_{side}"] = [p + step for p in middle]
    return lines


def carried_on(path: Sequence[Array | None]) -> list[Array]:
    """The known points of a line, carried on straight behind the hoop, so that the hoop passes beside it."""
    known = [p for p in path if p is not None]
    if len(known) < 2:
        return known
    way = known[-1] - known[-2]
    return [*known, known[-1] + BEHIND / float(np.linalg.norm(way)) * way]


def _line(sheet: Sheet, name: str, path: Sequence[Array | None]) -> None:
    known = [place(p) for p in path if p is not None]
    if len(known) > 1:
        sheet.lines[name] = {"path": known}


def _door(sheet: Sheet, side: str) -> list[Array]:
    span = sheet.car.doors.get(side)
    waist = mark(sheet.car, "waist", (side,))
    if span is None or waist is None:
        return []
    front, rear, bottom, top = span
    out, sign = float(waist[1]) + 40.0, sign_of(side)
    corners = [(front, bottom), (front, top), (rear, top), (rear, bottom), (front, bottom)]
    return [np.array([x, sign * out, z]) for x, z in corners]


def _sill(sheet: Sheet, side: str) -> list[Array]:
    foot, hoop = sheet.car.points.get(f"front_foot_{side}"), sheet.car.points.get(f"sill_side_{side}")
    if foot is None or hoop is None or sheet.car.sill is None:
        return []
    return [np.array([x, float(hoop[1]), sheet.car.sill]) for x in (float(foot[0]), float(hoop[0]) + 60.0)]


def _floor(sheet: Sheet, side: str) -> list[Array]:
    hoop, front = sheet.car.points.get(f"sill_side_{side}"), sheet.car.points.get(f"front_foot_{side}")
    if hoop is None or front is None or sheet.car.floor is None:
        return []
    half = float(hoop[1]) - sign_of(side) * 110.0
    return [np.array([x, half, sheet.car.floor]) for x in (float(front[0]) + 80.0, float(hoop[0]) - 40.0)]


# --- the plan


def _plan(sheet: Sheet, tubes: dict[str, TubeEntry]) -> Plan:
    file = sheet.file
    shell: dict[str, Any] = {"lines": sheet.lines}
    if file.scan is not None:
        shell["scan"] = file.scan.model_dump(exclude_defaults=True)
    data: dict[str, Any] = {
        "cagewright": 1,
        "title": file.title,
        "units": "mm",
        "car": {"mass": file.car.mass, "body": file.car.body, "rules": list(file.car.rules)},
        "tubes": {name: tube.model_dump(exclude_defaults=True) for name, tube in tubes.items()},
        "points": sheet.points,
        "members": sheet.members,
        "feet": sheet.feet,
        "shell": shell,
    }
    data |= {"shop": file.shop} if file.shop is not None else {}
    data |= {"gussets": sheet.gussets} if sheet.gussets else {}
    held = belts(sheet)
    data |= {"belts": held} if held else {}
    driver = _driver(sheet)
    return Plan.model_validate(data | ({"driver": driver} if driver else {})).model_copy(
        update={"units": file.units}
    )


def _driver(sheet: Sheet) -> dict[str, Any]:
    points, wish = sheet.car.points, sheet.file.driver
    if "hip" not in points:
        return {}
    said: dict[str, Any] = {"stature": wish.stature, "hip": place(points["hip"]), "helmet": wish.helmet}
    said |= {"people": wish.people} if wish.people != "men" else {}
    if sheet.car.back_angle is not None:
        said["back_angle"] = f"{math.degrees(sheet.car.back_angle):.1f} deg"
    for name, key in (("helmet", "head"), ("eye", "eyes")):
        if name in points:
            said[key] = place(points[name])
    return said
