"""Papers and sheets in their folders: made whole or not at all, served only from their own list."""

import json
import zipfile
from io import BytesIO
from pathlib import Path

import pytest

from cagewright.base.made import CONTENTS, made_in, put_together
from cagewright.job.opening import open_job
from cagewright.workbench.pages.made import file_of, older_words, size_words, zipped
from cagewright.workbench.pages.papers import build_work, papers_folder
from deskside import Bench


def no_progress(doing: str, share: float) -> None:
    """Take no notice."""


@pytest.fixture
def built(folder: Path) -> Path:
    """The folder of the plan's papers, with two files as if they were built."""
    job = open_job(folder / "plan.yaml")
    out = papers_folder(job.path)
    put_together(
        out, {"papers-a4.pdf": b"%PDF-1.7 a", "wraps/diagonal-end.svg": b"<svg/>"}, job.cage.revision
    )
    return out


def test_only_what_the_list_names_is_served(bench: Bench, built: Path, folder: Path):
    (built / "secret.txt").write_text("not on the list")
    base = "/api/plans/plan/papers/files"
    assert bench.get(f"{base}/papers-a4.pdf").content == b"%PDF-1.7 a"
    assert bench.get(f"{base}/wraps/diagonal-end.svg").headers["content-type"].startswith("image/svg+xml")
    for name in ("secret.txt", "../plan.yaml", "%2e%2e/plan.yaml", "..%2fplan.yaml", "/etc/passwd", ""):
        assert bench.get(f"{base}/{name}").status_code in (404, 307), name


def test_a_list_that_names_a_file_outside_is_not_believed(folder: Path, built: Path):
    listed = {"revision": "x", "files": ["../plan.yaml", "papers-a4.pdf", str(folder / "plan.yaml"), 3]}
    (built / CONTENTS).write_text(json.dumps(listed))
    (built / "link.svg").symlink_to(folder / "plan.yaml")
    made = made_in(built)
    assert made is not None
    assert made.files == ("papers-a4.pdf",)
    with pytest.raises(KeyError):
        file_of(made, "link.svg")


@pytest.mark.parametrize("text", ["", "[]", '{"revision": 3, "files": []}', '{"files": []}', "nonsense"])
def test_a_spoilt_list_is_no_list(built: Path, text: str):
    (built / CONTENTS).write_text(text)
    assert made_in(built) is None


def test_downloads_are_named_and_the_zip_holds_every_file(bench: Bench, built: Path):
    kept = bench.get("/api/plans/plan/papers/files/wraps/diagonal-end.svg?keep")
    assert "attachment" in kept.headers["content-disposition"]
    assert "wraps-diagonal-end.svg" in kept.headers["content-disposition"]
    answer = bench.get("/api/plans/plan/papers/all.zip")
    names = zipfile.ZipFile(BytesIO(answer.content)).namelist()
    assert sorted(names) == ["plan-papers/papers-a4.pdf", "plan-papers/wraps/diagonal-end.svg"]


def test_papers_say_when_the_plan_has_moved_on(bench: Bench, built: Path):
    assert bench.get("/api/plans/plan/papers").json()["built"]["older"] is None
    bench.edit({"move": {"members": "diagonal", "places": 1, "up": 340}})
    older = bench.get("/api/plans/plan/papers").json()["built"]["older"]
    assert bench.state()["revision"] in older


def test_papers_say_when_the_shop_was_changed_after_them(folder: Path, built: Path):
    plan = folder / "plan.yaml"
    shop = folder / "reed.shop.yaml"
    shop.write_text("cagewright_shop: 1\nname: Reed Lane\n")
    plan.write_text(plan.read_text().replace("tubes:\n", "shop: reed.shop.yaml\ntubes:\n", 1))
    job = open_job(plan)
    put_together(built, {"papers-a4.pdf": b"%PDF"}, job.cage.revision)
    made = made_in(built)
    assert made is not None
    assert older_words(made, job) is None
    import os

    os.utime(shop, (made.when + 60, made.when + 60))
    assert older_words(made, job) == "reed.shop.yaml was changed after they were made"


def test_a_zip_of_a_file_that_is_not_listed_is_refused(built: Path):
    made = made_in(built)
    assert made is not None
    with pytest.raises(KeyError):
        zipped(made, ["papers-a4.pdf", "secret.txt"], "x")


def test_sizes_in_words():
    assert [size_words(n) for n in (999, 1000, 412_300, 3_456_000)] == [
        "999 bytes", "1 kB", "412 kB", "3.5 MB",
    ]  # fmt: skip


@pytest.mark.slow
def test_the_whole_set_is_built_beside_the_plan(bench: Bench, folder: Path):
    job = open_job(folder / "plan.yaml")
    heard: list[str] = []
    told = build_work(job, {}, lambda doing, share: heard.append(doing))
    shown = bench.get("/api/plans/plan/papers").json()
    assert told["revision"] == shown["built"]["revision"] == shown["now"]
    assert shown["built"]["older"] is None
    names = [file["name"] for group in shown["built"]["groups"] for file in group["files"]]
    assert {"papers-a4.pdf", "papers-letter.pdf", "wraps/diagonal-end.dxf", "numbers.json"} <= set(names)
    assert len(names) == len(set(names)) == told["files"]
    assert heard[-1] == "writing"
    pdf = bench.get("/api/plans/plan/papers/files/papers-a4.pdf").content
    assert pdf.startswith(b"%PDF-")
