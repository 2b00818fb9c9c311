"""What of a placed set is joined before it goes in, with what the search for a way came to stated."""

import pytest

from cagewright.job import set_bench as told
from cagewright.job.set_bench import roof_frame, set_bench
from fitted import brackwater


def test_the_roof_frame_is_what_frames_the_roof_with_the_main_rollbar():
    frame = roof_frame(brackwater().cage)
    assert frame[0] == "main_hoop"
    assert {"front_leg_left", "front_leg_right", "header"} <= set(frame)
    assert not {n for n in frame if n.startswith(("doorbar", "backstay", "dash"))}


@pytest.mark.parametrize(
    ("found", "write", "says"),
    [
        ("goes", True, "on the bench first"),
        ("never", False, "inside (joined too: never goes in)"),
        ("no way found", False, "inside (joined too: no way in was found)"),
        ("blocked", False, "inside (joined too: stands in the body where the plan has it)"),
    ],
)
def test_it_goes_in_joined_only_where_a_way_was_found(monkeypatch, found, write, says):
    job = brackwater()
    asked = []
    monkeypatch.setattr(told, "passing_at", lambda *_, **__: found)
    monkeypatch.setattr(told, "way_by_first", lambda *parts: asked.append(parts[-1]))
    answer = set_bench(job)
    assert answer.words.endswith(says)
    assert answer.write is write
    assert asked == [answer.tubes]
    assert ("front_leg_left" in answer.tubes) is write


def test_without_a_measured_opening_it_cannot_be_told(monkeypatch):
    monkeypatch.setattr(told, "openings_tried", lambda _: ())
    answer = set_bench(brackwater())
    assert (answer.level, answer.tubes, answer.passage) == ("cannot tell", (), None)
