"""Hold points: every tick taken out brings up just its line, and nothing from before a pull counts."""

from dataclasses import replace
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.fitup.order import BuildStep
from cagewright.job.against import UNCHECKED, job_kept, names_in, numbers_in, refused
from cagewright.job.hold import (
    ACTS,
    NOTHING_ASKED,
    NOTHING_OPEN,
    Act,
    asked_before,
    headline_of,
    held,
    hold_of,
)
from cagewright.job.hold_paper import BOX, SHOWN, hold_sheet
from cagewright.job.opening import open_job
from cagewright.job.order import steps_of
from cagewright.job.record import (
    Hand,
    OnBench,
    keep_hours,
    keep_inspected,
    keep_note,
    keep_photo,
    keep_photo_sent,
    keep_reading,
    keep_tick,
    sign_off,
    start_job,
)
from cagewright.job.signing import NOTHING_LEFT, covered_in
from cagewright.records.jobs import history
from cagewright.records.opening import opened
from cagewright.records.types import RecordEntry, TickKind
from commands import typed

STEPS = (
    BuildStep(number=1, title="", where="bench", tack=("hoop", "bar"), weld=("bar.start",)),
    BuildStep(number=2, title="", where="car", tack=("leg",)),
    BuildStep(number=3, title="", where="dropped", weld=("leg.end",)),
    BuildStep(number=4, title="", where="car", weld=("foot",)),
)
PLAN = Path(__file__).parents[3] / "examples" / "roll-bar.yaml"
JOB = open_job(PLAN)
JO = Hand(by="Jo")


def entry(number: int, what: str, done: str, *, used: bool = True) -> RecordEntry:
    read = done == "read"
    return RecordEntry(
        id=number, uid=str(number), job_uid="j", revision_uid=None, corrects_uid=None,
        kind="reading" if read else "tick", step=what if read else "", subject="" if read else what,
        other="", text="" if read else done, unit="", sort="", axis="", value=None, used=used, why="",
        note="", by="Jo", taken=f"2026-05-01T08:{number:02d}:00Z", entered=f"2026-05-01T08:{number:02d}:00Z",
    )  # fmt: skip


def ticked(act: Act, steps: tuple[BuildStep, ...] = STEPS) -> list[RecordEntry]:
    return [entry(n, *asked) for n, asked in enumerate(asked_before(act, steps), start=1)]


def still_open(
    act: Act, entries: list[RecordEntry], steps: tuple[BuildStep, ...] = STEPS
) -> list[tuple[str, str]]:
    return [(x.what, x.done) for x in held(asked_before(act, steps), entries) if x.line is None]


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


@pytest.mark.parametrize("steps", [STEPS, steps_of(JOB)], ids=["made up", "roll bar"])
@pytest.mark.parametrize("act", ACTS)
def test_each_tick_taken_out_brings_up_just_its_line(act: Act, steps: tuple[BuildStep, ...]):
    every = ticked(act, steps)
    assert len(every) == len([*asked_before(act, steps)])
    assert still_open(act, every, steps) == []
    for at, asked in enumerate(asked_before(act, steps)):
        assert still_open(act, every[:at] + every[at + 1 :], steps) == [asked]


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


@pytest.mark.slow
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
    tick = ("record", "tick", "One", "no_such_joint", "weld", "--by", "Jo", "--step", "99", *at)
    assert UNCHECKED in typed(*tick).stdout
    typed("record", "plan", "One", PLAN, "--by", "Jo", *at)
    assert typed(*tick).returncode == 1
    now = typed(*asked, "--pdf", tmp_path / "hold.pdf").stdout
    assert (tmp_path / "hold.pdf").read_bytes().startswith(b"%PDF")
    assert "checked against revision" in now
    assert "ticks 'no_such_joint', which this plan has not" in now
    assert "is of step 99" in now
    assert NOTHING_OPEN not in now


@pytest.mark.parametrize(
    ("what", "done", "step", "codes", "nearest"),
    [
        ("main_hoop", "tack", "1", [], None),
        ("main hoop", "pull", "", [], None),
        ("step 1", "check", "", [], None),
        ("diagonal.start", "weld", "", [], None),
        ("the door cavity", "close", "", [], None),
        ("rear seat bracket", "cut", "1", [], None),
        ("main_hop", "tack", "", ["not-in-plan"], "main_hoop"),
        ("step 99", "check", "", ["no-step"], None),
        ("main_hoop", "tack", "99", ["no-step"], None),
        ("main_hop", "weld", "99", ["no-step", "not-in-plan"], "main_hoop"),
    ],
)
def test_a_tick_is_held_to_the_plan(
    what: str, done: TickKind, step: str, codes: list[str], nearest: str | None
):
    found = [*refused(JOB, what, done, step, record="r")]
    assert [p.code for p in found] == codes
    assert [p.nearest for p in found if p.nearest] == ([nearest] if nearest else [])


def kept_at(folder: Path) -> tuple[str, OnBench]:
    where = str(folder / "r.sqlite")
    bench = OnBench(file=PLAN.name, text=PLAN.read_text(encoding="utf-8"), job=JOB)
    start_job(where, "One", by="Jo", bench=bench)
    return where, bench


