"""The welds of a step: what they move, set off beforehand, and the shop's own factor found again."""

import json
from dataclasses import replace

import numpy as np
import pytest
from typer.testing import CliRunner

from cagewright.base.names import shown
from cagewright.cli.app import command_line
from cagewright.fitup.adjust import adjust
from cagewright.fitup.choose import choose_readings, tapes_of
from cagewright.fitup.network import Body, network, placed
from cagewright.fitup.order import BuildStep, build_order
from cagewright.fitup.shrink import preset, shrinkage_of
from cagewright.fitup.weldstep import factor_from, first_words, weld_step
from cagewright.job.opening import scan_of
from cagewright.job.shrink import gain_words, set_off_rows
from cagewright.shape.shell import shell_of
from fitted import EXAMPLES, brackwater, brackwater_marks, taken

pytestmark = pytest.mark.usefixtures("kept_answers")
PLAN = str(EXAMPLES / "brackwater.yaml")
LEGS = ("front_leg_left", "front_leg_right")
STEPS = (
    BuildStep(number=1, title="hoop", where="car", tack=("main_hoop",), weld=("hoop_left", "hoop_right")),
    BuildStep(
        number=2, title="legs at the hoop", where="car", tack=LEGS, weld=tuple(f"{leg}.end" for leg in LEGS)
    ),
)  # fmt: skip
"""A way to build that welds early: both legs to the hoop, while nothing else holds their tops."""


@pytest.fixture(scope="module")
def found():
    return weld_step(brackwater().cage, STEPS, 2)


def test_every_weld_of_the_step_is_there_once(found):
    assert sorted(b.joint for b in found.proposed.beads) == [f"{leg}.end" for leg in LEGS]
    assert [p.drawn for p in found.pulls] == [
        shrinkage_of(brackwater().cage, f"{leg}.end").drawn for leg in LEGS
    ]
    assert found.feet == ()
    assert found.proposed.worst <= found.as_listed.worst + 1e-9


def test_both_sides_of_a_symmetric_cage_move_alike(found):
    names = [w.name for w in found.as_listed.watched]
    moves = dict(zip(names, found.as_listed.moves, strict=True))
    left, right = moves["front_leg_left.end"], moves["front_leg_right.end"]
    assert np.linalg.norm(left) > 0.05
    # not quite: the second is welded against a first that is no longer only tacked
    assert right == pytest.approx(left * [1.0, -1.0, 1.0], abs=0.06)


def test_everything_goes_with_the_factor(found):
    twice = weld_step(brackwater().cage, STEPS, 2, factor=2.0)
    assert twice.proposed.moves == pytest.approx(2.0 * found.proposed.moves, abs=1e-9)
    assert [p.upper for p in twice.pulls] == [2.0 * p.upper for p in found.pulls]


def test_a_preset_is_told_for_ends_that_move_and_is_the_reverse(found):
    far = weld_step(brackwater().cage, STEPS, 2, factor=8.0)
    off = preset(far.proposed)
    told = [s.words for s in set_off_rows(brackwater(), far.proposed)]
    assert len(told) == int((np.abs(off).max(axis=1) >= 0.75).sum()) > 0
    furthest = int(np.argmax(np.abs(off).max(axis=1)))
    name = far.proposed.watched[furthest].member
    way = "back" if far.proposed.moves[furthest][0] < 0.0 else "forward"
    assert told[0].startswith(f"{shown(name)}: tack the top ")
    assert way in told[0]
    near = weld_step(brackwater().cage, STEPS, 2, factor=0.01)
    assert set_off_rows(brackwater(), near.proposed) == ()


def test_every_weld_is_begun_on_a_side_that_is_said(found):
    assert all(first_words(brackwater().cage, b).startswith("on the ") for b in found.proposed.beads)


def test_a_step_without_welds_says_so():
    nothing = weld_step(brackwater().cage, (replace(STEPS[0], weld=()),), 1)
    assert gain_words(nothing, "mm") == "No joint is welded at this step."
    assert nothing.proposed.worst == 0.0


def test_the_shop_s_own_factor_is_found_again(found):
    """Legs whose tops went 6 times the tabled way give a factor of 6; legs that stayed, next to nothing."""
    net = network(brackwater_marks(), tuple(Body(name=n, members=(n,)) for n in LEGS))
    readings = [c.reading for c in choose_readings(net, tapes_of(net, brackwater().cage))]
    moves = dict(zip((w.name for w in found.proposed.watched), found.proposed.moves, strict=True))

    def read(times):
        state = np.zeros((2, 6))
        for k, body in enumerate(net.bodies):
            state[k, :3] = times * moves[f"{body.name}.end"]
        return adjust(net, taken(net, readings, placed(net, state), np.random.default_rng(0), noise=0.0))

    own = factor_from(found, read(0.0), read(6.0), size=0.01)
    assert own.count >= 1
    assert own.value == pytest.approx(6.0, rel=0.01)
    assert factor_from(found, read(0.0), read(0.0), size=0.01).value == pytest.approx(0.0, abs=0.01)
    twice = weld_step(brackwater().cage, STEPS, 2, factor=2.0)
    assert factor_from(twice, read(0.0), read(6.0), size=0.01).value == pytest.approx(own.value)
    # with readings of 1 mm so small a movement says little, and the figure stays near the tabled one
    assert factor_from(found, read(0.0), read(6.0), size=1.0).value < 2.5


def run(*words):
    return CliRunner().invoke(command_line(["shrink"]), list(words))


@pytest.mark.slow
def test_the_command_tells_order_and_sources():
    job = brackwater()
    steps = build_order(job.cage, shell_of(job.cage, scan_of(job)))
    number = next(s.number for s in steps if any("." in w for w in s.weld))
    told = json.loads(run("shrink", PLAN, "--step", str(number), "--json").output)
    assert {row["joint"] for row in told["welds"]} <= set(steps[number - 1].weld)
    assert told["proposed"]["value"] <= told["listed"]["value"]
    said = run("shrink", PLAN, "--step", str(number)).output
    assert "Blodgett, second-hand" in said
    assert "Not a certificate" in said


def test_readings_before_and_after_go_together(tmp_path):
    found = run("shrink", PLAN, "--step", "3", "--before", str(tmp_path / "r.yaml"))
    assert found.exit_code == 2
    assert "go together" in found.output
    assert run("shrink", PLAN, "--step", "99").exit_code == 1
