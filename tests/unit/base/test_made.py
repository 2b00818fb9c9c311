"""A folder of papers holds one whole set, whatever happens while the next is put in its place."""

import json
import os
import shutil
from pathlib import Path

import pytest

from cagewright.base import made
from cagewright.base.made import CONTENTS, made_in, put_together
from cagewright.base.problems import ProblemsFound
from killed_makings import kills, whole_set

OLD = {"papers-a4.pdf": b"old", "wraps/leg-start.svg": b"old"}
NEW = {"papers-a4.pdf": b"new", "tables/cut.csv": b"new"}


@pytest.fixture(params=["in one step", "in two renames"])
def papers(request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with the old set and a file of the builder's own, swapped each way that there is."""
    if request.param == "in two renames":
        monkeypatch.setattr(made, "_exchanged", lambda one, other: False)
    folder = tmp_path / "papers"
    put_together(folder, OLD, "r1")
    (folder / "mine").mkdir()
    (folder / "mine/notes.txt").write_text("the builder's own")
    return folder


def all_in(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_the_new_set_takes_the_place_of_the_old_and_what_is_the_builder_s_stays(papers: Path):
    (papers / "empty").mkdir()
    (papers / "link").symlink_to(papers / "mine")
    number = (papers / "mine/notes.txt").stat().st_ino
    written = put_together(papers, NEW, "r2")
    assert set(written) == {papers / name for name in (*NEW, CONTENTS)}
    there = all_in(papers)
    assert there.pop("mine/notes.txt") == b"the builder's own"
    assert json.loads(there.pop(CONTENTS)) == {"revision": "r2", "files": sorted(NEW)}
    assert there == NEW
    assert (papers / "link").is_symlink()
    assert (papers / "empty").is_dir()
    assert (papers / "mine/notes.txt").stat().st_ino == number
    assert [p.name for p in papers.parent.iterdir()] == ["papers"], "nothing is left beside it"


def full(real, first: int):
    """The call of that number finds the disk full."""
    calls = []

    def call(*args, **more):
        calls.append(args)
        if len(calls) == first:
            raise OSError(28, "No space left on device")
        return real(*args, **more)

    return call


def test_a_full_disk_leaves_the_old_set(papers: Path, monkeypatch: pytest.MonkeyPatch):
    before = all_in(papers)
    monkeypatch.setattr(os, "fsync", full(os.fsync, 2))
    with pytest.raises(ProblemsFound, match="No space left"):
        put_together(papers, NEW, "r2")
    assert all_in(papers) == before
    assert [p.name for p in papers.parent.iterdir()] == ["papers"]


@pytest.mark.parametrize("first", [1, 2])
def test_a_rename_that_fails_leaves_the_old_set(papers: Path, monkeypatch: pytest.MonkeyPatch, first: int):
    monkeypatch.setattr(made, "_exchanged", lambda one, other: False)
    before = all_in(papers)
    monkeypatch.setattr(os, "rename", full(os.rename, first))
    with pytest.raises(ProblemsFound, match="No space left"):
        put_together(papers, NEW, "r2")
    assert all_in(papers) == before
    assert [p.name for p in papers.parent.iterdir()] == ["papers"]


def test_where_files_have_one_name_only_they_are_copied(papers: Path, monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(os, "link", full(os.link, 1))
    put_together(papers, NEW, "r2")
    assert all_in(papers)["mine/notes.txt"] == b"the builder's own"


def test_a_set_that_a_kill_left_aside_comes_back_and_old_leavings_go(papers: Path):
    shutil.move(papers, papers.parent / ".papers.abc.old-papers")
    left = papers.parent / ".papers.xyz.new-papers"
    left.mkdir()
    os.utime(left, (0, 0))
    young = papers.parent / ".papers.uvw.new-papers"
    young.mkdir()
    put_together(papers, NEW, "r2")
    assert all_in(papers)["mine/notes.txt"] == b"the builder's own"
    assert not left.exists()
    assert young.exists(), "another making may be at work in it"


def test_the_folder_one_stands_in_is_refused(papers: Path, monkeypatch: pytest.MonkeyPatch):
    before = all_in(papers)
    monkeypatch.chdir(papers / "mine")
    with pytest.raises(ProblemsFound, match="folder of its own"):
        put_together(papers, NEW, "r2")
    assert all_in(papers) == before


def test_a_list_that_names_other_people_s_files_takes_none_away(papers: Path):
    outside = papers.parent / "outside.txt"
    outside.write_text("stays")
    listed = {"revision": "r1", "files": [*OLD, "../outside.txt", "/etc/hostname"]}
    (papers / CONTENTS).write_text(json.dumps(listed))
    put_together(papers, NEW, "r2")
    assert outside.exists()
    found = made_in(papers)
    assert found is not None
    assert found.files == tuple(sorted(NEW))


@pytest.mark.skipif(os.name == "nt", reason="a process is killed by signal")
def test_a_few_killed_makings_leave_one_whole_set(tmp_path: Path):
    assert kills(tmp_path / "papers", times=6, seed=3) > 0
    assert whole_set(tmp_path / "papers")
