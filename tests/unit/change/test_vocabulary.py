"""The same words give the same plan as an edit, in an alternatives file and made on the page."""

from functools import cache

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.change.apply import apply
from cagewright.change.before import Before
from cagewright.change.edit import edit as edited_text
from cagewright.change.written import written
from cagewright.compare.cases import cases_of
from cagewright.job.studies.made import PickedTubes, made
from cagewright.plan.alternatives import read_alternatives_text
from cagewright.plan.changes import CHANGES, ChangeEntry, read_change
from cagewright.plan.emit import block, plan_text
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import OnMember
from edited import INCH, MM, edit, opened

BAR = {
    "role": "roof reinforcement",
    "path": [{"on": "main_hoop", "across": "20 mm"}, {"on": "header", "across": "20 mm"}],
}
SAME = [
    {"remove": "pillar_brace_left"},
    {"remove": {"names": ["doorbar_top_right"], "dependents": True, "one_side": True}},
    {"add": {"members": {"middle": BAR}}},
    {"add": {"unnamed": [BAR], "both_sides": True, "in_two": True}},
    {"add": {"points": {"mark": {"at": ["1 m", "-20 in", "45 mm"], "mirror": "mark_right"}}}},
    {
        "add": {
            "plates": {
                "sheet": {
                    "corners": [
                        {"on": "doorbar_top_left", "back": "1 m"},
                        {"on": "doorbar_mid_left", "back": "1 m"},
                        {"on": "doorbar_mid_left", "back": "1.2 m"},
                    ],
                    "thickness": "2 mm",
                    "mirror": "sheet_right",
                }
            }
        }
    },
    {
        "add": {
            "gussets": {
                "roof_corner": {
                    "between": ["roof_left", "header"],
                    "leg": "60 mm",
                    "thickness": "2 mm",
                    "mirror": True,
                }
            }
        }
    },
    {"add": {"feet": {"spare": {"at": "waist", "on": "sill", "plate": ["100 mm", "4 in", "3 mm"]}}}},
    {
        "add": {
            "steels": {
                "mill sheet 7": {"yield_strength": "400 MPa", "tensile": "500 MPa", "source": "mill sheet 7"}
            }
        }
    },
    {"move": {"members": "pillar_brace_left", "places": "start", "by": ["10 mm", 0, 0]}},
    {
        "move": {
            "members": ["doorbar_top_left", "doorbar_mid_right"],
            "places": [1, 2],
            "by": [0, "5 mm", "1/4 in"],
        }
    },
    {"move": {"members": "main_hoop", "places": 2, "up": "800 mm", "host": True}},
    {"move": {"members": "front_leg_right", "places": "end", "across": "480 mm", "one_side": True}},
    {"move": {"members": "main_hoop", "places": "start", "at": ["1.6 m", "-26 in", "210 mm"], "host": True}},
    {"move": {"point": "waist_right", "by": [0, "10 mm", 0]}},
    {"move": {"foot": "stay_left", "up": "600 mm"}},
    {"bend": {"name": "main_hoop", "place": 3, "clr": "150 mm"}},
    {"bend": {"name": "doorbar_low_right", "place": 2, "straight": True}},
    {"bend": {"name": "backstay_left", "place": 2, "at": ["2 m", "-510 mm", "940 mm"], "clr": "6 in"}},
    {"size": {"members": ["roof_right", "dash_bar"], "wall": "2 mm"}},
    {"size": {"members": "backstay_left", "steel": "S355J2H", "one_side": True}},
    {"size": {"tube": "bar", "od": "40 mm"}},
    {"split": {"name": "header", "on": "through"}},
    {"mirror": "seat_front"},
    {"mirror": "diagonal_hoop"},
    {"join": ["harness_bar_left", "harness_bar_right"]},
    {"swap": {"name": "diagonal_hoop", "half": "harness_bar_right"}},
    {"move": {"members": ["backstay_left", "header"], "whole": True, "by": ["10 mm", 0, "1/4 in"]}},
    {
        "draw": {
            "start": {"on": "main_hoop", "across": "20 mm"},
            "way": [-1, 0, 0],
            "steps": [{"straight": "200 mm", "angle": "30 deg"}],
            "last": "8 in",
        }
    },
    {"apart": ["front_leg_left"]},
    {"foot": {"name": "hoop_right", "on": "floor", "plate": ["8 in", "150 mm", "3 mm"]}},
    {
        "foot": {
            "name": "hoop_right",
            "folds": [
                {"edge": "right", "by": "1 3/4 in"},
                {"edge": "rear", "by": 30, "turn": "up", "angle": "80 deg"},
            ],
        }
    },
    {"foot": {"name": "stay_left", "box": {"high": "40 mm", "rim": 20}}},
    {"foot": {"name": "front_right", "shaped": True}},
    {"plate": {"name": "sheet_right", "thickness": "3 mm"}},
    {"plate": {"name": "sheet_right", "holes": [{"at": [1050, 640, 580], "size": "1 in"}]}},
    {"gusset": {"name": "hoop_corner", "kind": "half tube", "hole": "10 mm"}},
    {"gusset": {"name": "header_corner", "corner": ["rear", "inside"]}},
    {"gusset": {"name": "hoop_corner", "leg": "90 mm", "kind": "flat"}},
    {"weld": {"members": "pillar_brace_left", "start": {"open": "outside"}}},
    {"cut": {"members": "dash_bar", "cut": {"end": "front_leg_right"}}},
    {
        "couple": {
            "name": "doorbar_top_right",
            "couplings": [
                {"along": "140 mm", "kind": "flange"},
                {"along": "6 in", "end": "end", "kind": "double lug", "bolts": {"size": 12, "grade": "10.9"}},
            ],
        }
    },
    {"couple": {"name": "dash_bar", "couplings": [{"along": 300, "kind": "inner sleeve"}], "one_side": True}},
    {"role": {"members": ["header"], "role": "roof reinforcement"}},
    {"note": {"name": "front_leg_right", "note": "bright side up"}},
    {"rename": {"member": "front_leg_right", "to": "a_leg_right"}},
    {"rename": {"point": "waist", "to": "hip"}},
    {
        "as_built": {
            "name": "doorbar_top_left",
            "path": [
                {"on": "front_leg_left", "up": "600 mm"},
                ["700 mm", "-660 mm", "620 mm"],
                {"on": "main_hoop", "up": "640 mm", "side": "left"},
            ],
        }
    },
    {"as_planned": "dash_bar"},
]
FIRST = {
    "split": {
        "add": {
            "members": {
                "through": {
                    "role": "roof reinforcement",
                    "path": [{"on": "main_hoop", "across": 0}, ["0.5 m", 0, "1.1 m"]],
                }
            }
        }
    },
    "plate": SAME[5],
    "as_planned": {
        "as_built": {
            "name": "dash_bar",
            "path": [{"on": "front_leg_left", "up": "700 mm"}, {"on": "front_leg_right", "up": "705 mm"}],
        }
    },
}
"""What has to be there first."""


