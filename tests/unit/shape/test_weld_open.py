"""Where a weld is left out: words and angles of the plan against directions worked out by hand."""

import math

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.shape.resolve import resolve
from cagewright.shape.types import member_named
from cagewright.shape.weld_open import inside_arcs, open_share
from small_plans import HOOP_FEET, hoop, on_post, plan


def end_of(welds, path=None, which=0, **more):
    """An end of a bar that runs straight right from the post, with the welds given."""
    cage = resolve(on_post(path or [{"on": "post", "up": 0}, [0, 600, 0]], welds=welds, **more))
    return member_named(cage, "bar").ends[which]


def middles(end):
    """Unit directions (k, 3) of the middle of each open arc, square to the tube."""
    across = np.cross(end.cut.axis, end.cut.zero)
    return [math.cos((a + b) / 2) * end.cut.zero + math.sin((a + b) / 2) * across for a, b in end.open]


@pytest.mark.parametrize(
    ("word", "way"), [("top", (0, 0, 1)), ("bottom", (0, 0, -1)), ("front", (-1, 0, 0)), ("rear", (1, 0, 0))]
)
def test_a_word_is_the_quarter_that_faces_that_way(word, way):
    end = end_of({"start": {"open": word}})
    assert middles(end)[0] == pytest.approx(way, abs=1e-9)
    assert open_share(end.open) == pytest.approx(0.25, abs=1e-3)


def test_angles_are_taken_as_on_the_wrap():
    end = end_of({"start": {"open": [30, 120], "throat": 3}})
    assert end.open == (pytest.approx((math.radians(30), math.radians(120))),)
    assert (end.throat, end.bridges) == (3, None)
    assert end_of({"start": {"gap": 1.2}}).bridges == 1.2
    over_zero = end_of({"start": {"open": [[330, 20]]}})
    assert open_share(over_zero.open) == pytest.approx(50 / 360, abs=1e-3)


def test_parts_may_overlap():
    end = end_of({"start": {"open": ["top", "rear", "top"]}})
    assert open_share(end.open) == pytest.approx(0.5, abs=2e-3)


def doorbars(welds):
    foot = {"at": [-600, -640, 500], "on": "rigid", "plate": [100, 100, 3], "normal": [1, 0, 0]}
    bar = {
        "role": "doorbar",
        "tube": "bar",
        "path": [{"on": "hoop", "side": "left", "up": 500}, {"foot": "far"}],
        "mirror": "other",
        "welds": welds,
    }
    return resolve(
        plan(
            {"hoop": hoop(), "bar": bar},
            feet={**HOOP_FEET, "far": {**foot, "mirror": "far_right"}},
        )
    )


def test_outside_is_away_from_the_middle_on_both_sides():
    cage = doorbars({"start": {"open": "outside"}})
    left, right = (middles(member_named(cage, n).ends[0])[0] for n in ("bar", "other"))
    assert left[1] < -0.9 < 0.9 < right[1]


def test_a_twin_has_its_angles_the_other_way_round():
    cage = doorbars({"start": {"open": [20, 80]}})
    left, right = (member_named(cage, n).ends[0] for n in ("bar", "other"))
    assert middles(right)[0] == pytest.approx(middles(left)[0] * [1, -1, 1], abs=1e-9)


def test_open_and_welded_make_the_whole():
    phi = np.linspace(0, 2 * math.pi, 721)[:-1]
    inside = inside_arcs(phi, ((0.5, 1.5),))
    rest = inside_arcs(phi, ((1.5, 0.5 + 2 * math.pi),))
    assert np.all(inside + rest == 1)


@pytest.mark.parametrize(
    ("welds", "said"),
    [
        ({"start": {"open": "outside"}}, "centre plane"),
        ({"start": {"open": ["top", "bottom", "front", "rear"]}}, "no weld is left"),
        ({"start": {"open": [[40, 40]]}}, "starts where it stops"),
    ],
)
def test_what_cannot_be_is_told(welds, said):
    with pytest.raises(ProblemsFound, match=said):
        end_of(welds)


def test_a_tube_that_runs_that_way_has_no_such_side():
    upper = {"at": [0, 0, 900], "on": "rigid", "plate": [100, 100, 3], "normal": [0, 0, -1]}
    bar = {"role": "diagonal", "tube": "bar", "path": [{"foot": "low"}, {"foot": "high"}]}
    with pytest.raises(ProblemsFound, match="no side of it faces"):
        resolve(
            plan(
                {"bar": {**bar, "welds": {"start": {"open": "top"}}}}, feet={"low": [0, 0, 0], "high": upper}
            )
        )
