"""Move, bridge or cut: sections by closed forms, the least move, and no row for cutting what is never cut."""

import math
from itertools import product
from typing import get_args

import numpy as np
import pytest

from cagewright.check.body.obstacles import Obstacle, bridge_for, clears_at, obstacles_of
from cagewright.job import obstacles
from cagewright.job.obstacles import obstacles_answer, shares
from cagewright.job.opening import job_of
from cagewright.plan.text import parse
from cagewright.plan.types import MetalMark
from cagewright.shape.mesh import mesh_of
from cagewright.shape.thin_walled import WallSection, box_walls, cut_out, figures_of, section_of_scan
from cagewright.shape.trims import ADDED, metal_known
from fitted import EXAMPLES, brackwater

NEVER = [m for m in get_args(MetalMark) if m != "trimmable"]


# --- sections, by the thin-walled formulas of any handbook (Roark, Timoshenko; from memory)


def ring(radius, thickness, start=0.0, stop=2 * math.pi, n=720):
    turn = np.linspace(start, stop, n + 1)
    at = radius * np.column_stack([np.cos(turn), np.sin(turn)])
    closed = at[:-1] if stop - start > 6.28 else None
    return WallSection(walls=np.stack([at[:-1], at[1:]], axis=1), thickness=thickness, closed=closed)


def test_a_box():
    """t h^3 / 6 + t b h^2 / 2 each way; torsion 2 t b^2 h^2 / (b + h) (Bredt)."""
    b, h, t = 60.0, 120.0, 1.2
    found = figures_of(box_walls(b, h, t))
    assert found.area == pytest.approx(2 * t * (b + h))
    assert found.major == pytest.approx(t * h**3 / 6 + t * b * h**2 / 2)
    assert found.minor == pytest.approx(t * b**3 / 6 + t * h * b**2 / 2)
    assert found.torsion == pytest.approx(2 * t * b**2 * h**2 / (b + h))


def test_a_tube_whole_and_slit():
    """pi r^3 t and 2 pi r^3 t; slit lengthwise its torsion is 2 pi r t^3 / 3."""
    r, t = 50.0, 1.5
    whole = figures_of(ring(r, t))
    assert whole.major == pytest.approx(math.pi * r**3 * t, rel=1e-4)
    assert whole.torsion == pytest.approx(2 * math.pi * r**3 * t, rel=1e-3)
    slit = figures_of(cut_out(ring(r, t), np.array([r, 0.0]), 0.05))
    assert slit.area == pytest.approx(whole.area, rel=1e-3)
    assert slit.torsion == pytest.approx(2 * math.pi * r * t**3 / 3, rel=1e-3)


def test_half_a_ring():
    """About its own middle (pi / 2 - 4 / pi) r^3 t across the diameter's square, pi r^3 t / 2 along it."""
    r, t = 40.0, 1.0
    found = figures_of(ring(r, t, 0.0, math.pi))
    assert found.major == pytest.approx(math.pi * r**3 * t / 2, rel=1e-3)
    assert found.minor == pytest.approx((math.pi / 2 - 4 / math.pi) * r**3 * t, rel=1e-3)


def test_what_a_cut_takes_is_what_lies_within_its_reach():
    """A cut of 20 mm round the middle of a box's side takes 40 mm of it, and closes no cell any more."""
    box = box_walls(60.0, 120.0, 1.0)
    cut = cut_out(box, np.array([30.0, 0.0]), 20.0)
    assert figures_of(cut).area == pytest.approx(360.0 - 40.0)
    assert cut.closed is None
    assert cut_out(box, np.array([300.0, 0.0]), 20.0).closed is not None
    told = shares(box, cut, "a test")
    assert told.area.value == pytest.approx(320.0 / 360.0)
    assert told.torsion.said == "under 1 %"


def test_a_scan_is_cut_square_to_where_the_metal_runs():
    low, high = np.array([0.0, -30.0, -60.0]), np.array([500.0, 30.0, 60.0])
    ends = np.array([low, high])
    corners = np.array([[ends[i, 0], ends[j, 1], ends[k, 2]] for i, j, k in product((0, 1), repeat=3)])
    quads = [(0, 1, 5, 4), (2, 3, 7, 6), (0, 2, 6, 4), (1, 3, 7, 5)]
    faces = np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))])
    mesh = mesh_of(corners, faces)
    found = section_of_scan(mesh, np.array([250.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]), 200.0, 1.0)
    assert figures_of(found).area == pytest.approx(2 * (60.0 + 120.0))
    assert figures_of(found).major == pytest.approx(120.0**3 / 6 + 60.0 * 120.0**2 / 2)
    # only what lies within the reach: of each long side what a circle of 50 mm has of it
    near = section_of_scan(mesh, np.array([250.0, 0.0, 0.0]), np.array([1.0, 0.0, 0.0]), 50.0, 1.0)
    assert figures_of(near).area == pytest.approx(2 * 2 * (50.0**2 - 30.0**2) ** 0.5)


