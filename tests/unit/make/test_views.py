"""Views of the cage: what is near hides what is far, and every tube is accounted for."""

from dataclasses import replace

import numpy as np
import pytest

import handmade
from aboard import aboard
from cagewright.base.drawing import label_corners
from cagewright.base.names import shown
from cagewright.base.vectors import ACROSS, BACK, UP
from cagewright.make.hidden import lengths_of, seen_tubes, visible
from cagewright.make.projection import frame
from cagewright.make.views import FRAMES, cage_view, key_table
from cagewright.plan.types import PersonEntry

CAGE = handmade.cage()


def straight(name, a, b, tube=handmade.BAR):
    along = np.array(b, float) - np.array(a, float)
    ends = [
        (handmade.flat(p, s * along, s * along, tube.radius), None, None) for p, s in ((a, 1.0), (b, -1.0))
    ]
    return handmade.member(name, "doorbar", tube, (a, b), 0.0, *ends)


NEAR = straight("near", (0, -400, 0), (0, -400, 1000))
FAR = straight("far", (-500, 0, 500), (500, 0, 500))
CROSS = replace(CAGE, members=(NEAR, FAR), joints=(), feet=(), lines=(), people=())


def tube_runs(drawing):
    return [s.points for s in drawing.strokes if s.layer == "tube"]


def test_a_near_tube_hides_its_width_of_a_far_one():
    """From the left the upright tube stands before the level one: 38 mm of each edge are hidden."""
    view = cage_view(CROSS, "side")
    level = [r for r in tube_runs(view) if np.ptp(r[:, 1]) < 1e-9 and np.ptp(r[:, 0]) > 5.0]
    for y in {round(float(r[0, 1]), 6) for r in level}:
        row = sorted((r for r in level if abs(r[0, 1] - y) < 1e-6), key=lambda r: r[:, 0].min())
        assert len(row) == 2
        gap = float(row[1][:, 0].min() - row[0][:, 0].max()) / view.scale
        assert gap == pytest.approx(38.0, abs=2.0 * 1.6 / view.scale)  # tested every 1.6 mm on the paper


def test_from_the_other_side_the_same_tube_is_whole():
    seen = replace(CROSS, members=(straight("near", (0, 400, 0), (0, 400, 1000)), FAR))
    view = cage_view(seen, "side")
    level = [r for r in tube_runs(view) if np.ptp(r[:, 1]) < 1e-9 and np.ptp(r[:, 0]) > 5.0]
    assert len(level) == 2
    assert all(np.ptp(r[:, 0]) / view.scale == pytest.approx(1000.0) for r in level)


def test_near_faces_are_painted_last():
    view = cage_view(CROSS, "side")
    faces = [s for s in view.strokes if s.layer == "area" and s.fill == "tone"]
    assert np.ptp(faces[-1].points[:, 1]) > np.ptp(faces[-1].points[:, 0])
    assert faces[0].fade > faces[-1].fade


def test_visible_points_by_hand():
    view = frame(BACK, UP)
    seen = seen_tubes((NEAR, FAR), view, straight=50.0)
    tubes = lengths_of((NEAR, FAR), seen)
    points = np.array([[0.0, 500.0], [18.5, 500.0], [19.5, 500.0], [100.0, 500.0]])
    behind, front = np.full(4, -600.0), np.full(4, 900.0)
    assert visible(points, behind, tubes, 1.0).tolist() == [False, False, False, False]
    assert visible(points, np.full(4, 0.0), tubes, 1.0, lift=25.0).tolist() == [False, False, True, True]
    assert visible(points, front, tubes, 1.0).all()


@pytest.mark.parametrize("direction", FRAMES)
@pytest.mark.parametrize("box", [(178.0, 120.0), (120.0, 90.0)])
def test_the_picture_fits_its_box_and_holds_all_its_words(direction, box):
    view = cage_view(CAGE, direction, box=box)
    assert view.box[3] - view.box[1] <= box[1] + 12.0  # the list of hidden tubes and the caption come below
    cloud = np.concatenate([s.points for s in view.strokes] + [label_corners(t) for t in view.labels])
    assert (cloud.min(axis=0) >= np.array(view.box[:2])).all()
    assert (cloud.max(axis=0) <= np.array(view.box[2:])).all()
    tubes = np.concatenate(tube_runs(view))
    assert (np.ptp(tubes, axis=0) <= np.array(box)).all()


@pytest.mark.parametrize("direction", FRAMES)
def test_every_tube_has_a_number_or_is_told_to_be_behind(direction):
    labels = [t.text for t in cage_view(CAGE, direction).labels]
    numbers = [int(t) for t in labels if t.isdigit()]
    behind = [t.split(": ")[1].split(", ") for t in labels if t.startswith("behind")]
    assert sorted(numbers + [int(n) for row in behind for n in row]) == list(range(1, 10))


def test_a_tube_right_behind_its_mirror_image_is_told_to_be_behind():
    labels = [t.text for t in cage_view(CAGE, "side").labels]
    numbers = {t for t in labels if t.isdigit()}
    assert "8" in numbers  # doorbar_left
    assert "9" not in numbers
    assert any(t.startswith("behind") and "9" in t for t in labels)


def test_sizes_over_all_are_those_of_the_tubes():
    """The hoop's feet stand 1280 mm apart and are 45 mm wide: 1325.0 over all from the front."""
    labels = [t.text for t in cage_view(CAGE, "front").labels]
    assert "1325.0" in labels
    assert "1325.0" not in [t.text for t in cage_view(CAGE, "three-quarter").labels]


def test_selected_and_wrong_are_told_by_more_than_colour():
    view = cage_view(CAGE, "side", selected=("main_hoop",), wrong=("doorbar_left",))
    layers = {s.layer for s in view.strokes}
    assert {"selected", "wrong"} <= layers
    assert "8!" in [t.text for t in view.labels]


def test_the_key_names_every_tube_under_the_picture():
    bare, keyed = cage_view(CAGE, "side"), cage_view(CAGE, "side", key=True)
    told = [t for t in keyed.labels if t.text not in {b.text for b in bare.labels}]
    assert [t.text.split(maxsplit=1)[1] for t in told] == [shown(m.name) for m in CAGE.members]
    assert max(t.at[1] for t in told) < bare.box[1]


def test_key_table_numbers_as_the_views_do():
    rows = key_table(CAGE).rows
    assert [row[0] for row in rows] == [str(i) for i in range(1, 10)]
    assert [row[1] for row in rows] == [shown(m.name) for m in CAGE.members]


def test_the_car_faces_left_from_the_side_and_above():
    assert FRAMES["side"].toward == pytest.approx(-ACROSS)
    assert FRAMES["plan"].toward == pytest.approx(UP)
    assert FRAMES["front"].toward == pytest.approx(-BACK)
    assert (FRAMES["three-quarter"].toward @ np.array([-1.0, -1.0, 1.0])) > 1.5


def test_a_plan_without_driver_or_lines_still_draws():
    assert cage_view(CROSS, "three-quarter").strokes


def test_each_helmet_of_several_has_its_own_word():
    """In side view the two circles all but hide each other, their words do not."""
    heads = [PersonEntry(hip=(0, y, 0), head=(500, y, 500 + up)) for y, up in ((-300, 0), (300, 10))]
    two = replace(CROSS, people=aboard(*heads))
    for name in ("side", "front"):
        said = {label.text: label.at for label in cage_view(two, name).labels if "driver" in label.text}
        assert set(said) == {"driver", "codriver"}, name
        (x1, y1), (x2, y2) = said.values()
        assert abs(y1 - y2) > 2.0 or abs(x1 - x2) > 10.0
