"""Common practice: each check kept, not kept and not known; they warn and never fail."""

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from cages import bar, cage, foot, line

from cagewright.check.findings import Finding
from cagewright.check.practice import PRACTICES, practice_findings
from cagewright.check.practice_doors import lean_in
from cagewright.plan.read import read_plan
from cagewright.plan.types import SheetEntry
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Joint
from seated import driver, mount, seated, shoulder_at, six

DEMO = Path(__file__).parents[3] / "examples" / "brackwater.yaml"
HOOP_PLACES = (1600, -600, 200), (1600, -500, 1200), (1600, 500, 1200), (1600, 600, 200)
HOOP = bar("hoop", "main rollbar", *HOOP_PLACES)


def of(rule: str, findings: tuple[Finding, ...]) -> list[Finding]:
    return [f for f in findings if f.rule == rule]


def told(rule: str, what) -> list[str]:
    return [f.verdict for f in of(rule, practice_findings(what))]


def roof_bar(rise: float):
    """A half-rollbar whose top run rises ``rise`` degrees to the front."""
    up = 600.0 * math.tan(math.radians(rise))
    return bar("leg", "lateral half-rollbar", (600, -600, 200), (1000, -400, 1200 + up), (1600, -400, 1200))


def roofed(hoop, leg):
    """A cage of a hoop on two feet and a leg on one, ahead of it."""
    places = ((hoop, 0), (hoop, -1), (leg, 0))
    pieces = [(m, m.path.pieces[k].start if k == 0 else m.path.pieces[k].stop) for m, k in places]
    return cage(hoop, leg, feet=[foot(f"foot {i}", p, m.name) for i, (m, p) in enumerate(pieces)])


@pytest.mark.parametrize(
    ("rise", "kept"), [(0.0, True), (2.9, True), (3.1, False), (-2.9, True), (-3.1, False)]
)
def test_roof_square(rise: float, kept: bool):
    hoop = bar("hoop", "main rollbar", *HOOP_PLACES, clr=60)
    found = told("roof-square", roofed(hoop, roof_bar(rise)))
    assert found == ["looks kept" if kept else "look at"]


def test_roof_square_follows_a_leaning_hoop():
    """A hoop that leans back 5 degrees wants a roof that rises 5 degrees to the front: still 90."""
    back = 1000.0 * math.tan(math.radians(5.0))
    feet = (1600 - back, -600, 200), (1600 - back, 600, 200)
    hoop = bar("hoop", "main rollbar", feet[0], (1600, -500, 1200), (1600, 500, 1200), feet[1], clr=60)
    assert told("roof-square", roofed(hoop, roof_bar(5.0))) == ["looks kept"]
    found = of("roof-square", practice_findings(roofed(hoop, roof_bar(0.0))))
    assert found[0].verdict == "look at"
    assert "5.0° up" in found[0].advice


def doorbars(*middles: tuple[float, float]):
    """Left doorbars at those (out, up) places."""
    return [
        bar(f"door_{i}", "doorbar", (700, -out, up), (1500, -out, up)) for i, (out, up) in enumerate(middles)
    ]


def at_doors(*bars, lines=()):
    """A cage with bars beside its doors, each cut to the hoop."""
    found = cage(HOOP, *bars, lines=lines)
    cut = (
        Joint(
            name=f"{m.name}.end", branch=m.name, which="end", mains=("hoop",), along=(1.0,), point=np.zeros(3)
        )
        for m in bars
    )
    return replace(found, joints=(*found.joints, *cut))


FLOOR = line("floor_left", (600, -550, 130), (1600, -550, 130))


@pytest.mark.parametrize(
    ("over", "kept"), [(457.1, False), (457.3, True), (508.0, True), (558.7, True), (558.9, False)]
)
def test_top_doorbar_is_about_20_inches_over_the_floor(over: float, kept: bool):
    found = told("top-doorbar", at_doors(*doorbars((700, 300), (700, 130 + over)), lines=[FLOOR]))
    assert found == ["looks kept" if kept else "look at"]


def test_top_doorbar_wants_room_and_a_floor():
    assert told("top-doorbar", at_doors(*doorbars((700, 638)))) == ["cannot tell"]
    close = at_doors(*doorbars((700, 638 - 124), (700, 638)), lines=[FLOOR])  # 45 mm bars: 79 mm clear
    found = of("top-doorbar", practice_findings(close))
    assert found[0].verdict == "look at"
    assert "leave 1.0 mm more under door_1" in found[0].advice
    waist = line("waist_left", (600, -700, 638 + 22.5 + 70), (1600, -700, 638 + 22.5 + 70))
    found = of("top-doorbar", practice_findings(at_doors(*doorbars((700, 638)), lines=[FLOOR, waist])))
    assert "10.0 mm more above door_0" in found[0].advice


SILL = line("sill_left", (500, -690, 210), (1650, -690, 210))


