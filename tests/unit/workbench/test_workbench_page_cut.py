"""The shop's sheets made for the page: complete, of one revision, and their files what they say they are."""

import io
import json
import math
from io import BytesIO
from pathlib import Path

import ezdxf
import pdfplumber
import pytest

from cagewright.base.made import made_in
from cagewright.job.cutting import work_of
from cagewright.job.opening import open_job
from cagewright.make.svg import to_svg
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import wraps_of
from cagewright.workbench.pages.cut import sheets_work
from cagewright.workbench.pages.cut_sheets import (
    INDEX,
    SETTING,
    named_files,
    paper_files,
    sheets_folder,
    shown_files,
)
from deskside import PLAN, Bench

pytestmark = pytest.mark.usefixtures("kept_answers")


def no_progress(doing: str, share: float) -> None:
    """Take no notice."""


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    path = tmp_path_factory.mktemp("cut") / "plan.yaml"
    path.write_text(PLAN)
    job = open_job(path)
    return shown_files(job, no_progress) | paper_files(job, no_progress)


@pytest.fixture(scope="module")
def index(files: dict[str, bytes]) -> dict:
    return json.loads(files[INDEX])


def test_every_file_that_the_page_is_told_of_is_there(files: dict[str, bytes], index: dict):
    told = [t["csv"] for s in index["sheets"] for t in s["tables"]]
    told += [d["svg"] for s in index["sheets"] for d in s["drawings"]]
    told += [name for s in index["sheets"] for name in s["pdf"].values()]
    told += [name for w in index["wraps"] for name in (w["svg"], w["dxf"], *w["pdf"].values())]
    told += [name for names in index["papers"].values() for name in names]
    assert set(told) == set(files) - {INDEX}


def test_every_member_has_its_row_and_every_end_that_is_cut_its_wrap(index: dict):
    assert [m["name"] for m in index["members"]] == ["main_hoop", "diagonal"]
    cut_list = next(s for s in index["sheets"] if s["name"] == "cut_list")
    assert [row[0] for row in cut_list["tables"][0]["rows"]] == ["main hoop", "diagonal"]
    assert [(w["member"], w["which"]) for w in index["wraps"]] == [("diagonal", "start"), ("diagonal", "end")]
    assert [s["member"] for s in index["sheets"] if s["kind"] == "bend sheet"] == ["main_hoop"]


def test_each_member_is_told_by_itself(index: dict):
    hoop, diagonal = index["members"]
    assert (hoop["shown"], hoop["bends"]) == ("main hoop", 4)
    titles = [t["title"] for t in diagonal["tables"]]
    assert titles[0] == "The tube"
    assert titles[-1] == "Welds"
    cut_list = next(s for s in index["sheets"] if s["name"] == "cut_list")["tables"][0]
    facts = dict(diagonal["tables"][0]["rows"])
    assert facts["finished, mm"] == cut_list["rows"][1][3]


def test_the_cautions_stand_with_the_sheets(index: dict):
    assert any("Not a certificate" in words for words in index["cautions"])
    for sheet in index["sheets"]:
        assert not set(sheet["notes"]) & set(index["cautions"])


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_a_wraps_pdf_is_at_true_scale(files: dict[str, bytes], paper: str):
    """The straight edge of the paper is once round the tube, pi x OD, and the check line 100 mm.

    Source: the circumference of a circle; 72 points to the inch (ISO 32000-1, 8.3.2.3). Verified.
    """
    with pdfplumber.open(io.BytesIO(files[f"wraps/diagonal-end-{paper}.pdf"])) as pdf:
        assert len(pdf.pages) == 1
        page = pdf.pages[0]
        lines = [*page.lines, *page.curves, *page.rects]
        widths = [(one["x1"] - one["x0"]) * 25.4 / 72.0 for one in lines]
        assert any(abs(w - math.pi * 45.0) < 0.05 for w in widths)
        assert any(abs(w - 100.0) < 0.05 for w in widths)
        size = (page.width * 25.4 / 72.0, page.height * 25.4 / 72.0)
        assert sorted(size) == pytest.approx(
            sorted({"a4": (210.0, 297.0), "letter": (215.9, 279.4)}[paper]), abs=0.1
        )
        text = page.extract_text()
    assert "Not a certificate" in text


