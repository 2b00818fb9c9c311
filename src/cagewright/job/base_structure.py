"""A first cage from seven sizes: hoop, a leg and a backstay at each side, the bar over the windscreen."""

from __future__ import annotations

from collections.abc import Mapping

from cagewright.base.units import LengthUnit

SIZES: dict[str, tuple[str, float]] = {
    "feet": ("Hoop, width at its feet", 1240.0),
    "top": ("Hoop, width at its top", 1000.0),
    "height": ("Hoop, height over the floor", 1150.0),
    "front": ("From the hoop forward to the front feet", 1080.0),
    "screen": ("Windscreen bar, height over the floor", 1100.0),
    "ahead": ("From the hoop forward to the windscreen bar", 600.0),
    "stays": ("From the hoop back to the stays' feet", 650.0),
}
"""By key: what it is in words, between middle lines of the tubes, and a usual one to start from, mm."""
TUBES: dict[LengthUnit, str] = {
    "mm": """  hoop: {od: 45 mm, wall: 2.5 mm, steel: E355+N, clr: 135 mm}
  bar: {od: 38 mm, wall: 2.5 mm, steel: E355+N, clr: 114 mm}""",
    "in": """  hoop: {od: 1 3/4 in, wall: 0.095 in, steel: A513-5 1020, clr: 6 in}
  bar: {od: 1 1/2 in, wall: 0.095 in, steel: A513-5 1020, clr: 5 in}""",
}
LEAN = 0.55
"""Up to this share of its height the hoop stands straight, then it leans in."""
PILLAR = 0.6
"""The same of a front leg, which follows the screen's pillar from there on."""
BELOW = 25.0
"""A front leg lands on the hoop so far under its top, mm."""
INSIDE = 60.0
"""A backstay lands on the hoop so far inside its corner, mm."""


def wrong_size(sizes: Mapping[str, float]) -> str | None:
    """What cannot be so, in words; None where a structure can be laid out."""
    for key, (words, _) in SIZES.items():
        if not 100.0 <= sizes[key] <= 5000.0:
            return f"give a length from 100 mm to 5 m (4 in to 16 ft) for ‘{words}’"
    if sizes["top"] > sizes["feet"]:
        return "make the hoop no wider at its top than at its feet"
    if sizes["ahead"] >= sizes["front"]:
        return "set the front feet further ahead of the hoop than the windscreen bar"
    return None


def base_structure(sizes: Mapping[str, float], units: LengthUnit) -> str:
    """The text of the plan, lengths in mm: back counts from the front feet, up from the floor.

    Args:
        sizes: each of ``SIZES``, mm.
        units: of the tape, which says what tube is sold there.
    """
    s = {key: _plain(value) for key, value in sizes.items()}
    hoop, out, top = s["front"], _plain(s["feet"] / 2), _plain(s["top"] / 2)
    lean = [hoop, -out, round(LEAN * s["height"])]
    corner = [hoop, -top, s["height"]]
    bar = _plain(hoop - s["ahead"])
    line = [lean, corner, _across(corner), _across(lean)] if out - top > 1.0 else [corner, _across(corner)]
    path = "\n".join(f"      - {place}" for place in ("{foot: hoop_left}", *line, "{foot: hoop_right}"))
    return f"""# Back is counted from the front feet, across from the middle of the car, up from the floor.
cagewright: 1
title: New cage
units: mm
car: {{mass: 1100 kg}}   # a guess until it has stood on the scales

tubes:
{TUBES[units]}

points:
  hoop_floor: {{at: [{hoop}, {-out}, 0], mirror: hoop_floor_right}}
  front_floor: {{at: [0, {-out}, 0], mirror: front_floor_right}}
  stay_floor: {{at: [{_plain(hoop + s["stays"])}, {-top}, 0], mirror: stay_floor_right}}

members:
  main_hoop:
    role: main rollbar
    tube: hoop
    path:
{path}

  front_leg_left:
    role: lateral half-rollbar
    tube: bar
    mirror: front_leg_right
    path:
      - {{foot: front_left}}
      - {[0, -out, round(PILLAR * s["screen"])]}
      - {[bar, -_plain(top + 30), s["screen"]]}
      - {{on: main_hoop, side: left, up: {_plain(s["height"] - BELOW)}}}

  header:
    role: transverse member
    tube: bar
    path: [{{on: front_leg_left, back: {bar}}}, {{on: front_leg_right, back: {bar}}}]

  backstay_left:
    role: backstay
    tube: bar
    mirror: backstay_right
    path: [{{on: main_hoop, across: {-_plain(top - INSIDE)}}}, {{foot: stay_left}}]

feet:
  hoop_left: {{at: hoop_floor, on: floor, plate: [130, 110, 3], mirror: hoop_right}}
  front_left: {{at: front_floor, on: floor, plate: [120, 100, 3], mirror: front_right}}
  stay_left:
    at: stay_floor
    on: floor
    plate: [100, 80, 3]
    normal: [{-s["stays"]}, 0, {s["height"]}]   # square to the stay
    mirror: stay_right
"""


def _across(place: list[float]) -> list[float]:
    return [place[0], -place[1], place[2]]


def _plain(mm: float) -> float:
    """The length to a tenth, as one writes it."""
    rounded = round(mm, 1)
    return int(rounded) if rounded == int(rounded) else rounded
