"""From a bought set and a survey to a tacked, read and signed cage, on the command line."""

import json
import os
from pathlib import Path
from typing import Any

import pytest
from typer.testing import CliRunner

from bodies import BODIES, survey
from bought import set_of
from cagewright.cli.app import COMMANDS, command_line
from cagewright.draft.layout import draft
from cagewright.draft.limits import Limits
from cagewright.plan.survey_text import survey_text
from cagewright.shape.resolve import resolve
from cagewright.stock.shop import NO_SHOP


class Bench:
    """Runs commands in one folder, with one record."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.app = folder, command_line([n for n in COMMANDS if n != "warm-up"])

    def run(self, *words: object, code: int | None = 0) -> str:
        env = {"CAGEWRIGHT_RECORD": str(self.folder / "r.sqlite"), "CAGEWRIGHT_BY": "Ann"}
        ended = CliRunner().invoke(self.app, [str(w) for w in words], env={**os.environ, **env})
        assert code is None or ended.exit_code == code, ended.output
        return ended.output

    def json(self, *words: object, code: int | None = 0) -> Any:
        return json.loads(self.run(*words, "--json", code=code))


def test_a_blank_set_is_written_once_and_checked(tmp_path: Path):
    bench = Bench(tmp_path)
    bench.run("set", "new", tmp_path / "s.yaml", "--title", "From the classifieds")
    bench.run("set", "new", tmp_path / "s.yaml", code=1)
    told = bench.json("set", "check", tmp_path / "s.yaml")
    assert (told["title"], told["level"]) == ("From the classifieds", "cannot tell")
    assert all("wall: calliper at the open end" in tube["cannot_tell"] for tube in told["tubes"])
    assert json.loads(bench.run("set", "schema"))["properties"]["cagewright_set"]


@pytest.mark.slow
def test_from_a_set_and_a_survey_to_a_signed_cage(tmp_path: Path):
    bench, body = Bench(tmp_path), survey(BODIES["saloon"])
    cage = resolve(draft(body, Limits(), NO_SHOP).plan)
    (tmp_path / "body.yaml").write_text(survey_text(body))
    bought = set_of(cage, notched=("transverse member", "doorbar"))
    bought["price"] = 640.0
    (tmp_path / "own.yaml").write_text(json.dumps(bought))
    plan, own = tmp_path / "plan.yaml", tmp_path / "drafted.yaml"
    placed = bench.json("draft", tmp_path / "body.yaml", "--set", tmp_path / "own.yaml", "-o", plan)
    assert placed["headline"].startswith("20 of 20 tubes")
    assert [seat["taken"] for seat in placed["seats"]] == [True, False]
    bench.run("draft", tmp_path / "body.yaml", "-o", own)
    beside = bench.json("compare", plan, "--beside", own, "--set", tmp_path / "own.yaml")
    rows = {row["what"]: row for row in beside["rows"]}
    bench.run("compare", plan, code=2)
    assert rows["tubes of the set"]["bought"]["value"] == 640.0
    assert rows["mass"]["bought"]["value"] == pytest.approx(rows["mass"]["drafted"]["value"], rel=0.03)
    assert rows["hours"]["bought"]["value"] is None
    assert rows["hours"]["bought"]["why"] == "the shop file gives no times"
    assert all(row["pushed"]["value"] < 3.0 for row in bench.json("notches", plan)["notches"])
    steps = bench.json("order", plan, code=None)["steps"]
    going = placed["bench"]
    assert going["words"].startswith("join main hoop, diagonal hoop and ")
    assert "front leg left and right, header bar and roof diagonal inside" in going["words"]
    assert going["tubes"] == steps[0]["tack"], "the order joins something else on the bench"
    assert len(going["passage"]["moves"]) > 2
    assert any("nose up" in move["words"] for move in going["passage"]["moves"]), "it must lean to pass"
    tacked = [name for step in steps for name in step["tack"]]
    assert "main_hoop" in tacked
    bench.run("record", "new-job", "BW9")
    bench.run("record", "plan", "BW9", plan)
    marks = bench.json("marks", plan, "--step", 1)
    first, second = (m["name"] for m in marks["marks"][:2])
    bench.run("record", "tick", "BW9", "main_hoop", "tack", "--step", "1")
    bench.run("reading", "add", "BW9", first, second, "600", "--step", "1", code=None)
    bench.run("record", "sign", "BW9", "tacked and read", "--as", "welder")
    kinds = [line["entry"]["kind"] for line in bench.json("record", "show", "BW9")["lines"]]
    assert kinds[-3:] == ["tick", "reading", "sign-off"], kinds
