"""Every question asked through command, page and paper, in mm and in inches: the same values, the same words.

What a page or a command sends is the answer itself, so the whole of it is compared, figure by figure; what is
printed for a person, on the screen or on paper, is searched for the answer's own words, without white space
and frames.
"""

import json
import re
import shutil
from pathlib import Path

import pytest
from pypdf import PdfReader
from typer.testing import CliRunner

from cagewright.cli.app import command_line
from commands import typed
from deskside import served, wait_for

pytestmark = [
    pytest.mark.slow,
    pytest.mark.usefixtures("kept_answers"),
]  # every question of two demos: minutes
EXAMPLES = Path(__file__).parents[2] / "examples"
STEP = 1
OFF = 6.0
"""How far the first of the step's tapes is read too long, mm."""


class Shop:
    """One demo in a shop folder of its own, asked by command and by page."""

    def __init__(self, bench, folder: Path, plan: str) -> None:
        self.bench, self.folder, self.plan = bench, folder, plan
        self.id = plan.removesuffix(".yaml")
        self.inch = "inch" in plan

    def told(self, *words: str) -> str:
        """What the command prints for a person."""
        return self.typed(*words).output

    def asked(self, *words: str):
        """What the command prints for a program."""
        return json.loads(self.typed(*words, "--json").stdout)

    def typed(self, command: str, *words: str):
        """The command's run, in this process: what it works out is kept for what is asked next."""
        given = [str(self.folder / w) if Path(w).suffix or w == "papers" else w for w in words]
        run = CliRunner().invoke(command_line([command]), [command, *given])
        assert run.exit_code in (0, 1), run.output
        return run

    def page(self, path: str):
        """What the page is sent."""
        answer = self.bench.get(f"/api/plans/{self.id}/{path}")
        assert answer.status_code == 200, answer.text
        return answer.json()

    def work(self, kind: str, **asked):
        """The result of long work that the page puts on."""
        id = self.post("work", {"kind": kind, **asked})["work"]
        told = {}

        def over() -> bool:
            told.update(self.bench.get(f"/api/work/{id}").json())
            return told["status"] in ("done", "failed", "cancelled")

        wait_for(over, kind, seconds=300)
        assert told["status"] == "done", told["error"]
        return told["result"]

    def post(self, path: str, body: dict):
        answer = self.bench.post(f"/api/plans/{self.id}/{path}", body)
        assert answer.status_code < 300, answer.text
        return answer.json()


def bare(text: str) -> str:
    """The text without white space and the frames of tables; thin marks as they are typed."""
    return re.sub(r"[\s│┃─━┏┓┗┛┡┩├┤┼╇┠┨┬┴└┘┌┐╞╡\u00ad\u200b]+", "", text).replace("\u2010", "-")


def figures(answer) -> list[dict]:
    """Every figure of the answer, however deep."""
    if isinstance(answer, dict):
        own = [answer] if {"value", "unit", "said"} <= answer.keys() else []
        return own + [v for part in answer.values() for v in figures(part)]
    return [v for part in answer for v in figures(part)] if isinstance(answer, list) else []


def words_of(answer, keys=("headline", "words", "found", "advice")) -> list[str]:
    """Every sentence of the answer, however deep."""
    if isinstance(answer, dict):
        own = [answer[key] for key in keys if isinstance(answer.get(key), str)]
        return own + [w for part in answer.values() for w in words_of(part, keys)]
    return [w for part in answer for w in words_of(part, keys)] if isinstance(answer, list) else []


def same(one: dict, other: dict, *, but: tuple[str, ...] = ()) -> None:
    """Both are the same answer; ``but`` names what a page is not sent, or is sent beside."""
    keys = (one.keys() & other.keys()) - set(but)
    assert {"headline", "level"} <= keys
    for key in sorted(keys):
        assert one[key] == other[key], key


METRIC = re.compile(r"\d\s?(mm|kN|kN m|N m|kJ|kg|MPa|cm²|cm2)\b")
"""What an inch plan never says; a rule book's own limit in mm stands in its title or limit."""


def no_mm(texts) -> None:
    """None of the texts says a figure in a metric unit."""
    assert [text for text in texts if METRIC.search(text)] == []


@pytest.fixture(scope="module", params=["brackwater.yaml", "brackwater-inch.yaml"], ids=["mm", "in"])
def shop(request, tmp_path_factory):
    folder = tmp_path_factory.mktemp("voice")
    for name in (request.param, "brackwater.shop.yaml"):
        shutil.copy(EXAMPLES / name, folder / name)
    with served(folder) as bench:
        yield Shop(bench, folder, request.param)


@pytest.fixture(scope="module")
def book(shop) -> str:
    """The words of the whole build book, as printed."""
    shop.typed("build", shop.plan, "-o", "papers")
    pages = PdfReader(shop.folder / "papers" / "papers-a4.pdf").pages
    return bare("".join(page.extract_text() for page in pages))