def kind(asked):
    return next(iter(asked))


@cache
def start(path, first):
    """The demo's text and plan, for some kinds with something added to it."""
    document, _ = opened(path)
    if first in FIRST:
        document = edit(FIRST[first], path).document
    return document, read_plan_text(document.text, file=path.as_posix(), folder=path.parent)


def by_file(plan, asked):
    """The plan that an alternatives file makes of it."""
    text = f"cagewright_alternatives: 2\ntitle: t\nunits: {plan.units}\nalternatives:\n"
    text += f"  - {block({'name': 'a', 'changes': [asked]}, 4)}\n"
    return cases_of(plan, read_alternatives_text(text))[1].case.plan


@pytest.mark.parametrize("path", [MM, INCH], ids=["mm", "in"])
@pytest.mark.parametrize("asked", SAME, ids=[f"{kind(a)}-{i}" for i, a in enumerate(SAME)])
def test_the_same_words_give_the_same_plan_to_the_byte(asked, path):
    document, plan = start(path, kind(asked))
    after, words = edited_text(document, plan, None, asked)
    read = read_plan_text(after.text, folder=path.parent)
    studied = by_file(plan, asked)
    assert plan_text(read) == plan_text(studied)
    assert after.text != document.text
    altered = apply(plan, read_change(asked, units=plan.units, file="x"))
    assert altered.plan == studied
    assert altered.words == words
    assert written(document, plan, altered).text == after.text


def test_no_kind_of_change_is_left_out():
    assert {kind(asked) for asked in SAME} == {*CHANGES}