# --- the least move, and the bridge


def test_the_move_is_as_far_as_clears_it_and_no_further():
    """A tube that clears by half of what it is moved: 20 mm deep and 5 to spare take 50 mm."""
    asked = []

    def built(by):
        asked.append(by)
        return None, by

    found = clears_at(built, lambda by: 20.0 - 0.5 * by, 20.0)
    assert found == pytest.approx(50.0, abs=1.5)
    assert 20.0 - 0.5 * found <= -ADDED + 0.5
    assert clears_at(built, lambda _: 20.0, 20.0) is None


def test_a_bridge_is_as_high_as_the_step_and_as_wide_as_the_move():
    foot = next(f for f in brackwater().cage.feet if f.name == "front_left")
    found = bridge_for(foot, 64.0, float(foot.point[2]) - 60.0)
    long, wide, sheet = foot.plate
    assert found.size == pytest.approx((long, wide + 64.0, 60.0))
    # folded from one blank, a flap as high as the step on each side
    assert found.blank == pytest.approx((long + 120.0, wide + 64.0 + 120.0))
    assert found.sheet == sheet
    assert bridge_for(foot, 64.0, None).size[2] == 4.0 * sheet


# --- a row for each mark


def job_with(mark):
    text = (EXAMPLES / "brackwater.yaml").read_text(encoding="utf-8")
    metal = (
        f"  metal:\n    sill_box: {{mark: {mark}, path: [[450, -660, 320], [900, -660, 320]], reach: 60, "
        "box: [60, 120], thickness: 1.2}\n"
    )
    at = text.index("shell:\n") + len("shell:\n")
    return job_of(parse(text[:at] + metal + text[at:], file="metal.yaml"), EXAMPLES / "metal.yaml")


@pytest.fixture(autouse=True)
def quick(monkeypatch):
    """Findings and torch are others' answers, and take seconds."""
    monkeypatch.setattr(obstacles, "findings", lambda job: type("F", (), {"headline": job.cage.revision})())
    monkeypatch.setattr(obstacles, "_torch", lambda *_: None)


@pytest.mark.parametrize("mark", NEVER)
def test_a_piece_marked_so_gets_no_row_for_cutting(mark):
    (row,) = obstacles_answer(job_with(mark), tube="front_leg_left").obstacles
    assert mark in row.what
    assert [w.kind for w in row.ways] == ["as planned", "moved in", "inboard with a bridge"]


def test_what_is_marked_trimmable_is_cut_by_its_template_and_told_what_that_takes():
    answer = obstacles_answer(job_with("trimmable"), tube="front_leg_left")
    (row,) = answer.obstacles
    cut = row.ways[-1]
    assert cut.kind == "cut"
    assert cut.said == "cut it by its template in the list of trims"
    assert 0.5 < cut.lost.area.value < 0.95
    assert cut.lost.torsion.value < 0.005
    assert "cutting is safe" in answer.cautions[0]
    assert not any("safe" in w.said for w in row.ways)
    # the tube moved in is another cage, and its helmet gap and findings are that cage's
    as_planned, moved = row.ways[0], row.ways[1]
    assert moved.findings != as_planned.findings
    assert moved.by.value == pytest.approx(row.depth.value + ADDED, abs=1.0)
    assert row.ways[2].bridge.size[1] > 110.0


def test_what_nobody_marked_is_ask_first():
    job = job_with("trimmable")
    o = Obstacle(
        member="front_leg_left", metal="", mark="", standing="ask first", at=np.array([530.0, -650.0, 320.0]),
        depth=12.0, way=np.array([0.0, 1.0, 0.0]), foot="front_left",
    )  # fmt: skip
    planned = obstacles._way(job, o, "as planned", "it stays")
    cut = obstacles._cut(job, o, planned)
    assert (cut.kind, cut.said) == ("cut", "ask first whether it may be cut")


def test_the_tube_that_stands_in_it_is_the_one_told():
    cage = job_with("rail").cage
    found = obstacles_of(cage, (), metal_known(cage))
    leg = next(o for o in found if o.member == "front_leg_left")
    assert leg.standing == "never"
    assert leg.foot == "front_left"
    assert leg.way == pytest.approx([0.0, 1.0, 0.0])
    # the leg's axis is 20 mm from the box's line, the box 120 high, the tube 38 wide: 60 + 19 - 20
    assert leg.depth == pytest.approx(59.0, abs=0.5)
    assert not any(o.member.endswith("_right") for o in found)


@pytest.mark.slow
def test_the_ways_are_pushed_side_by_side_with_what_the_model_can_tell():
    answer = obstacles_answer(job_with("rail"), tube="front_leg_left", pushes=["side-left"])
    (study,) = answer.pushed
    assert [r.name for r in study.rows] == ["as planned", "moved in", "inboard with a bridge"]
    assert not any(r.problems for r in study.rows)
    assert study.pushes[0].name == "side-left"
