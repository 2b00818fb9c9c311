"""A cage with blemishes is shown, each at its place; what leaves nothing to show is refused."""

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import BLEMISHES, resolve, with_blemishes
from edited import MM, ROLL_BAR, edit

CASES = {
    "tubes-overlap": {"join": ["harness_bar_left", "harness_bar_right"]},
    "bend-overlap": {"bend": {"name": "front_leg_left", "place": 2, "clr": 1500}},
    "free-end": {"add": {"members": {"loose": {"role": "cage reinforcement", "path": [
        [900, 0, 900], [900, 300, 700]]}}}},
    "too-shallow": {"add": {"members": {"along": {"role": "cage reinforcement", "path": [
        {"on": "header", "across": -100}, {"on": "header", "across": 300}]}}}},
}  # fmt: skip


def after(asked, path=MM):
    return read_plan_text(edit(asked, path).document.text, folder=path.parent)


@pytest.mark.parametrize("code", CASES)
def test_a_blemish_is_shown_at_its_place(code):
    plan = after(CASES[code])
    with pytest.raises(ProblemsFound):
        resolve(plan)
    cage, blemishes = with_blemishes(plan)
    assert len(cage.members) >= 26
    found = next(b for b in blemishes if b.code == code)
    assert found.point is not None
    axes = np.array([p.start for m in cage.members for p in m.path.pieces if hasattr(p, "start")])
    assert np.linalg.norm(axes - np.array(found.point), axis=1).min() < 1500.0
    assert found.wanted


def test_a_tight_bend_is_drawn_with_one_that_fits():
    cage, _ = with_blemishes(after(CASES["bend-overlap"]))
    leg = next(m for m in cage.members if m.name == "front_leg_left")
    assert 0 < leg.bends[0].clr < 1500
    assert all(piece.length >= 0.0 for piece in leg.path.pieces)


def test_a_sound_cage_is_the_same_either_way():
    plan = read_plan_text(ROLL_BAR.read_text(), folder=ROLL_BAR.parent)
    cage, blemishes = with_blemishes(plan)
    assert blemishes == ()
    assert [m.length for m in cage.members] == [m.length for m in resolve(plan).members]


def test_what_leaves_nothing_to_show_is_still_refused():
    text = ROLL_BAR.read_text().replace("across: -255}", "across: -2550}")
    with pytest.raises(ProblemsFound) as found:
        with_blemishes(read_plan_text(text, folder=ROLL_BAR.parent))
    assert not {p.code for p in found.value.problems} & BLEMISHES
