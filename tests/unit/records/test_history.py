"""A job's history: kept as entered, corrected by new lines, nothing overwritten."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.fitup.readings import ReadingsFile, fitup_of
from cagewright.records.entries import (
    Hand,
    add_note,
    add_photo,
    add_reading,
    correct,
    sign,
    still_as_signed,
    tick,
)
from cagewright.records.fitting import reading_line, usable
from cagewright.records.integrity import health
from cagewright.records.jobs import add_revision, all_jobs, history, new_job
from cagewright.records.opening import Record
from cagewright.records.types import PlanText
from fitted import brackwater, brackwater_marks

ANN = Hand(by="Ann", step="3")


def taken(record: Record, text: str, unit: str = ""):
    return add_reading(record, "BW1", ("a", "b"), text, hand=ANN, unit=unit)


def test_a_job_is_kept(record: Record):
    (job,) = all_jobs(record)
    assert (job.name, job.customer, job.reference, job.units) == ("BW1", "Reed", "R7", "mm")
    assert job.entered.endswith("Z")


def test_a_name_is_taken_once(record: Record):
    with pytest.raises(ProblemsFound, match="job-exists"):
        new_job(record, "BW1", by="Bea")
    assert len(all_jobs(record)) == 1


def test_an_unknown_job_is_named_with_the_nearest(record: Record):
    with pytest.raises(ProblemsFound, match="Did you mean 'BW1'"):
        history(record, "BW2")


@pytest.mark.parametrize("name", ["", "  ", "x" * 2001])
def test_a_name_must_be_one(record: Record, name: str):
    with pytest.raises(ProblemsFound):
        new_job(record, name, by="Ann")


def test_a_bad_reading_is_kept_as_entered_and_not_used(record: Record):
    kept = taken(record, "40 5/8 in", "mm")
    assert kept.wrong
    (entry,) = history(record, "BW1").entries
    assert (entry.text, entry.unit, entry.used, entry.value) == ("40 5/8 in", "mm", False, None)
    assert "mixed units" in entry.why
    assert usable(history(record, "BW1")) == ()


def test_bytes_that_no_database_keeps_are_written_out(record: Record):
    kept = taken(record, "10\udcff0\0")
    assert kept.entry.text == "10\\udcff0\\x00"
    assert not kept.entry.used


def test_a_correction_stands_for_the_old_line_which_stays(record: Record):
    old = taken(record, "1320").entry
    new = correct(record, "BW1", old.id, hand=Hand(by="Bea"), why="figures swapped", text="1230").entry
    told = history(record, "BW1")
    assert [e.text for e in told.entries] == ["1320", "1230"]
    assert told.current == (new,)
    assert (new.corrects_uid, new.why, new.value, new.step) == (old.uid, "figures swapped", 1230.0, "3")


def test_a_correction_is_corrected_in_turn_and_only_once(record: Record):
    old = taken(record, "1320").entry
    new = correct(record, "BW1", old.id, hand=ANN, why="slip", text="1230").entry
    with pytest.raises(ProblemsFound, match=f"wanted line {new.id}"):
        correct(record, "BW1", old.id, hand=ANN, why="slip", text="1231")
    assert correct(record, "BW1", new.id, hand=ANN, why="slip", text="1232").wrong == ()
    assert [e.text for e in history(record, "BW1").current] == ["1232"]


def test_a_line_is_withdrawn(record: Record):
    old = taken(record, "1320").entry
    correct(record, "BW1", old.id, hand=ANN, why="wrong marks")
    (line,) = history(record, "BW1").current
    assert (line.text, line.used, line.why) == ("1320", False, "wrong marks")


def test_a_correction_needs_a_reason_and_a_line(record: Record):
    old = taken(record, "1320").entry
    with pytest.raises(ProblemsFound, match="empty"):
        correct(record, "BW1", old.id, hand=ANN, why=" ", text="1")
    with pytest.raises(ProblemsFound, match="no-line"):
        correct(record, "BW1", 99, hand=ANN, why="slip", text="1")


def test_a_bad_correction_is_kept_and_not_used(record: Record):
    old = taken(record, "1320").entry
    kept = correct(record, "BW1", old.id, hand=ANN, why="slip", text="-1")
    assert kept.wrong
    assert not kept.entry.used
    assert "impossible" in kept.entry.why


def test_ticks_are_withdrawn_but_not_reworded(record: Record):
    line = tick(record, "BW1", "main_hoop", "weld", hand=ANN)
    with pytest.raises(ProblemsFound, match="not-to-be-changed"):
        correct(record, "BW1", line.id, hand=ANN, why="no", text="tack")
    correct(record, "BW1", line.id, hand=ANN, why="not welded yet")
    assert [e.used for e in history(record, "BW1").current] == [False]


def test_somebody_did_it(record: Record):
    with pytest.raises(ProblemsFound, match="nobody is named"):
        tick(record, "BW1", "main_hoop", "weld", hand=Hand(by=""))


def test_times_are_kept_in_utc(record: Record):
    line = tick(record, "BW1", "x", "tack", hand=Hand(by="Ann", taken="2025-03-01T09:30+01:00"))
    assert line.taken == "2025-03-01T08:30:00.000Z"
    with pytest.raises(ProblemsFound, match="time zone"):
        tick(record, "BW1", "x", "tack", hand=Hand(by="Ann", taken="2025-03-01T09:30"))


def test_photos_and_notes(record: Record):
    add_photo(record, "BW1", "photos/1.jpg", hand=ANN, of="foot", sha256="ab")
    add_note(record, "BW1", "torch does not reach", hand=ANN, of="doorbar")
    assert [(e.kind, e.text, e.subject) for e in history(record, "BW1").current] == [
        ("photo", "photos/1.jpg", "foot"),
        ("note", "torch does not reach", "doorbar"),
    ]


def test_the_database_itself_refuses_change(record: Record, path: Path):
    taken(record, "1320")
    with closing(sqlite3.connect(path)) as raw:
        for statement in ("UPDATE entries SET text = '1'", "DELETE FROM entries", "DELETE FROM jobs"):
            with pytest.raises(sqlite3.IntegrityError, match="append-only"):
                raw.execute(statement)


def test_a_change_behind_the_guards_is_seen(record: Record, path: Path):
    line = taken(record, "1320").entry
    signed = sign(record, "BW1", "tacks are right", hand=ANN)
    assert health(record).faults == ()
    assert still_as_signed(record, signed)
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute("DROP TRIGGER entries_no_update")
        raw.execute("UPDATE entries SET text = '1230' WHERE id = ?", (line.id,))
    assert health(record).faults == (
        "entries: the guard against changing rows is gone",
        f"entries: row {line.id} is not as it was entered",
    )


def test_a_row_slipped_in_before_a_signature_is_seen(record: Record, path: Path):
    taken(record, "1320")
    signed = sign(record, "BW1", "tacks are right", hand=ANN)
    taken(record, "1321")
    assert still_as_signed(record, signed)
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute("DROP TRIGGER entries_no_delete")
        raw.execute("DELETE FROM entries WHERE id = 1")
    assert not still_as_signed(record, signed)


def test_revisions_are_kept_with_their_files(record: Record):
    shop = PlanText(path="../shop.yaml", text="cagewright_shop: 1\n")
    one = add_revision(record, "BW1", mark="aa", file="b.yaml", text="title: one\n", by="Ann", others=[shop])
    same = add_revision(record, "BW1", mark="aa", file="b.yaml", text="title: one\n", by="Bea", others=[shop])
    two = add_revision(record, "BW1", mark="bb", file="b.yaml", text="title: two\n", by="Ann")
    assert one == same
    assert history(record, "BW1").revisions == (one, two)
    assert one.others == (shop,)
    assert taken(record, "1000").entry.revision_uid == two.uid


def test_the_fit_up_gets_the_newest_usable_reading_of_each_pair(record: Record):
    taken(record, "1320")
    add_reading(record, "BW1", ("b", "a"), "1321", hand=ANN)
    taken(record, "-1")
    add_reading(record, "BW1", ("c", ""), "20 1/2 in", hand=ANN, sort="place", axis="up")
    assert [reading_line(e) for e in usable(history(record, "BW1"), step="3")] == [
        {"tape": ["b", "a"], "says": "1321 mm"},
        {"place": ["c"], "axis": "up", "says": "20 1/2 in"},
    ]
    assert usable(history(record, "BW1"), step="4") == ()


def test_what_the_record_gives_the_fit_up_reads(record: Record):
    add_reading(record, "BW1", ("hoop_left", "front_leg_left.end"), "39 1/32 in", hand=ANN)
    add_reading(record, "BW1", ("front_leg_left.end", ""), "1552", hand=ANN, sort="place", axis="back")
    lines = [reading_line(e) for e in usable(history(record, "BW1"))]
    found = fitup_of(ReadingsFile(), lines, brackwater().cage, brackwater_marks())
    assert found.problems == ()
    assert [(r.kind, round(r.seen, 1)) for r in found.used] == [("tape", 991.4), ("place", 1552.0)]
