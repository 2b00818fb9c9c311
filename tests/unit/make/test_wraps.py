"""Wraps: what the paper says is where the steel is.

Paper is put back on the tube by hand: x = r phi along the outside, y along the tube, printed side out.
"""

import math
from dataclasses import replace

import numpy as np
import pytest

import handmade
from cagewright.base.curves import Arc
from cagewright.base.drawing import label_corners
from cagewright.base.vectors import cross, dot, length
from cagewright.make.placing import overlap
from cagewright.make.wrapdraw import once_round, wrap_drawing
from cagewright.make.wraps import cut_wrap, inside_of_bend, nearest_bend, sawn_square, wraps_of
from cagewright.shape.types import Cope, FlatCut, member_named

CAGE = handmade.cage()
WRAPS = {(w.member, w.which): w for w in wraps_of(CAGE)}


def end_of(name, which):
    return member_named(CAGE, name).ends[0 if which == "start" else 1]


def on_the_tube(cut, radius, xy):
    """Points of the paper (n, 2) put on the tube (n, 3), and the unit out of the tube there."""
    phi = xy[:, 0] / radius
    out = np.cos(phi)[:, None] * cut.zero + np.sin(phi)[:, None] * cross(cut.axis, cut.zero)
    return cut.origin + radius * out + xy[:, 1, None] * cut.axis, out


def cut_line(wrap):
    """The longest stroke on the cut layer, as drawn."""
    strokes = [s for s in wrap_drawing(wrap).strokes if s.layer == "cut"]
    return max(strokes, key=lambda s: len(s.points)).points


@pytest.mark.parametrize(
    ("name", "which", "way"),
    [
        ("harness_bar", "start", handmade.LEAN),
        ("harness_bar", "end", handmade.OTHER),
        ("diagonal", "start", handmade.UPRIGHT),
        ("diagonal", "end", handmade.OTHER),
    ],
)
def test_the_drawn_cut_put_on_the_tube_lies_on_the_main(name, which, way):
    """Every point is the main's radius (22.5 mm) from the main's axis, which runs the offset to one side."""
    wrap, cut = WRAPS[name, which], end_of(name, which).cut
    points, _ = on_the_tube(cut, 19.0, cut_line(wrap))
    on_axis = cut.origin - cut.offset * cross(cut.axis, cut.zero)
    assert length(np.cross(points - on_axis, way)) == pytest.approx(22.5, abs=1e-3)


def test_printed_side_is_out_and_the_top_is_up_the_tube():
    """Right on the paper crossed with up on the paper points out of the tube, as seen by the reader."""
    cut = end_of("harness_bar", "start").cut
    at = np.array([[30.0, 10.0], [30.001, 10.0], [30.0, 10.001]])
    (here, right, up), out = on_the_tube(cut, 19.0, at)
    reader = cross((right - here) / 0.001, (up - here) / 0.001)
    assert float(dot(reader, out[0])) == pytest.approx(1.0, abs=1e-4)
    middle = member_named(CAGE, "harness_bar").path.pieces[0]
    assert float(dot(up - here, middle.direction)) > 0.0


def test_paper_goes_once_round_and_ends_where_it_began():
    wrap = WRAPS["diagonal", "start"]
    line = cut_line(wrap)
    assert once_round(wrap) == pytest.approx(math.pi * 38.0)
    assert np.ptp(line[:, 0]) == pytest.approx(math.pi * 38.0)
    assert line[0, 1] == line[-1, 1]


def test_thick_paper_is_laid_out_longer():
    """The middle of 0.2 mm paper lies 0.1 mm outside: 0.2 pi mm more."""
    thick = next(w for w in wraps_of(CAGE, paper_thickness=0.2) if w.member == "diagonal")
    assert once_round(thick) - once_round(WRAPS["diagonal", "start"]) == pytest.approx(0.2 * math.pi)


def test_a_plane_cut_unrolls_to_a_cosine_on_the_plane():
    wrap, cut = WRAPS["backstay_left", "end"], end_of("backstay_left", "end").cut
    points, _ = on_the_tube(cut, 19.0, cut_line(wrap))
    assert np.abs(dot(points - cut.origin, cut.normal)).max() < 1e-9
    expected = -19.0 * math.tan(cut.tilt) * np.cos(wrap.phi)
    assert wrap.outside == pytest.approx(expected)


def test_a_plane_cut_is_longest_at_its_zero():
    wrap = WRAPS["backstay_left", "end"]
    assert wrap.outside.argmin() in (0, len(wrap.outside) - 1)
    assert wrap.long_point == pytest.approx(wrap.outside.min())