def test_a_wraps_dxf_is_in_millimetres_and_once_round_the_tube(files: dict[str, bytes]):
    """Group 9 $INSUNITS 4 is millimetres (DXF reference, header variables; from memory, unchecked)."""
    doc = ezdxf.read(io.StringIO(files["wraps/diagonal-end.dxf"].decode()))
    assert doc.header["$INSUNITS"] == 4
    xs = [x for line in doc.modelspace().query("LWPOLYLINE[layer=='CUT']") for x, *_ in line.get_points()]
    assert max(xs) - min(xs) == pytest.approx(math.pi * 45.0, abs=1e-3)


def test_the_files_for_one_paper_leave_the_other_out(files: dict[str, bytes]):
    a4, both = named_files(files, paper="a4"), named_files(files, paper=None)
    assert set(both) == set(files) - {INDEX}
    assert not any(name.endswith("-letter.pdf") for name in a4)
    assert {name for name in both if not name.endswith(".pdf")} < set(a4)


def test_the_sheets_are_kept_and_told_to_be_older_after_an_edit(bench: Bench, folder: Path):
    assert bench.get("/api/plans/plan/cut").json() == {
        "sheets": None, "older": None, "can": True, "whole": False,
    }  # fmt: skip
    job = open_job(folder / "plan.yaml")
    told = sheets_work(job, {}, no_progress)
    made = made_in(sheets_folder(job.path))
    assert made is not None
    assert told == {"revision": job.cage.revision, "files": len(made.files)}
    shown = bench.get("/api/plans/plan/cut").json()
    assert shown["older"] is None
    assert shown["whole"] is True
    assert shown["sheets"]["revision"] == bench.state()["revision"]
    bench.edit({"move": {"members": "diagonal", "places": 1, "up": 340}})
    assert bench.state()["revision"] in bench.get("/api/plans/plan/cut").json()["older"]


def test_sheets_are_shown_while_the_papers_are_set_and_kept_when_that_is_stopped(bench: Bench, folder: Path):
    """Stopped between the two: what is listed is whole, of one revision, and said to want its papers."""
    job = open_job(folder / "plan.yaml")

    def stopping(doing: str, share: float) -> None:
        if doing.startswith(SETTING):
            shown = bench.get("/api/plans/plan/cut").json()
            assert (shown["older"], shown["whole"]) == (None, False)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        sheets_work(job, {}, stopping)
    shown = bench.get("/api/plans/plan/cut").json()
    assert (shown["older"], shown["whole"]) == (None, False)
    assert bench.get(f"/api/plans/plan/cut/files/{shown['sheets']['wraps'][0]['svg']}").status_code == 200
    assert bench.get("/api/plans/plan/cut/files/all-wraps-a4.pdf").status_code == 404
    sheets_work(job, {}, no_progress)
    assert bench.get("/api/plans/plan/cut").json()["whole"] is True


def test_a_zip_of_nothing_is_not_there(bench: Bench):
    assert bench.get("/api/plans/plan/cut/all.zip").status_code == 404
    assert bench.get("/api/plans/plan/cut/files/sheets.json").status_code == 404


def test_the_wraps_of_the_page_are_those_of_the_papers(files: dict[str, bytes], index: dict, tmp_path: Path):
    """Numbered from the end that goes into the bender first, as in the build book."""
    path = tmp_path / "plan.yaml"
    path.write_text(PLAN)
    job = open_job(path)
    from cagewright.make.drawn import from_the_end

    wraps = wraps_of(job.cage, from_end=from_the_end(work_of(job)))
    drawn = [to_svg(wrap_drawing(w, units=job.cage.units)).encode() for w in wraps]
    assert [files[w["svg"]] for w in index["wraps"]] == drawn


def test_one_ends_wrap_is_made_alone_and_is_the_same_page(bench: Bench):
    answer = bench.get("/api/plans/plan/cut/wrap/diagonal/start?paper=a4")
    assert answer.headers["content-type"] == "application/pdf"
    with pdfplumber.open(BytesIO(answer.content)) as pdf:
        words = pdf.pages[0].extract_text()
        assert len(pdf.pages) == 1
    assert "diagonal" in words
    assert bench.get("/api/plans/plan/cut/wrap/nothing/start").status_code == 404