@pytest.fixture(scope="module")
def read(shop) -> Path:
    """A readings file of the first step, entered on the page: every tape as planned but the first."""
    wanted = shop.page(f"fitup/steps/{STEP}")["readings"]
    assert wanted
    shop.post("fitup/jobs", {"name": "voice", "by": "A. Builder"})
    for n, row in enumerate(wanted):
        value = row["planned"]["value"] + (OFF if n == 0 else 0.0)
        unit = "deg" if row["planned"]["unit"] == "deg" else "mm"
        given = {key: row[key] for key in ("kind", "a", "b", "axis")}
        said = {"says": f"{value:.6f}", "unit": unit, "by": "A. Builder", "step": str(STEP), "job": "voice"}
        shop.post("fitup/entries", {"entry": "reading"} | given | said)
    answer = shop.bench.get(f"/api/plans/{shop.id}/fitup/steps/{STEP}/readings.yaml?job=voice")
    assert answer.status_code == 200
    (shop.folder / "r.yaml").write_text(answer.text, encoding="utf-8")
    return shop.folder / "r.yaml"


# --- the questions


def test_what_is_in_it(shop, book):
    found = shop.asked("show", shop.plan)
    text = bare(shop.told("show", shop.plan))
    scene = shop.page("scene")
    assert [m["name"] for m in found["members"]] == [m["name"] for m in scene["members"]]
    assert [m["shown"] for m in found["members"]] == [m["title"] for m in scene["members"]]
    for member, drawn in zip(found["members"], scene["members"], strict=True):
        assert member["length"]["value"] == pytest.approx(drawn["length"], abs=0.006)
        assert bare(member["length"]["said"]) in text
        assert bare(member["shown"]) in text
        assert bare(member["shown"]) in book
    assert bare(found["headline"]) in text
    assert found["revision"] in book
    if shop.inch:
        no_mm(f["said"] for f in figures(found))


def test_findings(shop, book):
    found = shop.asked("check", shop.plan)
    same(found, shop.page("rules")["answer"])
    text = bare(shop.told("check", shop.plan))
    for where in (text, book):
        assert bare(found["headline"]) in where
        for caution in found["cautions"]:
            assert bare(caution) in where
    worst = [row for row in found["rows"] if row["verdict"] in ("fail", "looks broken", "look at")]
    assert worst
    # what to do is said once, for all the findings that it settles
    settled = {row for action in found["actions"] for row in action["findings"]}
    assert {row["id"] for row in worst if row["advice"]} <= settled
    missing = [
        a["words"] for a in found["actions"] for where in (text, book) if bare(a["words"]) not in where
    ]
    assert missing == []
    if shop.inch:
        no_mm(row["advice"] for row in found["rows"])
        no_mm(row["measured"]["said"] for row in found["rows"] if row["measured"])


def test_order(shop):
    found = shop.asked("order", shop.plan)
    paged = shop.page("fitup")
    same(found, paged, but=("steps",))
    for own, there in zip(found["steps"], paged["steps"], strict=True):
        assert own.items() <= there.items()
    text = bare(shop.told("order", shop.plan))
    for step in found["steps"]:
        assert all(
            bare(word) in text for word in step["title"].split()
        )  # a long title takes two lines of its cell
        assert all(bare(note) in text for note in step["notes"])


def test_marks_and_their_sheet(shop):
    found = shop.asked("marks", shop.plan, "--step", str(STEP))
    same(found, shop.page(f"fitup/steps/{STEP}"))
    text = bare(shop.told("marks", shop.plan, "--step", str(STEP), "--pdf", "step.pdf"))
    paper = bare("".join(page.extract_text() for page in PdfReader(shop.folder / "step.pdf").pages))
    for where in (text, paper):
        assert all(bare(r["planned"]["said"]) in where for r in found["readings"])
    if shop.inch:
        no_mm(f["said"] for f in figures(found))


def test_square(shop, read):
    found = shop.asked("square", shop.plan, read.name)
    same(found, shop.page(f"fitup/steps/{STEP}/square?job=voice")["square"])
    text = bare(shop.told("square", shop.plan, read.name))
    assert bare(found["headline"]) in text
    assert found["ends"]
    assert all(bare(end["words"]) in text for end in found["ends"])
    assert any(value["plus_minus"] is not None for end in found["ends"] for value in end["off"])
    if shop.inch:
        no_mm([*words_of(found), *(f["said"] for f in figures(found))])


