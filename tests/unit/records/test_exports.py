"""A job's zip: out and in again, and zips that mean harm."""

import hashlib
import json
import stat
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.records import archive
from cagewright.records.entries import (
    Hand,
    add_photo,
    add_reading,
    correct,
    sign,
    still_as_signed,
    tick,
)
from cagewright.records.exporting import export_job
from cagewright.records.hashing import row_hash
from cagewright.records.importing import import_job
from cagewright.records.integrity import health
from cagewright.records.jobs import add_revision, all_jobs, history, new_job
from cagewright.records.opening import Record, opened
from cagewright.records.photos import kept_photo
from cagewright.records.types import PlanText

ANN = Hand(by="Ann", step="3")


@pytest.fixture
def sent(record: Record, tmp_path: Path) -> Path:
    shop = PlanText(path="../shop.yaml", text="cagewright_shop: 1\n")
    add_revision(record, "BW1", mark="aa/1", file="b.yaml", text="title: ä\n", by="Ann", others=[shop])
    old = add_reading(record, "BW1", ("a", "b"), "1320", hand=ANN).entry
    tick(record, "BW1", "main_hoop", "tack", hand=ANN)
    correct(record, "BW1", old.id, hand=ANN, why="swapped", text="1230")
    add_reading(record, "BW1", ("a", "c"), "-4", hand=ANN)
    sign(record, "BW1", "tacks are right", hand=ANN)
    papers = tmp_path / "papers"
    (papers / "more").mkdir(parents=True)
    (papers / "book.pdf").write_bytes(b"%PDF-1.7")
    (papers / "more" / "cut.csv").write_text("a,b\n")
    (papers / "link").symlink_to("/etc/passwd")
    export_job(record, "BW1", tmp_path / "BW1.zip", papers=papers)
    return tmp_path / "BW1.zip"


def other(tmp_path: Path):
    return opened(tmp_path / "other.sqlite", create=True)


def test_a_job_goes_out_and_comes_in_whole(record: Record, sent: Path, tmp_path: Path):
    with other(tmp_path) as there:
        got = import_job(there, sent, papers_to=tmp_path / "in")
        here, found = history(record, "BW1"), history(there, "BW1")
        assert found == here
        assert got.added == {"revisions": 1, "entries": 5}
        assert still_as_signed(there, found.entries[-1])
        assert health(there).faults == ()
    assert (tmp_path / "in" / "book.pdf").read_bytes() == b"%PDF-1.7"
    assert (tmp_path / "in" / "more" / "cut.csv").exists()
    assert not (tmp_path / "in" / "link").exists()


def test_readings_are_json_lines_and_plans_are_files(sent: Path):
    with zipfile.ZipFile(sent) as packed:
        rows = [json.loads(line) for line in packed.read("readings.jsonl").splitlines()]
        assert [row["text"] for row in rows] == ["1320", "1230", "-4"]
        assert packed.read("plans/001-aa_1/b.yaml").decode() == "title: ä\n"
        assert packed.read("plans/001-aa_1/shop.yaml").decode() == "cagewright_shop: 1\n"


def test_a_second_import_adds_only_what_is_new(record: Record, sent: Path, tmp_path: Path):
    with other(tmp_path) as there:
        import_job(there, sent)
        add_reading(record, "BW1", ("a", "d"), "700", hand=ANN)
        export_job(record, "BW1", sent, replace=True)
        got = import_job(there, sent)
        assert got.added == {"revisions": 0, "entries": 1}
        assert got.known == {"revisions": 1, "entries": 5}
        assert len(all_jobs(there)) == 1


def test_another_job_of_the_name_is_not_mixed_up(sent: Path, tmp_path: Path):
    with other(tmp_path) as there:
        new_job(there, "BW1", by="Cy")
        with pytest.raises(ProblemsFound, match="--as"):
            import_job(there, sent)
        assert import_job(there, sent, name="BW1-away").job.name == "BW1-away"
        assert len(history(there, "BW1").entries) == 0
        assert health(there).faults == ()


def test_two_corrections_of_one_line_clash_in_words(record: Record, sent: Path, tmp_path: Path):
    with other(tmp_path) as there:
        import_job(there, sent)
        line = history(there, "BW1").entries[3]
        correct(there, "BW1", line.id, hand=ANN, why="here")
        correct(record, "BW1", history(record, "BW1").entries[3].id, hand=ANN, why="there")
        export_job(record, "BW1", sent, replace=True)
        with pytest.raises(ProblemsFound, match="clash"):
            import_job(there, sent)
        assert len(history(there, "BW1").entries) == 6


def test_an_export_does_not_go_over_another_file(record: Record, sent: Path, tmp_path: Path):
    with pytest.raises(ProblemsFound, match="exists"):
        export_job(record, "BW1", sent)
    with pytest.raises(ProblemsFound, match="no-folder"):
        export_job(record, "BW1", tmp_path / "x.zip", papers=tmp_path / "nowhere")


