"""Arrows of what to pull: numbered as the table, pointing the way the end has to go."""

import numpy as np
import pytest

from cagewright.fitup.adjust import adjust
from cagewright.fitup.network import placed
from cagewright.fitup.pull import stands_of
from cagewright.fitup.pullsheet import pull_sheet, pulls_of
from cagewright.make.arrows import LENGTH, Arrow, seen_from, with_arrows
from cagewright.make.views import cage_view
from fitted import brackwater, front, taken

THERE = ["main_hoop", "front_leg_left", "front_leg_right", "header"]


@pytest.fixture(scope="module")
def left_leg_forward():
    net, readings = front()
    state = np.zeros((len(net.bodies), 6))
    state[[b.name for b in net.bodies].index("front_leg_left"), :3] = (-8.0, 0.0, 0.0)
    found = adjust(net, taken(net, readings, placed(net, state), np.random.default_rng(0), noise=0.0))
    return pulls_of(found, [(s, "80 N, by hand") for s in stands_of(brackwater().cage, found)])


def test_only_ends_that_are_out_are_pulled_and_back_the_way_they_came(left_leg_forward):
    assert {p.stands.member for p in left_leg_forward} == {"front_leg_left"}
    for p in left_leg_forward:
        assert p.arrow.way == pytest.approx([8.0, 0.0, 0.0], abs=0.2)


def test_table_and_arrows_carry_the_same_numbers(left_leg_forward):
    sheet = pull_sheet(brackwater().cage, left_leg_forward, THERE, step=4)
    numbers = [row[0] for row in sheet.tables[0].rows]
    assert numbers == ["1", "2"]
    side = next(d for d in sheet.drawings if d.name == "cage_side")
    assert [label.text for label in side.labels if label.text in numbers] == numbers
    # a pull back is not seen from the front
    assert {d.name for d in sheet.drawings} == {"cage_side", "cage_plan"}
    assert any("Not a certificate" in note for note in sheet.notes)


def test_nothing_to_pull_is_said():
    sheet = pull_sheet(brackwater().cage, (), THERE)
    assert not sheet.tables
    assert not sheet.drawings
    assert "in place" in sheet.notes[0]


def test_an_arrow_starts_at_its_place_at_the_view_s_scale():
    """From the left at 1:n a place back, up stands at back / n, up / n on the paper."""
    view = cage_view(brackwater().cage, "side", numbers=False)
    drawn = with_arrows(
        view, "side", [Arrow(at=np.array([700.0, 0.0, 300.0]), way=np.array([0.0, 0.0, 5.0]), text="7")]
    )
    shaft = drawn.strokes[len(view.strokes)].points
    assert shaft[0] == pytest.approx([700.0 * view.scale, 300.0 * view.scale])
    tip = drawn.strokes[len(view.strokes) + 1].points
    assert tip[:, 1].max() == pytest.approx(300.0 * view.scale + LENGTH)


def test_an_arrow_at_the_eye_is_left_out():
    toward = Arrow(at=np.zeros(3), way=np.array([0.0, -4.0, 0.5]), text="1")
    assert seen_from([toward], "side") == ()
    assert seen_from([toward], "front") == (toward,)
