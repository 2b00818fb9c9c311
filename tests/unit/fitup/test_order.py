"""The order of the build from what is cut on what and what a torch reaches, whatever the tubes are called."""

from dataclasses import replace

import pytest

from cagewright.check.torch.access import torch_access
from cagewright.fitup.order import ENOUGH, build_order, stage_name, stages_of
from cagewright.fitup.tacking import AT_ONCE, bench_group, standing_before, tack_steps
from cagewright.job.opening import open_job
from cagewright.shape.resolve import resolve
from cagewright.shape.shell import shell_of
from fitted import EXAMPLES, brackwater
from small_plans import HOOP_FEET, hoop, plan


@pytest.fixture(scope="module")
def demo():
    cage = brackwater().cage
    shell = shell_of(cage, None)
    return cage, shell, build_order(cage, shell)


def test_roles_change_nothing(demo):
    cage, shell, steps = demo
    renamed = replace(cage, members=tuple(replace(m, role="cage reinforcement") for m in cage.members))
    assert build_order(renamed, shell) == steps


def test_a_weld_that_a_torch_does_not_get_round_in_place_is_made_with_the_cage_hung_low(demo):
    cage, shell, steps = demo
    low = {w for s in steps if s.where == "dropped" for w in s.weld}
    last = torch_access(cage, shell, stages=stages_of(cage, steps, body=True)[-1:])
    assert low
    assert low <= {a.line.name for a in last if a.last < ENOUGH}


@pytest.mark.parametrize("name", ["brackwater", pytest.param("pellworth", marks=pytest.mark.slow)])
def test_every_weld_is_reachable_in_the_state_in_which_it_is_made_or_told(name, request):
    if name == "brackwater":
        cage, shell, steps = request.getfixturevalue("demo")
    else:
        cage = open_job(EXAMPLES / f"{name}.yaml").cage
        shell = shell_of(cage, None)
        steps = build_order(cage, shell)
    made = {w: s for s in steps for w in s.weld}
    stages = stages_of(cage, steps, body=True)
    for access in torch_access(cage, shell, stages=stages):
        step = made[access.line.name]
        share = dict(access.shares)[stage_name(cage, step)]
        assert share >= ENOUGH or any(
            access.line.name.replace(".", " ").replace("_", " ") in n for n in step.notes
        )
    assert len(made) == len(cage.joints) + len(cage.feet)


def test_few_are_tacked_at_once_and_titles_say_what_is_in_the_step(demo):
    cage, _, steps = demo
    assert all(len(s.tack) <= AT_ONCE for s in steps if s.where == "car")
    titles = [s.title for s in steps]
    assert len(set(titles)) == len(titles)
    assert "header and dash bar" in titles
    assert "pillar brace left and right" in titles
    assert titles[1] == "main hoop into the car"
    assert steps[-1].parts
    assert {*steps[-1].parts} == {p.name for p in (*cage.gussets, *cage.plates)}


def test_what_holds_the_sides_apart_stands_before_what_hangs_on_one_side(demo):
    _, _, steps = demo
    turn = {n: s.number for s in steps for n in s.tack}
    assert (
        turn["front_leg_left"] < turn["header"] < turn["doorbar_top_left"] < turn["doorbar_post_upper_left"]
    )
    assert turn["seat_front"] == max(turn.values())


def hoop_with_a_bar():
    rows = {
        "hoop": hoop(),
        "low": (
            "bar",
            [{"on": "hoop", "side": "left", "up": 700}, {"on": "hoop", "side": "right", "up": 700}],
        ),
    }
    return resolve(plan(rows, feet=HOOP_FEET))


def test_the_bench_takes_the_bent_tube_and_what_lies_in_its_plane():
    assert bench_group(hoop_with_a_bar()) == ("hoop", "low")
    assert bench_group(brackwater().cage) == (
        "main_hoop", "diagonal_hoop", "harness_bar_left", "harness_bar_right",
    )  # fmt: skip


def test_a_bar_that_shuts_a_torch_out_waits_for_the_weld():
    """Told that the header has to wait for the roof bar's weld, all that hangs on the header waits too."""
    cage = brackwater().cage
    before = standing_before(cage, [("doorbar_top_left", "header")])
    steps = tack_steps(cage, before, bench_group(cage))
    turn = {n: i for i, names in enumerate(steps) for n in names}
    assert turn["doorbar_top_left"] < turn["header"] < turn["roof_left"]
    # a wish that turns the order round on itself is left out: the header is cut on the leg
    same = standing_before(cage, [("header", "front_leg_left")])
    assert same == standing_before(cage)


TRAP = """  trap_NAME:
    role: transverse member
    tube: bar
    path: [{on: front_leg_left, up: UP}, {on: front_leg_right, up: UP}]
"""


@pytest.mark.slow
def test_a_cage_with_bars_that_shut_a_torch_out_is_ordered_round_them(tmp_path):
    """Bars 42 mm over and under the dash bar of the demo: with all three there no torch gets between them."""
    text = (EXAMPLES / "brackwater.yaml").read_text(encoding="utf-8")
    dash = next(m for m in brackwater().cage.members if m.name == "dash_bar")
    up = float(dash.ends[0].cut.origin[2])
    traps = "".join(
        TRAP.replace("NAME", n).replace("UP", f"{up + d:.0f}") for n, d in (("over", 42), ("under", -42))
    )
    at = text.index("feet:\n")
    (tmp_path / "brackwater.shop.yaml").write_text((EXAMPLES / "brackwater.shop.yaml").read_text())
    (tmp_path / "trap.yaml").write_text(text[:at] + traps + text[at:])
    cage = open_job(tmp_path / "trap.yaml").cage
    steps = build_order(cage, shell_of(cage, None))
    turn = {n: s.number for s in steps for n in s.tack}
    early = {w: s.number for s in steps for w in s.weld if s.tack and s.where == "car"}
    # the dash bar is welded before either of them is there
    assert turn["dash_bar"] <= early["dash_bar.start"] < min(turn["trap_over"], turn["trap_under"])
    assert any("later a torch does not get round them" in n for s in steps if s.tack for n in s.notes)
    assert turn["trap_over"] != turn["trap_under"]
