"""From a survey to a first plan: every member laid out, then written as a commented plan file."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from cagewright.draft.bars import EVEN, Bar, Hoop, Sides, hoop_of, is_even, leg_of, mark, sign_of
from cagewright.draft.belts import belts, clashes
from cagewright.draft.families.every import FAMILIES
from cagewright.draft.families.family import filled
from cagewright.draft.limits import USUAL_BAR, USUAL_HOOP, Limits, chosen_tube
from cagewright.draft.measured import Measured, measured
from cagewright.draft.outline import Outline, place, spread_of
from cagewright.draft.section import OFF_CENTRE
from cagewright.draft.tape import to_the_tape
from cagewright.draft.telling import SurveyNote
from cagewright.plan.survey import SurveyCodriver, SurveyFile
from cagewright.plan.types import LineEntry, LineFace, Plan, TubeEntry
from cagewright.shape.types import Array
from cagewright.stock.shop import Shop

LENGTHS = frozenset({"points", "members", "feet", "gussets", "shell", "driver", "belts", "people"})
"""Parts of a plan whose numbers are lengths."""
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
        hoop = hoop_of(car, tubes["hoop"], least["hoop"], file.wishes.gap, even=even, units=file.units)
    if hoop is None:
        raise NothingToDraft(car.notes)
    family = FAMILIES[file.wishes.base_structure]
    legs = _legs(car, hoop, tubes[family.legs], least[family.legs], file, even=even) if family.legs else {}
    outline = Outline(
        file=file, car=car, limits=limits, tubes=tubes, least=least, even=even, hoop=hoop, legs=legs,
        said=said,
    )  # fmt: skip
    filled(outline, family)
    _shell(outline)
    plan = _plan(outline, tubes)
    outline.said += clashes(plan, file)
    return Drafted(
        plan=plan,
        comments=outline.comments,
        notes=car.notes,
        said=tuple(outline.said),
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
        wanted = ((own.across, own.wall),) if own is not None else sizes
        chosen, least[name], lack = chosen_tube(wanted, usual, limits, shop)
        tubes[name] = own if own is not None and own.clr is not None else chosen
        said += [f"tube {name}: {lack}"] if lack else []
    return tubes, least, said


def _legs(
    car: Measured, hoop: Hoop, tube: TubeEntry, least: float, file: SurveyFile, *, even: bool
) -> dict[str, Bar]:
    both: Sides = ("left", "right")
    gap, units = file.wishes.gap, file.units
    legs = {
        side: leg_of(car, hoop, side, tube, least, gap, sides=both if even else (side,), units=units)
        for side in both
    }
    return {side: leg for side, leg in legs.items() if leg is not None} if all(legs.values()) else {}


# --- the shell, as the plan's checks use it


def _shell(outline: Outline) -> None:
    points = outline.car.points
    for side in ("left", "right"):
        rail = [points.get(f"{n}_{side}") for n in ("pillar_top", "rail_mid", "cant_rail")]
        pillar = [points.get(f"{n}_{side}") for n in ("pillar_base", "pillar_mid", "pillar_top")]
        _line(outline, f"cant_rail_{side}", carried_on(rail))
        _line(outline, f"screen_pillar_{side}", pillar, face=outline.file.car.pillars)
        _line(outline, f"door_opening_{side}", _door(outline, side))
        _line(outline, f"sill_{side}", _sill(outline, side))
        _line(outline, f"floor_{side}", _floor(outline, side))
    _line(outline, "header_rail", [points.get(n) for n in ("pillar_top_left", "header", "pillar_top_right")])
    for name, path in roof_lines(outline.car).items():
        _line(outline, name, path)
    _line(outline, "hoop_section", list(outline.hoop.section))
    outline.comments["shell", "hoop_section"] = (
        "the body round the main hoop, rounded out from its marks: the hoop is kept beside it"
    )
    outline.comments["shell", "roof_centre"] = (
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


def _line(outline: Outline, name: str, path: Sequence[Array | None], *, face: LineFace = "corner") -> None:
    known = [place(p) for p in path if p is not None]
    if len(known) > 1:
        spread = round(spread_of(outline.file), 1)
        more: dict[str, Any] = {"face": face} if face != "corner" else {}
        more |= {"spread": spread} if spread != LineEntry.model_fields["spread"].default else {}
        outline.lines[name] = {"path": known} | more


def _door(outline: Outline, side: str) -> list[Array]:
    span = outline.car.doors.get(side)
    waist = mark(outline.car, "waist", (side,))
    if span is None or waist is None:
        return []
    front, rear, bottom, top = span
    out, sign = float(waist[1]) + 40.0, sign_of(side)
    corners = [(front, bottom), (front, top), (rear, top), (rear, bottom), (front, bottom)]
    return [np.array([x, sign * out, z]) for x, z in corners]


def _sill(outline: Outline, side: str) -> list[Array]:
    foot, hoop = outline.car.points.get(f"front_foot_{side}"), outline.car.points.get(f"sill_side_{side}")
    if foot is None or hoop is None or outline.car.sill is None:
        return []
    return [np.array([x, float(hoop[1]), outline.car.sill]) for x in (float(foot[0]), float(hoop[0]) + 60.0)]


def _floor(outline: Outline, side: str) -> list[Array]:
    hoop, front = outline.car.points.get(f"sill_side_{side}"), outline.car.points.get(f"front_foot_{side}")
    if hoop is None or front is None or outline.car.floor is None:
        return []
    half = float(hoop[1]) - sign_of(side) * 110.0
    return [np.array([x, half, outline.car.floor]) for x in (float(front[0]) + 80.0, float(hoop[0]) - 40.0)]


# --- the plan


def _plan(outline: Outline, tubes: dict[str, TubeEntry]) -> Plan:
    file = outline.file
    shell: dict[str, Any] = {"lines": outline.lines}
    if file.scan is not None:
        shell["scan"] = file.scan.model_dump(exclude_defaults=True)
    data: dict[str, Any] = {
        "cagewright": 1,
        "title": file.title,
        "units": "mm",
        "car": {"mass": file.car.mass, "body": file.car.body, "rules": list(file.car.rules)},
        "tubes": {name: tube.model_dump(exclude_defaults=True) for name, tube in tubes.items()},
        "points": outline.points,
        "members": outline.members,
        "feet": outline.feet,
        "shell": shell,
    }
    data |= {"shop": file.shop} if file.shop is not None else {}
    data |= {"gussets": outline.gussets} if outline.gussets else {}
    whole = data | _people(outline)
    if file.units == "in":
        whole |= {key: to_the_tape(whole[key]) for key in whole.keys() & LENGTHS}
    return Plan.model_validate(whole).model_copy(update={"units": file.units})


def _people(outline: Outline) -> dict[str, Any]:
    """Who sits in the car, each with belts as far as they can be laid out."""
    driver, beside = _driver(outline), outline.file.codriver
    held = belts(outline, np.array(driver["hip"]), outline.car.back_angle) if driver else {}
    if beside is None or not driver:
        return ({"driver": driver} if driver else {}) | ({"belts": held} if held else {})
    codriver = _codriver(outline, beside)
    worn = belts(outline, np.array(codriver["hip"]), beside.back_angle)
    return {
        "people": {
            "driver": driver | ({"belts": held} if held else {}),
            "codriver": codriver | ({"belts": worn} if worn else {}),
        }
    }


def _codriver(outline: Outline, beside: SurveyCodriver) -> dict[str, Any]:
    """The codriver, on the side where the driver does not sit."""
    across = np.array([1.0, -sign_of(outline.file.driver.side), 1.0])
    said: dict[str, Any] = {"stature": beside.stature, "helmet": beside.helmet}
    said |= {"people": beside.people} if beside.people != "men" else {}
    if beside.back_angle is not None:
        said["back_angle"] = f"{math.degrees(beside.back_angle):.1f} deg"
    for key, at in (("hip", beside.hip), ("head", beside.head)):
        if at is not None:
            said[key] = place(np.abs(np.array(at)) * across)
    return said


def _driver(outline: Outline) -> dict[str, Any]:
    points, wish = outline.car.points, outline.file.driver
    if "hip" not in points:
        return {}
    said: dict[str, Any] = {"stature": wish.stature, "hip": place(points["hip"]), "helmet": wish.helmet}
    said |= {"people": wish.people} if wish.people != "men" else {}
    if outline.car.back_angle is not None:
        said["back_angle"] = f"{math.degrees(outline.car.back_angle):.1f} deg"
    for name, key in (("helmet", "head"), ("eye", "eyes")):
        if name in points:
            said[key] = place(points[name])
    return said
