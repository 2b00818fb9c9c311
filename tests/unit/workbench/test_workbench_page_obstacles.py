"""What is in a tube's way, on the Shell page: what the command says, kept, and on paper."""

import io
import json
from pathlib import Path
from typing import Any

import pdfplumber
import pytest
from typer.testing import CliRunner

from cagewright.cli import obstacles as command
from cagewright.cli.app import command_line
from cagewright.job import obstacles
from cagewright.job.opening import Job, open_job
from cagewright.workbench.pages.shell_obstacles import obstacles_work
from deskside import Bench

AT = "/api/plans/brackwater/shell/obstacles"
METAL = (
    "  metal:\n    sill_box: {mark: MARK, path: [[450, -660, 320], [900, -660, 320]], reach: 60, "
    "box: [60, 120], thickness: 1.2}\n"
)


@pytest.fixture
def plan(shop: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo with a sill in the way of a leg; how findings and torch are told others try, in seconds."""
    monkeypatch.setattr(obstacles, "findings", lambda job: type("F", (), {"headline": job.cage.revision})())
    monkeypatch.setattr(obstacles, "_torch", lambda *_: None)
    path = shop / "brackwater.yaml"
    marked(path, "trimmable")
    known: dict[str, obstacles.ObstaclesAnswer] = {}
    ways = obstacles.obstacles_answer

    def once(job: Job, *, tube: str = "", **more: Any) -> obstacles.ObstaclesAnswer:
        known[tube] = known.get(tube) or ways(job, tube=tube, **more)
        return known[tube]

    for module in (obstacles, command):
        monkeypatch.setattr(module, "obstacles_answer", once)
    return path


def marked(path: Path, mark: str) -> None:
    text = path.read_text(encoding="utf-8")
    at = text.index("shell:\n") + len("shell:\n")
    path.write_text(text[:at] + METAL.replace("MARK", mark) + text[at:], encoding="utf-8")


def test_the_page_says_what_the_command_says_and_so_does_its_paper(plan: Path, desk: Bench, tmp_path: Path):
    before = desk.get(AT).json()
    assert before["found"] is None
    assert "front_leg_left" in before["tubes"]
    assert "side-left" in before["pushes"]
    assert desk.get(f"{AT}.pdf").status_code == 404
    obstacles_work(open_job(plan), {"tube": "front_leg_left"}, lambda doing, share: None)
    page = desk.get(AT).json()
    found = page["found"]
    assert page["of"] == page["revision"] == open_job(plan).cage.revision
    app = command_line(["obstacles"])
    asked = ["obstacles", str(plan), "--tube", "front_leg_left"]
    assert found == json.loads(CliRunner().invoke(app, [*asked, "--json"]).stdout)
    pdf = tmp_path / "way.pdf"
    words = CliRunner().invoke(app, [*asked, "--pdf", str(pdf)]).stdout
    (row,) = found["obstacles"]
    assert row["member"] == "front_leg_left"
    assert [r[0] for r in row["table"]["rows"]] == [w["kind"] for w in row["ways"]]
    assert [r[1] for r in row["table"]["rows"]] == [w["said"] for w in row["ways"]]
    for said in (found["headline"], row["table"]["title"], *found["cautions"], *found["notes"]):
        assert said in words
    papers = (printed(pdf.read_bytes()), printed(desk.get(f"{AT}.pdf").content))
    assert papers[0] == papers[1]
    assert row["table"]["title"] in papers[0]
    assert all(heading["head"].split()[0] in papers[0] for heading in row["table"]["columns"])
    # what stands in no way of the tube that was asked for is left out
    obstacles_work(open_job(plan), {"tube": "header"}, lambda doing, share: None)
    assert desk.get(AT).json()["found"]["obstacles"] == []


def printed(pdf: bytes) -> str:
    with pdfplumber.open(io.BytesIO(pdf)) as opened:
        return " ".join(" ".join(w["text"] for w in page.extract_words()) for page in opened.pages)