def test_papers_do_not_go_over_others(sent: Path, tmp_path: Path):
    (tmp_path / "in").mkdir()
    (tmp_path / "in" / "book.pdf").write_bytes(b"mine")
    with other(tmp_path) as there, pytest.raises(ProblemsFound, match="exists"):
        import_job(there, sent, papers_to=tmp_path / "in")
    assert (tmp_path / "in" / "book.pdf").read_bytes() == b"mine"


# --- zips that mean harm


def files_of(path: Path) -> dict[str, bytes]:
    with zipfile.ZipFile(path) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def sealed_again(files: dict[str, bytes]) -> dict[str, bytes]:
    """The files with a manifest that fits them: what a sender who means harm would make."""
    manifest = json.loads(files["manifest.json"])
    manifest["sha256"] = {n: hashlib.sha256(d).hexdigest() for n, d in files.items() if n != "manifest.json"}
    return {**files, "manifest.json": json.dumps(manifest).encode()}


def zipped(path: Path, files: dict[str, bytes]) -> None:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, data in files.items():
            packed.writestr(name, data)


def refused(sent: Path, tmp_path: Path, match: str) -> None:
    with other(tmp_path) as there:
        with pytest.raises(ProblemsFound, match=match):
            import_job(there, sent, papers_to=tmp_path / "deep" / "in")
        assert all_jobs(there) == ()
    assert not (tmp_path / "deep").exists()


@pytest.mark.parametrize(
    "name",
    [
        "papers/../../out.txt",
        "/papers/out.txt",
        "../out.txt",
        "papers\\..\\out.txt",
        "papers/C:x",
        "papers//x",
        "x.txt",
    ],
)
def test_no_path_leads_out(sent: Path, tmp_path: Path, name: str):
    zipped(sent, sealed_again({**files_of(sent), name: b"out"}))
    refused(sent, tmp_path, "outside|unknown-file|bad-zip|changed")
    assert not list(tmp_path.rglob("out.txt"))


def test_no_link_is_taken(sent: Path, tmp_path: Path):
    files = sealed_again({**files_of(sent), "papers/away": b"/etc"})
    info = zipfile.ZipInfo("papers/away")
    info.external_attr = (stat.S_IFLNK | 0o777) << 16
    with zipfile.ZipFile(sent, "w") as packed:
        for name, data in files.items():
            packed.writestr(info if name == "papers/away" else name, data)
    refused(sent, tmp_path, "outside")


