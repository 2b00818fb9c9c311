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