def test_a_square_end_needs_no_wrap_and_a_slanted_one_does():
    assert ("main_hoop", "start") not in WRAPS
    assert ("front_leg_left", "start") in WRAPS
    square = end_of("main_hoop", "start").cut
    assert isinstance(square, FlatCut)
    assert sawn_square(square, 45.0)
    # half a millimetre across a 45 mm tube is 0.637 degrees
    assert sawn_square(replace(square, tilt=math.radians(0.63)), 45.0)
    assert not sawn_square(replace(square, tilt=math.radians(0.64)), 45.0)


def test_every_other_end_has_a_wrap():
    ends = [(m.name, e.which) for m in CAGE.members for e in m.ends if (m.name) != "main_hoop"]
    assert list(WRAPS) == ends


@pytest.mark.parametrize("key", list(WRAPS), ids="-".join)
def test_reference_edge_is_a_round_distance_from_the_long_point(key):
    wrap = WRAPS[key]
    distance = wrap.edge - wrap.long_point
    assert distance / 5.0 == pytest.approx(round(distance / 5.0))
    assert wrap.edge - wrap.outside.max() >= 42.0 - 1e-9
    assert wrap.long_point == pytest.approx(end_of(*key).trim)


def test_reference_edge_is_a_round_number_of_half_inches_on_an_inch_tape():
    for wrap in wraps_of(handmade.cage(units="in")):
        halves = (wrap.edge - wrap.long_point) / 12.7
        assert halves == pytest.approx(round(halves))
        assert not any(" mm" in f and "(+0.0" in f for f in wrap.facts)


def test_edge_is_where_it_says_along_the_tube():
    """Edge, then the told length, then the bend's nearer mark: counted along the straight from the end."""
    wrap, leg = WRAPS["front_leg_left", "start"], member_named(CAGE, "front_leg_left")
    told = next(f for f in wrap.facts if "nearer mark of bend 1" in f)
    assert float(told.split(": ")[1].split(" ")[0]) == pytest.approx(
        leg.bends[0].start - wrap.edge, abs=0.051
    )
    wrap = WRAPS["front_leg_left", "end"]
    told = next(f for f in wrap.facts if "nearer mark of bend 2" in f)
    left = leg.path.length - leg.bends[1].stop - wrap.edge
    assert float(told.split(": ")[1].split(" ")[0]) == pytest.approx(left, abs=0.051)


def test_on_a_straight_tube_the_edge_is_told_from_the_far_long_point():
    wrap, bar = WRAPS["harness_bar", "start"], member_named(CAGE, "harness_bar")
    told = next(f for f in wrap.facts if "end's long point" in f)
    finished = bar.length - (wrap.edge - wrap.long_point)
    assert float(told.split(": ")[1].split(" ")[0]) == pytest.approx(finished, abs=0.051)


@pytest.mark.parametrize("which", ["start", "end"])
def test_the_bend_line_points_at_the_inside_of_the_nearest_bend(which):
    """A point on that line is nearer to the bend's centre than one anywhere else round the tube."""
    leg, wrap = member_named(CAGE, "front_leg_left"), WRAPS["front_leg_left", which]
    (line,) = [one for one in wrap.lines if one.kind == "bend"]
    arcs = [p for p in leg.path.pieces if isinstance(p, Arc)]
    centre = arcs[0 if which == "start" else -1].centre
    phi = np.linspace(0.0, 2.0 * np.pi, 721)
    points, _ = on_the_tube(
        end_of("front_leg_left", which).cut, 19.0, np.column_stack([19.0 * phi, 0.0 * phi])
    )
    best = phi[np.argmin(length(points - centre))]
    assert math.remainder(best - line.phi, 2.0 * math.pi) == pytest.approx(0.0, abs=0.005)


def test_on_a_straight_tube_the_line_is_the_zero_of_the_other_cut():
    wrap, bar = WRAPS["diagonal", "start"], member_named(CAGE, "diagonal")
    (line,) = wrap.lines
    assert line.kind == "other end"
    cut = bar.ends[0].cut
    out = math.cos(line.phi) * cut.zero + math.sin(line.phi) * cross(cut.axis, cut.zero)
    assert out == pytest.approx(bar.ends[1].cut.zero, abs=1e-9)


def test_the_line_toward_the_main_s_bend_lies_in_the_plane_of_its_centre():
    wrap, cut = WRAPS["front_leg_left", "end"], end_of("front_leg_left", "end").cut
    (line,) = [one for one in wrap.lines if one.kind == "main"]
    out = math.cos(line.phi) * cut.zero + math.sin(line.phi) * cross(cut.axis, cut.zero)
    arcs = [p for p in handmade.hoop().path.pieces if isinstance(p, Arc)]
    near = min(arcs, key=lambda a: float(length(a.centre - cut.origin)))
    way = near.centre - cut.origin
    assert float(dot(out, way)) > 0.0
    assert float(dot(cross(cut.axis, out), way)) == pytest.approx(0.0, abs=1e-9)