@pytest.mark.parametrize("path", [MM, INCH], ids=["mm", "in"])
@pytest.mark.parametrize(
    ("picks", "asked"),
    [
        ({"what": "without", "members": ("pillar_brace_left",)}, {"remove": "pillar_brace_left"}),
        (
            {"what": "moved", "members": ("pillar_brace_left",), "end": "start", "by": (10.0, 0.0, 0.0)},
            {"move": {"members": "pillar_brace_left", "places": "start", "by": ["10 mm", 0, 0]}},
        ),
        (
            {
                "what": "moved",
                "members": ("main_hoop",),
                "end": "3",
                "by": (0.0, 0.0, 12.0),
                "one_side": True,
            },
            {"move": {"members": "main_hoop", "places": 3, "by": [0, 0, "12 mm"], "one_side": True}},
        ),
        (
            {"what": "size", "members": ("dash_bar", "roof_right"), "od": 40.0, "wall": 2.0},
            {"size": {"members": ["dash_bar", "roof_left"], "od": "40 mm", "wall": "2 mm"}},
        ),
        ({"what": "other-side", "members": ("seat_front",)}, {"mirror": "seat_front"}),
        (
            {"what": "open-welds", "members": ("dash_bar",)},
            {"weld": {"members": "dash_bar", "start": {"open": "outside"}, "end": {"open": "outside"}}},
        ),
    ],
    ids=lambda value: value.get("what") or kind(value),
)
def test_what_is_picked_on_the_page_is_the_same_change(picks, asked, path):
    _, job = opened(path)
    entry = made(job.plan, job.cage, job.shop, PickedTubes(**picks))
    by_page = by_file(job.plan, entry["changes"][0])
    edited = read_plan_text(edit(asked, path).document.text, folder=path.parent)
    assert plan_text(by_page) == plan_text(edited)


def test_a_move_says_what_of_it_the_host_allows():
    asked = {"members": "pillar_brace_left", "places": "start", "by": [10, 0, 0]}
    plan = opened()[1].plan
    was = plan.members["pillar_brace_left"].path[0]
    assert isinstance(was, OnMember)
    before = Before(plan=plan)
    now = Before(plan=by_file(plan, {"move": asked}))
    step = now.at(now.plan.members["pillar_brace_left"].path[0]) - before.at(was)
    # by hand: on a straight host of direction d a step s comes to rest at (s . d) d
    host = before.path("front_leg_left")
    way = next(p for p in host.pieces if abs(p.stop[2] - 1090.0) < 200.0 or p.stop[2] > 1090.0)
    d = (way.stop - way.start) / np.linalg.norm(way.stop - way.start)
    assert step == pytest.approx(10.0 * d[0] * d, abs=0.15)
    share = f"{float(np.linalg.norm(step)):.1f}"
    words = edit({"move": asked}).words
    assert f"moved {share} mm of the 10.0 mm asked, because the joint slides along front leg left" in words


def test_the_host_can_move_instead():
    plan = opened()[1].plan
    asked = {"members": "pillar_brace_left", "places": "start", "by": [10, 0, 0], "host": True}
    altered = apply(plan, ChangeEntry.model_validate({"move": asked}))
    assert altered.plan.members["pillar_brace_left"] == plan.members["pillar_brace_left"]
    old, new = plan.members["front_leg_left"].path, altered.plan.members["front_leg_left"].path
    [moved] = [(a, b) for a, b in zip(old, new, strict=True) if a != b]
    assert np.array(moved[1].at) - moved[0].at == pytest.approx([10.0, 0.0, 0.0])
    assert altered.words.startswith("front")
    assert "with it pillar" in altered.words


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"bend": {"name": "header", "place": 2, "clr": 100}}, "has no bend"),
        ({"bend": {"name": "main_hoop", "place": "end", "clr": 100}}, "wanted a number from 2 to 5"),
        ({"bend": {"name": "main_hoop", "place": 3}}, "does not say what becomes of the bend"),
        ({"bend": {"name": "main_hoop", "place": 3, "straight": True, "clr": 9}}, "takes it out"),
        ({"plate": {"name": "no_such", "thickness": 2}}, "no plate 'no_such'"),
        ({"gusset": {"name": "hoop_corner", "between": ["main_hoop", "headr"]}}, "Did you mean 'header'?"),
        ({"apart": "header"}, "stands on one side only"),
        ({"add": {"points": {"waist": [0, 0, 0]}}}, "have a 'waist' already"),
        ({"split": {"name": "header"}}, "does not say where"),
    ],
)
def test_what_cannot_be_done_is_said(asked, words):
    with pytest.raises(ProblemsFound) as found:
        edit(asked)
    assert words in str(found.value)
