"""Every question of the fit-up has one answer: the same by command, on the page and on paper, mm and inch."""

import json
import re
import shutil
from io import BytesIO

import numpy as np
import pdfplumber
import pytest
from typer.testing import CliRunner

from cagewright.cli.app import command_line
from cagewright.job.opening import open_job
from deskside import served
from fitted import EXAMPLES

pytestmark = pytest.mark.usefixtures("kept_answers")
STEP = 3
"""The step that tacks the front legs of the Brackwater."""
COMMANDS = command_line(["order", "marks", "square", "pull", "shrink", "record", "reading"])


def run(*words, code=0):
    found = CliRunner().invoke(COMMANDS, [str(w) for w in words])
    assert found.exit_code == code, found.output
    return found.stdout


SAID = {"said", "words", "headline", "way", "order", "tape", "verdict"}


def words_of(answer):
    """Every text that is said to a person anywhere in the answer."""
    if isinstance(answer, dict):
        for key, value in answer.items():
            if key in {"said", "words", "headline", "way", "order", "tape", "verdict"} and isinstance(
                value, str
            ):
                yield value
            yield from words_of(value)
    elif isinstance(answer, list):
        for value in answer:
            yield from words_of(value)


def missing_from(file, words):
    """The words that do not stand on the paper; cells break between words, so not as one run."""
    with pdfplumber.open(BytesIO(file.read_bytes())) as pdf:
        there = {word["text"] for page in pdf.pages for word in page.extract_words()}
    return {w for text in words for w in text.split()} - there


@pytest.fixture(
    scope="module", params=["brackwater", pytest.param("brackwater-inch", marks=pytest.mark.slow)]
)
def built(request, tmp_path_factory):
    """A build whose left leg stands 9 mm too far back, read on the page: its plan, the page's answers."""
    shop = tmp_path_factory.mktemp(request.param)
    for name in (f"{request.param}.yaml", "brackwater.shop.yaml"):
        shutil.copy(EXAMPLES / name, shop / name)
    at, job = f"/api/plans/{request.param}/fitup", {"job": "J", "by": "Jo", "step": str(STEP)}
    with pytest.MonkeyPatch.context() as patch:
        patch.delenv("CAGEWRIGHT_RECORD", raising=False)
        with served(shop) as desk:
            assert desk.post(f"{at}/jobs", {"name": "J", "by": "Jo"}).status_code == 201
            step = desk.get(f"{at}/steps/{STEP}").json()
            marks = {m["name"]: (m["member"], np.array(m["point"])) for m in step["marks"]}
            for r in step["readings"]:
                there = [
                    marks[n][1] + [9.0 * (marks[n][0] == "front_leg_left"), 0.0, 0.0]
                    for n in (r["a"], r["b"])
                ]
                far = (
                    float(np.linalg.norm(np.subtract(*there)))
                    if r["kind"] == "tape"
                    else r["planned"]["value"]
                )
                says = f"{far:.2f} {'deg' if r['kind'] == 'lean' else 'mm'}"
                body = {
                    **job,
                    "entry": "reading",
                    "kind": r["kind"],
                    "a": r["a"],
                    "b": r["b"],
                    "axis": r["axis"],
                    "says": says,
                }
                assert desk.post(f"{at}/entries", body).json()["wrong"] == []
            ask = {"job": "J"}
            found = desk.get(f"{at}/steps/{STEP}/square", params=ask).json()
            page = {
                "order": desk.get(at, params=ask).json(),
                "step": desk.get(f"{at}/steps/{STEP}", params=ask).json(),
                **found,
            }
            (shop / "r.yaml").write_text(desk.get(f"{at}/steps/{STEP}/readings.yaml", params=ask).text)
    return shop / f"{request.param}.yaml", page


def test_order(built):
    plan, page = built
    told = json.loads(run("order", plan, "--json"))
    mine = [{k: v for k, v in s.items() if k not in {"read", "done"}} for s in page["order"]["steps"]]
    assert told["steps"] == mine
    assert told["broken"] == page["order"]["broken"] == []
    text = run("order", plan)
    assert "front leg left" in text
    assert "front_leg_left" not in text
    tube, moved = ["--move", "roof left:1"], ["--move", "roof_left:1"]
    assert run("order", plan, *tube, code=1) == run("order", plan, *moved, code=1)


@pytest.mark.slow
def test_marks(built, tmp_path):
    plan, page = built
    told = json.loads(run("marks", plan, "--step", STEP, "--pdf", tmp_path / "s.pdf", "--json"))
    assert told["readings"] == page["step"]["readings"]
    assert {m["name"] for m in told["marks"]} <= {m["name"] for m in page["step"]["marks"]}
    text = run("marks", plan, "--step", STEP)
    assert all(r["planned"]["said"] in text for r in told["readings"])
    said = [r["planned"]["said"] for r in told["readings"]] + [m["letter"] for m in told["marks"]]
    assert missing_from(tmp_path / "s.pdf", said) == set()


def test_square(built):
    plan, page = built
    told = json.loads(run("square", plan, plan.parent / "r.yaml", "--json", code=1))
    assert told == page["square"]
    assert told["headline"] == "2 ends are out."
    wide = json.loads(run("square", plan, plan.parent / "r.yaml", "--within", "1/2 in", "--json"))
    assert wide["within"]["value"] == pytest.approx(12.7)
    assert wide["headline"] == "Every end is in place."
    run("square", plan, plan.parent / "r.yaml", "--within", "wide", code=2)
    text = run("square", plan, plan.parent / "r.yaml", code=1)
    assert all(e["words"] in text for e in told["ends"])
    assert all(o["plus_minus"] is not None and "±" in o["said"] for e in told["ends"] for o in e["off"])


@pytest.mark.slow
def test_pull(built, tmp_path):
    plan, page = built
    told = json.loads(run("pull", plan, plan.parent / "r.yaml", "--pdf", tmp_path / "p.pdf", "--json"))
    assert told == page["pull"]
    text = run("pull", plan, plan.parent / "r.yaml")
    ordered = [p for p in told["pulls"] if p["order"]]
    assert {p["mark"] for p in ordered} == {"front_leg_left.start", "front_leg_left.end"}
    for p in ordered:
        assert "forward" in p["way"]
        assert p["order"] in text
        said = [p["way"], p["tape"] or "none runs along the pull", p["takes"]["words"]]
        assert missing_from(tmp_path / "p.pdf", said) == set()


def test_record(built):
    plan, page = built
    told = json.loads(run("record", "show", "J", "--record", plan.parent / "record.sqlite", "--json"))
    assert [(line["entry"]["id"], line["said"]) for line in told["lines"]] == [
        (t["line"], t["says"]) for t in page["step"]["taken"]
    ]
    file = plan.parent / "w.yaml"
    run(
        "reading",
        "write",
        "J",
        file,
        "--step",
        STEP,
        "--plan",
        plan,
        "--record",
        plan.parent / "record.sqlite",
    )
    assert file.read_text() == (plan.parent / "r.yaml").read_text()


@pytest.mark.slow
def test_no_answer_mixes_units(built):
    plan, page = built
    number = next(s["number"] for s in page["order"]["steps"] if s["weld"] and not s["notes"])
    shrink = json.loads(run("shrink", plan, "--step", number, "--json"))
    inch = open_job(plan).cage.units != "mm"
    other = r"\d mm\b|\d N\b|\d MPa\b" if inch else r'\d"|lbf|ksi'
    for words in words_of([page["square"], page["pull"], page["step"], shrink]):
        assert not re.search(other, words), words
