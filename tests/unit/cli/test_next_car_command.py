"""The next car of a kind on the command line: what to read, its file, and what its readings say."""

from pathlib import Path

import numpy as np
import pytest
from test_sets import Bench

from bodies import BODIES, placed, readings, survey
from cagewright.base.problems import ProblemsFound
from cagewright.job.next_car import next_car
from cagewright.job.survey import open_survey
from cagewright.plan.survey import read_survey
from cagewright.plan.survey_text import survey_text


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    (tmp_path / "one.yaml").write_text(survey_text(survey(BODIES["saloon"])))
    return Bench(tmp_path)


def filled(path: Path, moved=None) -> None:
    """The next car's file with what a tape reads there."""
    said, id, lines = readings(BODIES["saloon"], moved), "", []
    for line in path.read_text().splitlines():
        word = line.strip().split(":")[0]
        id = word if line.startswith("  ") and not line.startswith("    ") and word in said else id
        read = line.startswith("    ") and "unread" in line
        lines.append(f"    {word}: {said[id][word][0]:.0f} mm" if read else line)
    path.write_text("\n".join(lines) + "\n")


@pytest.mark.slow
def test_what_to_read_is_written_filled_in_and_judged(bench: Bench):
    one, car = bench.folder / "one.yaml", bench.folder / "two.body.yaml"
    told = bench.json("survey", "next", one, "-o", car, "--sheet", bench.folder / "s.pdf")
    assert (bench.folder / "s.pdf").read_bytes().startswith(b"%PDF")
    assert 15 <= len(told["readings"]) <= 24
    assert told["verdict"] == ""
    bench.run("survey", "next", one, "-o", car, code=1)  # nothing is overwritten
    assert bench.json("survey", "next", one, "--car", car)["verdict"] == ""  # nothing is read yet
    filled(car)
    same = bench.json("survey", "next", one, "--car", car)
    assert (same["verdict"], same["level"]) == ("the same", "fine")
    assert {"value": 0.0, "said": "0 mm"}.items() <= same["readings"][0]["off"].items()
    assert read_survey(car).job is False
    bench.run("draft", car, "-o", bench.folder / "p.yaml", code=1)


@pytest.mark.slow
def test_a_bent_one_ends_with_one_and_says_where(bench: Bench):
    one, car = bench.folder / "one.yaml", bench.folder / "two.body.yaml"
    bench.run("survey", "next", one, "-o", car)
    moved = {n: p + np.array([70.0, 0.0, 0.0]) for n, p in placed(BODIES["saloon"]).items()
             if n.endswith("_left") and n.startswith(("front_foot", "pillar"))}  # fmt: skip
    filled(car, moved)
    said = bench.run("survey", "next", one, "--car", car, code=1)
    assert "this shell is bent, look before you buy" in " ".join(said.split()).lower()
    assert "Read these" in said


@pytest.mark.slow
def test_a_finer_look_takes_more_readings(bench: Bench):
    one = bench.folder / "one.yaml"
    usual, finer = (bench.json("survey", "next", one, *more) for more in ((), ("--find", "25 mm")))
    assert len(finer["readings"]) > len(usual["readings"])
    assert "finds" in finer


def test_bad_input_is_told_with_its_file(tmp_path: Path):
    (tmp_path / "none.body.yaml").write_text("cagewright_body: 1\ntitle: nothing read\n")
    with pytest.raises(ProblemsFound, match=r"none.body.yaml.*too little of the body was read"):
        next_car([open_survey(tmp_path / "none.body.yaml")])
    sound = survey(BODIES["saloon"])
    off = {**sound.readings, "hoop_widths": {**sound.readings["hoop_widths"], "waist": (1500.0,)}}
    (tmp_path / "slip.yaml").write_text(survey_text(sound.model_copy(update={"readings": off})))
    with pytest.raises(ProblemsFound, match=r"slip.yaml.*hoop_widths"):
        next_car([open_survey(tmp_path / "slip.yaml")])
    (tmp_path / "broken.yaml").write_text("cagewright_body: 1\ntitle: t\nreadings: {sil_height: 3}\n")
    with pytest.raises(ProblemsFound, match=r"broken.yaml:3.*sill_height"):
        next_car([open_survey(tmp_path / "broken.yaml")])