def test_pull_and_its_sheet(shop, read):
    found = shop.asked("pull", shop.plan, read.name)
    same(found, shop.page(f"fitup/steps/{STEP}/square?job=voice")["pull"])
    text = bare(shop.told("pull", shop.plan, read.name, "--pdf", "pull.pdf"))
    paper = bare("".join(page.extract_text() for page in PdfReader(shop.folder / "pull.pdf").pages))
    assert bare(found["headline"]) in text
    for row in found["pulls"]:
        assert bare(row["words"]) in text
        assert not row["order"] or bare(row["way"]) in paper
    if shop.inch:
        no_mm([*words_of(found), *(f["said"] for f in figures(found))])


def test_shrink(shop):
    steps = shop.asked("order", shop.plan)["steps"]
    number = str(next(step["number"] for step in steps if step["weld"]))
    found = shop.asked("shrink", shop.plan, "--step", number)
    text = bare(shop.told("shrink", shop.plan, "--step", number))
    assert bare(found["headline"]) in text
    assert all(bare(weld["drawn"]["said"]) in text for weld in found["welds"])
    if shop.inch:
        no_mm([*words_of(found), *(f["said"] for f in figures(found))])


def test_fit(shop):
    found = shop.asked("fit", shop.plan)
    text = bare(shop.told("fit", shop.plan))
    assert bare(found["headline"]) in text
    for member in found["members"]:
        spans = [member[key]["said"] for key in ("before", "after") if member[key]]
        assert all(bare(said) in text for said in spans)
    if shop.inch:
        no_mm(f["said"] for f in figures(found))


def test_strength(shop, book):
    found = shop.asked("push", shop.plan, "--case", "side-left")
    [push] = found["pushes"]
    assert shop.work("push", pushes=["side-left"])["done"] == ["side-left"]
    paged = shop.page("strength/results/side-left")
    same(push, paged)
    text = bare(shop.told("push", shop.plan, "--case", "side-left"))
    for where in (text, book):
        assert bare(push["headline"]) in where
        assert bare(push["joints_words"]) in where
        assert all(bare(f["value"]["said"]) in where for f in push["figures"])
    if shop.inch:
        no_mm([*words_of(push), *(f["said"] for f in figures(push)), push["room"], *push["notes"]])
        assert {push["curve"]["x"]["unit"], push["curve"]["y"]["unit"]} == {"in", "lbf"}


def test_mass_and_price_are_one_figure_everywhere(shop, book):
    told = shop.page("figures")
    planned = shop.work("bars")
    assert told["buy"]["rests_on"] == "estimate"
    assert told["buy"]["price"]["said"].endswith("(estimate)")
    assert planned["rests_on"] == "cutting plan"
    assert bare(planned["price"]["said"]) in book
    assert bare(told["mass"]["said"]) in book
    pushed = shop.asked("push", shop.plan, "--case", "side-left")
    assert bare(pushed["mass"]["said"]) in book  # of the tubes as cut alone: the summary says both


def test_alternatives(shop):
    lines = ["cagewright_alternatives: 1", "title: A post less", "pushes: [side-left]", "alternatives:"]
    lines += ["  - name: no posts", "    changes:", "      - remove: {names: [doorbar_post_upper_left]}"]
    if shop.inch:
        lines.insert(2, "units: in")
    (shop.folder / "post.alternatives.yaml").write_text("\n".join(lines) + "\n", encoding="utf-8")
    words = ("compare", shop.plan, "post.alternatives.yaml")
    found = shop.asked(*words)
    study = next(s for s in shop.page("alternatives")["studies"] if s["title"] == "A post less")
    same(found, shop.work("compare", study=study["id"]))
    text = bare(shop.told(*words))
    assert bare(found["headline"]) in text
    told = shop.page("figures")
    assert found["rows"][0]["mass"]["value"]["said"] == told["mass"]["said"]
    assert found["rows"][0]["cost"]["value"]["said"] == shop.work("bars")["price"]["said"]
    if shop.inch:
        no_mm(f["said"] for f in figures(found))


@pytest.mark.parametrize("units", ["mm", "in"])
def test_survey(tmp_path, units):
    survey = (EXAMPLES / "surveys" / "saloon.yaml").read_text(encoding="utf-8")
    if units == "in":  # the same lengths, each with its unit, in a file that is said in inches
        survey = re.sub(r"^units: *mm.*$", "units: in", survey, flags=re.M)
        if "units:" not in survey:
            survey = survey.replace("\ntitle:", "\nunits: in\ntitle:", 1)
    (tmp_path / "saloon.yaml").write_text(survey, encoding="utf-8")
    run = typed("survey", "check", "saloon.yaml", "--json", cwd=tmp_path)
    assert run.returncode in (0, 1), run.stderr
    found = json.loads(run.stdout)
    text = bare(typed("survey", "check", "saloon.yaml", cwd=tmp_path).stdout)
    assert bare(found["headline"]) in text
    with served(tmp_path) as bench:
        surveys = bench.get("/api/surveys/saloon")
        assert surveys.status_code == 200, surveys.text
        same(found, surveys.json(), but=("file", "mark"))
