"""Bend sketches: the sizes told are those of the points the tube was made from, and they can be read."""

import math
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

import handmade
from cagewright.base.drawing import label_corners
from cagewright.base.vectors import length
from cagewright.make.placing import overlap
from cagewright.make.scales import SCALES, size_words
from cagewright.make.sketch import bend_sketch, first_frame, flat

MEMBERS = {m.name: m for m in handmade.members()}
LEG, HOOP, BAR = MEMBERS["front_leg_left"], MEMBERS["main_hoop"], MEMBERS["diagonal"]


def words(drawing):
    return [t.text for t in drawing.labels]


@pytest.mark.parametrize("member", MEMBERS.values(), ids=MEMBERS)
@pytest.mark.parametrize("box", [(178.0, 190.0), (150.0, 140.0)])
def test_both_views_fit_the_box_at_one_plain_scale(member, box):
    views = bend_sketch(member, box=box)
    assert len(views) == 2
    assert views[0].scale == views[1].scale
    assert any(views[0].scale == pytest.approx(1.0 / s) for s in SCALES)
    assert max(v.box[2] - v.box[0] for v in views) <= box[0]
    assert sum(v.box[3] - v.box[1] for v in views) <= box[1]
    assert f"scale 1:{1.0 / views[0].scale:g}" in " ".join(words(views[0]))


@pytest.mark.parametrize("member", MEMBERS.values(), ids=MEMBERS)
@pytest.mark.parametrize("units", ["mm", "in"])
def test_no_words_run_into_words_and_all_are_in_the_box(member, units):
    for view in bend_sketch(member, units=units):
        boxes = [label_corners(replace(t, height=0.9 * t.height)) for t in view.labels]
        clashing = [
            (view.labels[i].text, view.labels[j].text)
            for i in range(len(boxes)) for j in range(i) if overlap(boxes[i], boxes[j])
        ]  # fmt: skip
        assert clashing == []
        cloud = np.concatenate(boxes + [s.points for s in view.strokes])
        assert (cloud.min(axis=0) >= np.array(view.box[:2]) - 1e-6).all()
        assert (cloud.max(axis=0) <= np.array(view.box[2:]) + 1e-6).all()


def test_legs_are_told_from_end_to_apex_to_apex_to_end():
    """Straight-line distances between the points the hoop was drawn through; its ends are cut square."""
    points = np.array(handmade.HOOP_POINTS, dtype=float)
    told = words(bend_sketch(HOOP)[0]) + words(bend_sketch(HOOP)[1])
    for a, b in pairwise(points):
        size = f"{float(length(b - a)):.1f}"
        assert size in told or f"{size} true" in told


def test_ends_are_told_to_the_long_point():
    """The leg's coped end stops short of its last point by the trim."""
    points = np.array(handmade.LEG_POINTS, dtype=float)
    last = float(length(points[-1] - points[-2])) - LEG.ends[1].trim
    told = " ".join(words(bend_sketch(LEG)[0]))
    assert f"{last:.1f}" in told


def test_a_straight_tube_is_told_its_finished_length():
    assert f"{BAR.length:.1f}" in words(bend_sketch(BAR)[0])
    assert not any("bend" in w for view in bend_sketch(BAR) for w in words(view))


def test_angles_and_radii_are_those_of_the_bends():
    told = " ".join(words(bend_sketch(LEG)[0]))
    for bend in LEG.bends:
        assert f"{math.degrees(bend.angle):.1f}° R114" in told


def test_a_leg_seen_short_is_marked():
    """The hoop leans back: with its first bend flat on the paper the top is not."""
    first, second = bend_sketch(HOOP)
    assert "1000.0 true" in words(first)
    assert "1000.0" in words(second)


def test_bends_are_numbered_from_the_end_that_goes_in_first():
    from_start, from_end = bend_sketch(LEG), bend_sketch(LEG, starts_at="end")
    bends = [f"{math.degrees(b.angle):.1f}° R114" for b in LEG.bends]

    def numbered(views):
        labels = views[0].labels
        return {t.text: labels[i + 1].text for i, t in enumerate(labels) if t.text.startswith("bend ")}

    assert numbered(from_start) == {"bend 1": bends[0], "bend 2": bends[1]}
    assert numbered(from_end) == {"bend 2": bends[0], "bend 1": bends[1]}


def test_rotation_words_are_those_of_the_bend_sheet():
    assert any("1.8° clockwise" in w for w in words(bend_sketch(LEG)[1]))


def test_the_starting_end_is_at_the_left_and_the_bulk_above():
    for starts_at, first, last in (("start", 0, -1), ("end", -1, 0)):
        view = first_frame(HOOP, starts_at)
        points = np.array(handmade.HOOP_POINTS, dtype=float)
        x = points @ view.right
        assert x[first] < x[last]
        assert (points[2:4] @ view.up).mean() > (points[[0, -1]] @ view.up).mean()
        assert abs(view.toward @ HOOP.bends[0 if starts_at == "start" else -1].normal) == pytest.approx(1.0)


def test_flat_tubes_are_told_apart():
    level = handmade.member(
        "flat", "doorbar", handmade.BAR, ((0, 0, 0), (300, 0, 0), (600, 100, 0), (900, 100, 0)), 114.0,
        *[(e.cut, None, None) for e in BAR.ends],
    )  # fmt: skip
    assert flat(level)
    assert not flat(LEG)
    assert "flat, all bends in one plane" in " ".join(words(bend_sketch(level)[1]))


@pytest.mark.parametrize(
    ("mm", "units", "expected"),
    [
        (517.53, "mm", "517.5"),
        (25.4 * 20.375, "in", '20 3/8"'),
        (25.4 * 20.375 + 0.3, "in", '20 3/8"'),
        (517.53, "decimal in", '20.375"'),
    ],
)
def test_sizes_read_as_on_the_tape(mm, units, expected):
    assert size_words(mm, units) == expected


def test_a_box_too_small_for_the_words_is_overrun_rather_than_unreadable():
    views = bend_sketch(HOOP, box=(150.0, 90.0))
    assert views[0].scale >= 1.0 / 50.0
    assert all(t.height >= 2.5 for view in views for t in view.labels)
