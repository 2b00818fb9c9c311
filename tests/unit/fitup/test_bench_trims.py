"""What metal would have to go for more to be joined on the bench, by the search for a way in itself.

A frame a metre high behind an opening that a panel of the scan closes: with the whole panel gone it goes in,
with half of it gone it is provably too large.
"""

from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest
from test_carry import quads

from cagewright.fitup import carry
from cagewright.fitup.bench_first import BenchChoice
from cagewright.fitup.way import way_in
from cagewright.job.bench_first import _larger
from cagewright.shape.cloud import cloud_of
from cagewright.shape.mesh import mesh_of
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan
from cagewright.shape.shell import shell_of
from small_plans import hoop, plan

EDGE = np.array([(-250.0, -1000, 0), (250, -1000, 0), (250, -1000, 1400), (-250, -1000, 1400)])
"""The opening; behind it, nearer than a tube is thick, the panel."""
PANEL = quads([(-700, -960, -100), (700, -960, -100), (700, -960, 1500), (-700, -960, 1500)])
HALVES = {"low": 300, "high": 1100}
"""Height of the middle of each half of the panel, mm."""
FRAME = frozenset({"hoop", "low_bar"})


@pytest.fixture(autouse=True)
def short(monkeypatch):
    """The way in is straight: a search that has not found it soon never does."""
    monkeypatch.setattr(carry, "way_in", partial(way_in, tries=300))


def told(marks, why="no way found"):
    """What is said of the frame where the halves of the panel are marked so."""
    metal = {
        name: {"mark": mark, "path": [[-700, -960, HALVES[name]], [700, -960, HALVES[name]]], "reach": 401}
        for name, mark in marks.items()
    }
    rows = {
        "hoop": hoop(path=[{"foot": "left"}, [0, -500, 1200], [0, 500, 1200], {"foot": "right"}]),
        "low_bar": (
            "bar",
            [{"on": "hoop", "side": "left", "up": 400}, {"on": "hoop", "side": "right", "up": 400}],
        ),
    }
    more = {"shell": {"metal": metal}} if metal else {}
    cage = resolve(plan(rows, feet={"left": [0, -500, 200], "right": [0, 500, 200]}, **more))
    mesh = mesh_of(PANEL.reshape(-1, 3), np.arange(3 * len(PANEL)).reshape(-1, 3))
    scan = Scan(name="panel", mesh=mesh, cloud=cloud_of(mesh), watertight=False, residuals=(), notes=())
    choice = BenchChoice(
        tubes=("hoop",), worth=0.0, most=1.0, tried=1, proved=True, larger=((FRAME, why),)
    )  # fmt: skip
    lines = (SimpleNamespace(points=EDGE),)
    (found,) = _larger(SimpleNamespace(cage=cage), shell_of(cage, scan), lines, choice)
    assert found.about == ("low_bar",)
    assert found.words.startswith("Also low bar: ")
    return found.words.removeprefix("Also low bar: ")


def test_with_the_metal_gone_that_is_marked_trimmable_more_is_joined():
    said = told({"low": "trimmable", "high": "trimmable"})
    assert said == "it goes in with low and high trimmed (marked as trimmable)."


@pytest.mark.parametrize("marks", [{}, {"low": "trimmable"}, {"high": "trimmable"}])
def test_of_metal_that_nobody_has_marked_it_says_ask_first(marks):
    assert told(marks) == "it goes in with metal cut that nobody has marked: ask first."


@pytest.mark.parametrize("mark", ["seam", "anchorage", "rail", "pillar"])
def test_metal_that_is_never_cut_is_never_taken_out(mark):
    assert told({"low": mark, "high": "trimmable"}) == "no way in was found with it."


def test_what_is_proven_never_to_go_in_is_not_looked_at_again():
    assert told({"low": "trimmable", "high": "trimmable"}, why="never") == "never goes in with it."