def test_a_bomb_is_stopped_whatever_the_zip_says(sent: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    zipped(sent, sealed_again({**files_of(sent), "papers/big.txt": bytes(3_000_000)}))
    assert sent.stat().st_size < 20_000
    monkeypatch.setattr(archive, "MOST_BYTES", 2_000_000)
    refused(sent, tmp_path, "too-much")


def test_a_swarm_of_files_is_refused(sent: Path, tmp_path: Path):
    files = {**files_of(sent), **{f"papers/{i}": b"" for i in range(2001)}}
    zipped(sent, sealed_again(files))
    refused(sent, tmp_path, "too-much")


def test_a_name_that_stands_twice_is_refused(sent: Path, tmp_path: Path):
    with zipfile.ZipFile(sent, "a") as packed, pytest.warns(UserWarning, match="Duplicate"):
        packed.writestr("job.json", b"{}")
    refused(sent, tmp_path, "twice")


def test_what_was_changed_on_the_way_is_named(sent: Path, tmp_path: Path):
    files = files_of(sent)
    zipped(sent, {**files, "readings.jsonl": files["readings.jsonl"].replace(b"1230", b"1231")})
    refused(sent, tmp_path, "readings.jsonl is not as it was sent")


def lines(change: Callable[[dict[str, Any]], None], *, seal_it: bool) -> Callable[[bytes], bytes]:
    def edit(raw: bytes) -> bytes:
        rows = [json.loads(line) for line in raw.splitlines()]
        change(rows[0])
        if seal_it:
            rows[0]["seal"] = row_hash(rows[0])
        return b"".join(json.dumps(row).encode() + b"\n" for row in rows)

    return edit


@pytest.mark.parametrize(
    ("edit", "match"),
    [
        (lines(lambda row: row.update(text="1"), seal_it=False), "not as it was entered"),
        (lines(lambda row: row.update(job_uid="0" * 32), seal_it=True), "another job's"),
        (lines(lambda row: row.update(revision_uid="0" * 32), seal_it=True), "refers to a row"),
        (lines(lambda row: row.update(corrects_uid="0" * 32), seal_it=True), "refers to a row"),
        (lines(lambda row: row.update(value="1320"), seal_it=True), "'value' is no float"),
        (lines(lambda row: row.update(used=1), seal_it=True), "'used' is no bool"),
        (lines(lambda row: row.update(text=None), seal_it=True), "'text' is no str"),
        (lines(lambda row: row.update(note="\0"), seal_it=True), "'note' is no str"),
        (lines(lambda row: row.update(value=10**400), seal_it=True), "'value' is no float|bad-line"),
        (lines(lambda row: row.update(more=1), seal_it=True), "more"),
        (lines(lambda row: row.pop("by"), seal_it=True), "by"),
        (lambda raw: raw + b"[1]\n", "readings.jsonl:4:1: .*no object"),
        (lambda raw: raw + b"\xff\n", "bad-line"),
        (lambda raw: raw + b"[" * 100_000 + b"\n", "bad-line"),
        (lambda raw: raw.replace(b"1320.0", b"NaN"), "NaN"),
    ],
)
def test_rows_that_cannot_be_are_named(
    sent: Path, tmp_path: Path, edit: Callable[[bytes], bytes], match: str
):
    files = files_of(sent)
    zipped(sent, sealed_again({**files, "readings.jsonl": edit(files["readings.jsonl"])}))
    refused(sent, tmp_path, match)


def test_a_kind_that_there_is_not_is_refused(sent: Path, tmp_path: Path):
    files = files_of(sent)
    edit = lines(lambda row: row.update(kind="drawing"), seal_it=True)
    zipped(sent, sealed_again({**files, "readings.jsonl": edit(files["readings.jsonl"])}))
    refused(sent, tmp_path, "'drawing'")


@pytest.mark.parametrize("content", [b"", b"PK", b"no zip at all", b"PK\x05\x06" + bytes(18)])
def test_what_is_no_zip_is_refused(tmp_path: Path, content: bytes):
    (tmp_path / "x.zip").write_bytes(content)
    refused(tmp_path / "x.zip", tmp_path, "bad-zip")


def test_a_zip_cut_short_is_refused(sent: Path, tmp_path: Path):
    data = sent.read_bytes()
    sent.write_bytes(data[: len(data) // 2])
    refused(sent, tmp_path, "bad-zip")


# --- photos, and what a zip may not do


def with_photo(record: Record) -> str:
    """The job with a photo in the folder beside the record; its path from there."""
    assert record.path is not None
    text, digest = kept_photo(record.path.parent, b"\xff\xd8\xff a tack", stem="bw1-step-3", called="x.jpg")
    add_photo(record, "BW1", text, of="main_hoop", sha256=digest, hand=ANN)
    return text


def test_photos_go_out_and_come_in_with_the_job(record: Record, tmp_path: Path):
    text = with_photo(record)
    export_job(record, "BW1", tmp_path / "BW1.zip")
    (tmp_path / "far").mkdir()
    with opened(tmp_path / "far" / "record.sqlite", create=True) as there:
        import_job(there, tmp_path / "BW1.zip")
        assert health(there).faults == ()
    assert (tmp_path / "far" / text).read_bytes() == b"\xff\xd8\xff a tack"


def test_an_import_that_fails_leaves_no_file_behind(record: Record, tmp_path: Path):
    text = with_photo(record)
    export_job(record, "BW1", tmp_path / "BW1.zip")
    (tmp_path / "far").mkdir()
    with opened(tmp_path / "far" / "record.sqlite", create=True) as there:
        new_job(there, "BW1", by="Bea")
        with pytest.raises(ProblemsFound, match="job-exists"):
            import_job(there, tmp_path / "BW1.zip")
    assert not (tmp_path / "far" / text).exists()


def test_rows_are_not_kept_where_a_paper_cannot_be_written(sent: Path, tmp_path: Path):
    (tmp_path / "in").write_text("a file where the folder would be")
    with other(tmp_path) as there:
        with pytest.raises(ProblemsFound, match="cannot-write"):
            import_job(there, sent, papers_to=tmp_path / "in")
        assert all_jobs(there) == ()


def test_papers_do_not_go_through_a_link(sent: Path, tmp_path: Path):
    (tmp_path / "in").mkdir()
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "in" / "more").symlink_to(tmp_path / "elsewhere")
    with other(tmp_path) as there, pytest.raises(ProblemsFound, match="a link stands there"):
        import_job(there, sent, papers_to=tmp_path / "in")
    assert list((tmp_path / "elsewhere").iterdir()) == []


def test_files_beside_a_plan_that_are_none_are_refused(sent: Path, tmp_path: Path):
    for said in ('"a text"', '["a"]', '[{"path": 1, "text": ""}]', "no json", '[{"path": "x"}]'):
        bad = changed_row(sent, "revisions.jsonl", others=said)
        with other(tmp_path) as there:
            with pytest.raises(ProblemsFound, match="is no list of files"):
                import_job(there, bad)
            assert all_jobs(there) == ()


def changed_row(sent: Path, file: str, **fields: Any) -> Path:
    """A zip whose first row of that file is sealed with other fields."""
    files = files_of(sent)
    first, _, rest = files[file].partition(b"\n")
    row = json.loads(first) | fields
    row["seal"] = row_hash(row)
    files[file] = json.dumps(row).encode() + b"\n" + rest
    out = sent.with_name("crafted.zip")
    zipped(out, sealed_again(files))
    return out
