import json
import os
from pathlib import Path

import pytest

from cagewright.base.made import CONTENTS
from cagewright.base.problems import ProblemsFound
from cagewright.book.build import build
from cagewright.job.cutting import work_of
from cagewright.job.findings import rule_findings
from cagewright.job.opening import job_of, open_job
from cagewright.plan.text import parse

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def demo():
    return open_job(EXAMPLES / "roll-bar.yaml")


def test_a_stage_runs_once(demo):
    assert work_of(demo) is work_of(demo)


@pytest.mark.slow  # whole papers, with their pushes
def test_the_same_plan_makes_the_same_bytes(demo, tmp_path: Path):
    for name in ("a", "b"):
        build(open_job(EXAMPLES / "roll-bar.yaml"), tmp_path / name)
    first = {
        p.relative_to(tmp_path / "a"): p.read_bytes() for p in (tmp_path / "a").rglob("*") if p.is_file()
    }
    second = {
        p.relative_to(tmp_path / "b"): p.read_bytes() for p in (tmp_path / "b").rglob("*") if p.is_file()
    }
    assert first == second


@pytest.mark.slow  # whole papers, with their pushes
def test_every_file_carries_the_revision_or_stands_in_the_contents(demo, tmp_path: Path):
    files = build(demo, tmp_path)
    contents = json.loads((tmp_path / CONTENTS).read_text())
    assert contents["revision"] == demo.cage.revision
    on_disk = {p.relative_to(tmp_path).as_posix() for p in tmp_path.rglob("*") if p.is_file()}
    assert on_disk == {*contents["files"], CONTENTS}
    assert set(files) == {tmp_path / name for name in on_disk}


def test_a_rebuild_takes_away_only_what_it_no_longer_makes(demo, tmp_path: Path):
    build(demo, tmp_path)
    (tmp_path / "mine.txt").write_text("the builder's own")
    (tmp_path / "wraps" / "gone-start.svg").write_text("from an earlier plan")
    listed = json.loads((tmp_path / CONTENTS).read_text())
    listed["files"] += ["wraps/gone-start.svg", "../outside.txt", "/etc/hostname"]
    (tmp_path / CONTENTS).write_text(json.dumps(listed))
    outside = tmp_path.parent / "outside.txt"
    outside.write_text("stays")
    build(demo, tmp_path)
    assert not (tmp_path / "wraps" / "gone-start.svg").exists()
    assert (tmp_path / "mine.txt").exists()
    assert outside.exists()


@pytest.mark.skipif(os.name == "nt" or os.geteuid() == 0, reason="permissions do not bind here")
def test_an_unwritable_folder_is_said(demo, tmp_path: Path):
    tmp_path.chmod(0o500)
    with pytest.raises(ProblemsFound, match="cannot be written"):
        build(demo, tmp_path / "out")


@pytest.mark.slow  # whole papers, with their pushes
def test_a_full_disk_leaves_no_half_written_paper(demo, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """The sixth write finds the disk full: what is there is whole, and nothing is left beside it."""
    build(demo, tmp_path)
    before = {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()}
    calls = []

    def fsync(handle: int) -> None:
        calls.append(handle)
        if len(calls) > 5:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", fsync)
    with pytest.raises(ProblemsFound, match="No space left"):
        build(open_job(EXAMPLES / "roll-bar.yaml"), tmp_path)
    assert {p: p.read_bytes() for p in tmp_path.rglob("*") if p.is_file()} == before


def test_a_missing_shop_file_is_located(tmp_path: Path):
    text = (EXAMPLES / "brackwater.yaml").read_text()
    (tmp_path / "plan.yaml").write_text(text)
    with pytest.raises(ProblemsFound) as caught:
        open_job(tmp_path / "plan.yaml")
    line = next(i for i, row in enumerate(text.splitlines(), start=1) if row.startswith("shop:"))
    assert [(p.code, p.where.line) for p in caught.value.problems] == [("no-file", line)]


def test_an_unknown_book_is_located(tmp_path: Path):
    text = (EXAMPLES / "roll-bar.yaml").read_text().replace("scca-time-trials-2026", "fia-253-2099")
    (tmp_path / "plan.yaml").write_text(text)
    for shop in EXAMPLES.glob("*.shop.yaml"):
        (tmp_path / shop.name).write_text(shop.read_text())
    with pytest.raises(ProblemsFound, match="fia-253-20") as caught:
        rule_findings(open_job(tmp_path / "plan.yaml"))
    assert caught.value.problems[0].where.line > 0


def test_a_text_is_a_job_without_being_saved():
    text = (EXAMPLES / "roll-bar.yaml").read_text(encoding="utf-8")
    there = job_of(parse(text, file="plan.yaml"), EXAMPLES / "not-saved.yaml")
    assert there.cage.revision == open_job(EXAMPLES / "roll-bar.yaml").cage.revision
    assert not there.path.exists()
