"""Given notches in words: what closes each, the cheapest first, and how hard it is pulled."""

import sys
from pathlib import Path

import pytest

from cagewright.base.plain import plain
from cagewright.base.problems import ProblemsFound
from cagewright.job.notches import notches_of
from cagewright.job.opening import open_job

sys.path.append(str(Path(__file__).parents[1] / "shape"))
from test_given import TWO_HOOPS


def job(tmp_path: Path, **case):
    """The plan of a bar between two hoops, its first notch as the case has it."""
    given = {"at": 0, "to": 0, "angle": 90, "od": 45, "offset": 0, "heel": "[0, 1, 0]"} | case
    path = tmp_path / "plan.yaml"
    path.write_text(TWO_HOOPS.format(**given))
    return open_job(path)


@pytest.mark.parametrize(
    ("case", "cure", "words", "to_do"),
    [
        ({}, "as it is", "closed all round", "weld it as it stands"),
        ({"od": 51}, "push home", "pushed in by 3.0 mm", "push it in by 3.0 mm; its other end then stands"),
        ({"heel": "[0, 0.9, 0.5]"}, "turn", "open on top", "anticlockwise"),
        ({"angle": 88.2}, "push home", "1.1 mm open on the left, closed on the right", "push it back out"),
        ({"angle": 87.5}, "move along", "1.5 mm open on the left", "to the right along front"),
        ({"to": 400, "angle": 56, "heel": "[0, -1, 0]"}, "grind", "open on the right", "by its wrap"),
        ({"to": 400, "angle": 40, "heel": "[0, -1, 0]"}, "cut again", "open on the right", "cut it again"),
    ],
    ids=lambda value: str(value) if isinstance(value, dict) else "",
)
def test_the_cheapest_cure_is_told(tmp_path: Path, case, cure: str, words: str, to_do: str):
    (row,) = notches_of(job(tmp_path, **case)).notches
    assert (row.cure, words in row.words, to_do in row.to_do) == (cure, True, True), (row.words, row.to_do)
    assert (row.wrap is not None) == (cure == "grind")
    assert (row.takes is not None) == (row.home.value > 0.3)
    plain(row)


def test_a_tighter_limit_asks_for_more(tmp_path: Path):
    (row,) = notches_of(job(tmp_path, angle=88.2), limit=0.5).notches
    assert row.cure != "as it is"


@pytest.mark.parametrize(
    ("weld", "shop", "asked", "said", "why", "cure"),
    [
        (None, None, None, "1.5 mm", "common practice, no source", "push home"),
        (None, 0.5, None, "0.5 mm", "the shop file", "move along"),
        (2.0, 0.5, None, "2.0 mm", "the weld in the plan", "push home"),
        (0.8, None, None, "0.8 mm", "the weld in the plan", "move along"),
        (0.8, 0.5, 3.0, "3.0 mm", "as asked", "push home"),
    ],
)
def test_a_gap_is_held_against_the_weld_of_the_plan_else_the_shops_else_practice(
    tmp_path: Path, weld, shop, asked, said: str, why: str, cure: str
):
    text = TWO_HOOPS.format(at=0, to=0, angle=88.2, od=45, offset=0, heel="[0, 1, 0]")
    if weld:
        text = text.replace("    given:", f"    welds: {{start: {{gap: {weld}}}}}\n    given:")
    if shop:
        text += "shop: shop.yaml\n"
        (tmp_path / "shop.yaml").write_text(f"cagewright_shop: 1\nname: shed\nweld_gap: {shop}\n")
    (tmp_path / "plan.yaml").write_text(text)
    found = notches_of(open_job(tmp_path / "plan.yaml"), limit=asked)
    (row,) = found.notches
    assert (row.limit.said, row.limit.why, row.cure) == (said, why, cure)
    assert found.headline.endswith(f"leave more than the weld bridges: {said} ({why})")
    assert f"limit {said}" in {label.text for label in row.gap.labels}


def test_a_weld_that_bridges_more_than_any_does_is_a_mistake(tmp_path: Path):
    text = TWO_HOOPS.format(at=0, to=0, angle=90, od=45, offset=0, heel="[0, 1, 0]")
    path = tmp_path / "plan.yaml"
    path.write_text(text.replace("    given:", "    welds: {start: {gap: 15}}\n    given:"))
    with pytest.raises(ProblemsFound, match=r"plan.yaml:13.*15"):
        open_job(path)


def test_the_pull_is_by_hand_while_all_is_tacked(tmp_path: Path):
    (row,) = notches_of(job(tmp_path, od=51)).notches
    assert row.takes is not None
    assert row.takes.how == "hand"


def test_a_member_without_a_given_notch_is_a_mistake(tmp_path: Path):
    with pytest.raises(ProblemsFound, match="no-notch"):
        notches_of(job(tmp_path), "front")


def test_the_papers_leave_out_what_is_there(tmp_path: Path):
    from cagewright.job.cutting import wraps_in

    assert [(w.member, w.which) for w in wraps_in(job(tmp_path)) if w.member == "bar"] == [("bar", "end")]