def test_bends_are_numbered_from_the_end_that_is_bent_first():
    swapped = wraps_of(CAGE, from_end=frozenset({"front_leg_left"}))
    wrap = next(w for w in swapped if (w.member, w.which) == ("front_leg_left", "end"))
    assert any(line.text == "inside of bend 1" for line in wrap.lines)
    assert nearest_bend(member_named(CAGE, "front_leg_left"), "end")[0] == 2


def test_asymmetric_copes_say_which_side_is_up_and_by_how_much():
    assert any("NOT SYMMETRIC, 4.2 mm" in w for w in WRAPS["front_leg_left", "end"].warnings)
    assert WRAPS["diagonal", "start"].warnings == ()
    words = " ".join(t.text for t in wrap_drawing(WRAPS["front_leg_left", "end"]).labels)
    assert "THIS SIDE UP: NOT SYMMETRIC, 4.2 mm" in words


def test_a_bent_main_is_told():
    assert any("the main is bent" in w for w in WRAPS["front_leg_left", "end"].warnings)
    assert not any("bent" in w for w in WRAPS["diagonal", "start"].warnings)


def test_paper_that_runs_into_a_bend_says_so():
    leg = member_named(CAGE, "front_leg_left")
    short = replace(leg, bends=(replace(leg.bends[0], start=30.0), *leg.bends[1:]))
    wrap = wraps_of(replace(CAGE, members=(handmade.hoop(), short)))[0]
    over = wrap.edge - 30.0
    assert any(f"runs {over:.1f} mm into bend 1" in w for w in wrap.warnings)
    assert not any("nearer mark" in f for f in wrap.facts)


def test_walls_that_meet_no_main_leave_a_gap_in_the_line():
    cut = end_of("diagonal", "start").cut
    assert isinstance(cut, Cope)
    gap = cut.outside.copy()
    gap[40:50] = np.nan
    wrap = cut_wrap(replace(cut, outside=gap, inside=gap), od=38.0, wall=2.5, units="mm")
    runs = [s for s in wrap_drawing(wrap).strokes if s.layer == "inside"]
    assert len(runs) == 2
    assert all(np.isfinite(s.points).all() for s in wrap_drawing(wrap).strokes)


@pytest.mark.parametrize("key", list(WRAPS), ids="-".join)
def test_all_text_stands_on_the_paper_that_is_kept(key):
    """Above the cut, below the reference edge, between the paper's sides; only the tab's word is outside."""
    wrap = WRAPS[key]
    for label in wrap_drawing(wrap).labels:
        corners = label_corners(label)
        if label.text.startswith("tab"):
            continue
        assert corners[:, 1].max() <= wrap.edge
        assert corners[:, 1].min() >= wrap.outside.max() - 0.2
        assert corners[:, 0].min() >= 0.0
        assert corners[:, 0].max() <= once_round(wrap)


@pytest.mark.parametrize("key", list(WRAPS), ids="-".join)
def test_no_text_runs_into_other_text(key):
    boxes = [label_corners(replace(t, height=0.82 * t.height)) for t in wrap_drawing(WRAPS[key]).labels]
    clashing = [(i, j) for i in range(len(boxes)) for j in range(i) if overlap(boxes[i], boxes[j])]
    assert clashing == []


def test_a_straight_tube_has_no_bend_to_be_inside_of():
    bar = member_named(CAGE, "diagonal")
    assert inside_of_bend(bar, bar.ends[0]) is None


def test_long_names_still_fit_once_round():
    wrap = replace(WRAPS["diagonal", "start"], member="m" * 60)
    (name,) = [t for t in wrap_drawing(wrap).labels if t.text == "m" * 60]
    assert len(name.text) * name.height * 0.8258 <= once_round(wrap)


@pytest.mark.parametrize(
    ("away", "expected"),
    [
        ([], None),
        (range(40, 49), "from 100° to 120°"),
        ([*range(140, 144), *range(5)], "from 350° to 10°"),
        ([10, *range(40, 49)], "from 25° to 25° and 100° to 120°"),
        (range(144), "the wall meets no main"),
    ],
)
def test_walls_that_meet_no_main_are_told(away, expected):
    """144 points round the tube, 2.5 degrees apart."""
    cut = end_of("diagonal", "start").cut
    on = cut.on.copy()
    on[list(away)] = -1
    warnings = cut_wrap(replace(cut, on=on), od=38.0, wall=2.5, units="mm").warnings
    assert (expected in " ".join(warnings)) if expected else warnings == ()
