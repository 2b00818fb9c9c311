"""Hold points: every tick taken out brings up just its line, and nothing from before a pull counts."""

from pathlib import Path

import pytest

from cagewright.fitup.order import BuildStep
from cagewright.job.hold import (
    ACTS,
    NOTHING_ASKED,
    NOTHING_OPEN,
    UNCHECKED,
    Act,
    asked_before,
    headline_of,
    held,
)
from cagewright.records.types import RecordEntry
from commands import typed

STEPS = (
    BuildStep(number=1, title="", where="bench", tack=("hoop", "bar"), weld=("bar.start",)),
    BuildStep(number=2, title="", where="car", tack=("leg",)),
    BuildStep(number=3, title="", where="dropped", weld=("leg.end",)),
    BuildStep(number=4, title="", where="car", weld=("foot",)),
)
PLAN = Path(__file__).parents[3] / "examples" / "roll-bar.yaml"


def entry(number: int, what: str, done: str, *, used: bool = True) -> RecordEntry:
    read = done == "read"
    return RecordEntry(
        id=number, uid=str(number), job_uid="j", revision_uid=None, corrects_uid=None,
        kind="reading" if read else "tick", step=what if read else "", subject="" if read else what,
        other="", text="" if read else done, unit="", sort="", axis="", value=None, used=used, why="",
        note="", by="Jo", taken=f"2026-05-01T08:{number:02d}:00Z", entered=f"2026-05-01T08:{number:02d}:00Z",
    )  # fmt: skip


def ticked(act: Act) -> list[RecordEntry]:
    return [entry(n, *asked) for n, asked in enumerate(asked_before(act, STEPS), start=1)]


def still_open(act: Act, entries: list[RecordEntry]) -> list[tuple[str, str]]:
    return [(x.what, x.done) for x in held(asked_before(act, STEPS), entries) if x.line is None]


@pytest.mark.parametrize(
    ("act", "asked"),
    [
        ("leave-bench", [("hoop", "tack"), ("bar", "tack"), ("1", "read"), ("bar.start", "weld")]),
        ("weld-solid", [("hoop", "tack"), ("bar", "tack"), ("1", "read"), ("leg", "tack"), ("2", "read")]),
        ("push-up", [("leg.end", "weld")]),
        ("close", [("bar.start", "weld"), ("leg.end", "weld"), ("foot", "weld")]),
    ],
)
def test_what_is_asked_before_it(act: Act, asked: list[tuple[str, str]]):
    assert list(asked_before(act, STEPS)) == asked


@pytest.mark.parametrize("act", ACTS)
def test_each_tick_taken_out_brings_up_just_its_line(act: Act):
    every = ticked(act)
    assert len(every) > 0
    assert still_open(act, every) == []
    for at, asked in enumerate(asked_before(act, STEPS)):
        assert still_open(act, every[:at] + every[at + 1 :]) == [asked]


def test_what_was_read_or_checked_before_a_pull_is_open_again():
    pulled = [*ticked("weld-solid"), entry(50, "leg", "pull")]
    assert still_open("weld-solid", pulled) == [("1", "read"), ("2", "read")]
    assert still_open("weld-solid", [*pulled, entry(51, "2", "read")]) == [("1", "read")]
    painted = still_open("paint", [*ticked("paint"), entry(50, "leg", "pull")])
    assert {done for _, done in painted} == {"check"}


def test_an_empty_list_is_not_one_with_nothing_open():
    asked = list(asked_before("push-up", STEPS[:2]))
    assert headline_of(held(asked, [])) == NOTHING_ASKED
    assert headline_of(held(asked_before("push-up", STEPS), ticked("push-up"))) == NOTHING_OPEN
    assert headline_of(held(asked_before("push-up", STEPS), [])) == "open: 1 of 1"


def test_a_line_that_is_not_used_shows_nothing():
    assert still_open("push-up", [entry(1, "leg.end", "weld", used=False)]) == [("leg.end", "weld")]


def test_the_command_says_what_is_open_and_going_on_takes_a_name_and_a_reason(tmp_path: Path):
    at = ("--record", tmp_path / "r.sqlite")
    typed("record", "new-job", "One", "--by", "Jo", *at)
    asked = ("record", "hold", "One", "paint", PLAN, *at)
    ended = typed(*asked)
    assert ended.returncode == 1
    assert "open: " in ended.stdout
    assert UNCHECKED in ended.stdout
    assert " go" not in ended.stdout.replace("goes on", "")
    assert typed(*asked, "--regardless", "sold as it is").returncode == 1  # nobody is named
    went = typed(*asked, "--regardless", "sold as it is", "--by", "Jo")
    assert went.returncode == 0
    assert "sold as it is" in typed("record", "show", "One", "--json", *at).stdout
    typed("record", "plan", "One", PLAN, "--by", "Jo", *at)
    typed("record", "tick", "One", "no_such_joint", "weld", "--by", "Jo", "--step", "99", *at)
    now = typed(*asked).stdout
    assert "checked against revision" in now
    assert "ticks 'no_such_joint', which this plan has not" in now
    assert "is of step 99" in now
    assert NOTHING_OPEN not in now