def test_without_the_bench_the_tick_is_held_to_the_plan_that_the_record_keeps(tmp_path: Path):
    where, _ = kept_at(tmp_path)
    with opened(where) as record:
        kept = job_kept(history(record, "One"))
    assert kept is not None
    assert (names_in(kept.cage), numbers_in(kept)) == (names_in(JOB.cage), numbers_in(JOB))
    with pytest.raises(ProblemsFound, match="this plan has no 'main_hop'"):
        keep_tick(where, "One", "main_hop", "tack", hand=JO)
    assert "not checked" not in keep_tick(where, "One", "main_hoop", "tack", hand=JO).headline


KEEPING = {
    "reading": lambda at, hand, bench: keep_reading(at, "One", ("a", "b"), "900", hand=hand, bench=bench),
    "note": lambda at, hand, bench: keep_note(at, "One", "spatter", hand=hand, bench=bench),
    "hours": lambda at, hand, bench: keep_hours(at, "One", "1:30", hand=hand, bench=bench),
    "photo": lambda at, hand, bench: keep_photo(at, "One", "a.jpg", hand=hand),
    "photo sent": lambda at, hand, bench: keep_photo_sent(
        at, "One", b"\xff\xd8\xff\xe0 a photo", "a.jpg", folder=Path(at).parent, hand=hand, bench=bench
    ),
    "inspection": lambda at, hand, bench: keep_inspected(
        at, "One", "fia-253-2009", "one-piece", "yes", hand=hand, bench=bench
    ),
    "sign-off": lambda at, hand, bench: sign_off(at, "One", "all of it", hand=hand, bench=bench),
}  # fmt: skip


@pytest.mark.parametrize("kind", KEEPING)
def test_a_line_of_a_step_that_there_is_not_is_refused(tmp_path: Path, kind: str):
    where, bench = kept_at(tmp_path)
    keep = KEEPING[kind]
    keep_note(where, "One", "begun", hand=JO)
    with pytest.raises(ProblemsFound, match=f"there is no step 99.*one of the {len(steps_of(JOB))} steps"):
        keep(where, replace(JO, step="99"), bench)
    with opened(where) as record:
        assert [e.text for e in history(record, "One").entries] == ["begun"]
    assert not [*tmp_path.glob("**/*.jpg")]
    for step in ("1", ""):
        assert keep(where, replace(JO, step=step), bench).entry.step == step


def test_a_line_that_was_kept_is_taken_again_whatever_its_step(tmp_path: Path):
    where = str(tmp_path / "r.sqlite")
    start_job(where, "One", by="Jo")
    hand = Hand(by="Jo", step="99", uid="a" * 32)
    first = keep_note(where, "One", "no plan yet", hand=hand)
    bench = OnBench(file=PLAN.name, text=PLAN.read_text(encoding="utf-8"), job=JOB)
    assert keep_note(where, "One", "no plan yet", hand=hand, bench=bench).entry.id == first.entry.id


def test_a_signature_names_what_it_covers_and_what_it_does_not(tmp_path: Path):
    where, bench = kept_at(tmp_path)
    keep_note(where, "One", "door gap 4 mm", hand=JO, bench=bench)
    keep_tick(where, "One", "main_hoop", "tack", hand=JO, bench=bench)
    found = covered_in(where, "One", JOB)
    assert found.covers == (f"plan revision {JOB.cage.revision}", "1 ticked as tacked", "1 note")
    tubes, welds = ({w for s in steps_of(JOB) for w in getattr(s, kind)} for kind in ("tack", "weld"))
    assert found.leaves[0].startswith(f"{len(tubes) - 1} of {len(tubes)} not tacked: ")
    assert any(words.startswith(f"{len(welds)} of {len(welds)} not welded: ") for words in found.leaves)
    assert "main hoop" not in found.leaves[0].split(": ")[1].split(", ")
    signed = sign_off(where, "One", "tacked", hand=JO, bench=bench)
    assert (signed.covers, signed.leaves) == (found.covers, found.leaves)
    assert f"covers plan revision {JOB.cage.revision}, 1 ticked as tacked, 1 note" in signed.entry.note
    assert "does not cover: " in signed.entry.note


def test_a_signature_under_a_whole_record_leaves_nothing_of_the_order(tmp_path: Path):
    where, bench = kept_at(tmp_path)
    every = [one for act in ACTS for one in asked_before(act, steps_of(JOB))]
    for what, done in dict.fromkeys(every):
        if done == "read":
            keep_reading(where, "One", ("a", "b"), "900", hand=Hand(by="Jo", step=what), bench=bench)
        else:
            keep_tick(where, "One", what, done, hand=JO, bench=bench)
    assert covered_in(where, "One", JOB).leaves == (NOTHING_LEFT,)


def test_the_paper_has_a_box_for_each_open_line_and_the_rest_as_shown(tmp_path: Path):
    where, bench = kept_at(tmp_path)
    keep_tick(where, "One", "main_hoop", "tack", hand=JO, bench=bench)
    found = hold_of(where, "One", "weld-solid", JOB)
    table = hold_sheet(found).tables[0]
    assert [row[1] for row in table.rows] == [BOX] * len(found.open) + [SHOWN]
    assert table.rows[-1][0] == "main hoop tacked"