def test_a_fourth_doorbar_ends_close_to_the_sill():
    three = doorbars((700, 400), (700, 520), (700, 640))
    assert told("fourth-doorbar", at_doors(*three, lines=[SILL])) == ["does not apply"]
    for low, expected in ((309.0, "looks kept"), (311.0, "look at")):
        four = doorbars((700, low), (700, 420), (700, 530), (700, 640))
        assert told("fourth-doorbar", at_doors(*four, lines=[SILL])) == [expected]
        assert told("fourth-doorbar", at_doors(*four)) == ["cannot tell"]


def test_the_halves_of_a_crossed_doorbar_are_no_doorbars_more():
    whole, front, rear, top = doorbars((700, 400), (700, 450), (700, 500), (700, 640))
    crossed = at_doors(whole, front, rear, top, lines=[SILL])
    assert told("fourth-doorbar", crossed) == ["look at"]
    halves = [
        Joint(
            name=f"{m.name}.end",
            branch=m.name,
            which="end",
            mains=(whole.name,),
            along=(1.0,),
            point=np.zeros(3),
        )
        for m in (front, rear)
    ]
    assert told("fourth-doorbar", replace(crossed, joints=(*crossed.joints, *halves))) == ["does not apply"]


def door(lean: float):
    """A door opening whose edges lean in by ``lean`` degrees."""
    top = 735.0 - 600.0 * math.tan(math.radians(lean))
    low = (590, -735, 260)
    return line("door_opening_left", low, (600, -top, 860), (1550, -top, 860), (1520, -735, 260), low)


@pytest.mark.parametrize(
    ("lean", "kept"), [(0.0, True), (2.9, True), (3.1, False), (8.0, False), (-3.1, False)]
)
def test_doorbars_lean_with_the_door(lean: float, kept: bool):
    bars = doorbars((700, 300), (700, 500), (700, 640))
    found = told("doorbar-lean", at_doors(*bars, lines=[door(lean)]))
    assert found == ["looks kept" if kept else "look at"]


def test_doorbar_lean_needs_the_door():
    bars = doorbars((700, 300), (690, 500))
    assert told("doorbar-lean", at_doors(*bars)) == ["cannot tell"]
    assert told("doorbar-lean", at_doors(*bars, lines=[door(math.degrees(math.atan(10.0 / 200.0)))])) == [
        "looks kept"
    ]
    assert told("doorbar-lean", at_doors(*doorbars((700, 300)), lines=[door(0.0)])) == ["does not apply"]


def test_lean_is_the_slope_of_the_bars():
    up = np.array([300.0, 500.0, 700.0])
    assert lean_in(up, np.array([720.0, 710.0, 700.0])) == pytest.approx(math.atan(10.0 / 200.0))
    assert lean_in(np.array([300.0, 310.0]), np.array([700.0, 600.0])) is None


def test_lap_mounts_as_near_as_allowed():
    bare = told("lap-near", seated(six()))
    assert bare == ["cannot tell"] * 2
    for least, expected in (("100 mm", "looks kept"), ("40 mm", "look at")):
        sheet = SheetEntry(source="sheet", lap_free=(least, "300 mm"))
        assert told("lap-near", seated(six(), sheet=sheet)) == [expected] * 2


@pytest.mark.parametrize(("down", "kept"), [(-1.0, False), (0.0, True), (101.0, True), (102.0, False)])
def test_shoulder_bar_height(down: float, kept: bool):
    angle = math.degrees(math.atan(down / 200.0))
    found = told("shoulder-height", seated(shoulder_at(angle)))
    assert found == ["looks kept" if kept else "look at"] * 2


def test_shoulder_bar_height_is_not_sure_of_a_reckoned_shoulder():
    who = driver(shoulder=None)
    near = [mount("shoulder_left", (1600.0, -430.0, 740.0))]
    found = of("shoulder-height", practice_findings(seated(near, who=who)))
    assert [f.verdict for f in found] == ["cannot tell"]
    assert "measure the shoulder" in found[0].advice
    low = [mount("shoulder_left", (1600.0, -430.0, 400.0))]
    assert told("shoulder-height", seated(low, who=who)) == ["look at"]


def test_switches():
    demo = resolve(read_plan(DEMO))
    assert {f.rule for f in practice_findings(demo)} == set(PRACTICES)
    off = practice_findings(demo, {"roof-square": False, "lap-near": True})
    assert {f.rule for f in off} == set(PRACTICES) - {"roof-square"}
    with pytest.raises(ValueError, match="did you mean 'lap-near'"):
        practice_findings(demo, {"lap-neer": False})


def test_practice_never_fails_and_says_it_has_no_source():
    wild = cage(HOOP, roof_bar(30.0), *doorbars((700, 900)), lines=[FLOOR, door(20.0)])
    for found in (practice_findings(wild), practice_findings(resolve(read_plan(DEMO)))):
        assert all(f.verdict != "fail" for f in found)
        assert all("no source" in f.clause for f in found)


def test_the_demo_keeps_the_practice():
    assert not [f for f in practice_findings(resolve(read_plan(DEMO))) if f.verdict == "look at"]
