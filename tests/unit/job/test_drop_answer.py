"""A drop's answer, its paper and its command: in the words of a push, and a sentence for what cannot be."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

import cagewright.job.drop as told
from cagewright.base.units import QuantityError, parse
from cagewright.cli.app import command_line
from cagewright.frame.choices import Choices
from cagewright.frame.errors import FrameError
from cagewright.job.drop import DropCase, drop
from cagewright.job.drop_runs import case_of
from cagewright.job.opening import open_job
from commands import typed

ROLL_BAR = Path(__file__).parents[3] / "examples" / "roll-bar.yaml"
CASE = DropCase(height=80.0, roll=0.2, pitch=-0.1, speed=4e3, time=0.02)


@cache
def answered():
    """The roll bar dropped from low down: answer and paper."""
    return drop(open_job(ROLL_BAR), CASE, Choices(mesh=150.0, fibres=12))


def test_the_headline_says_how_far_it_counts():
    answer, _ = answered()
    assert answer.headline.startswith("Dropped from 80 mm: the cage takes up ")
    assert "counted to" in answer.headline
    assert answer.level in ("fine", "look at")


def test_how_it_hangs_is_said_with_signs():
    words = answered()[0].how.words
    assert "roll 11.4592° with the left side lower" in words
    assert "pitch 5.72958° with the tail lower" in words
    assert "4.0 m/s nose first" in words
    assert "clear air from the ground to the lowest place of the cage" in words


def test_only_the_cage_touches_the_ground_is_said():
    answer, sheet = answered()
    assert told.BARE in answer.cautions
    assert told.BARE in sheet.notes


def test_the_energy_lines_add_up():
    lines = {line.label: line.value.value for line in answered()[0].energy}
    put_in = lines["motion at first touch"] + lines["from the weight on the way down"]
    went = sum(
        v for k, v in lines.items() if k not in ("motion at first touch", "from the weight on the way down")
    )
    assert went - lines["unaccounted for, at the most"] == pytest.approx(put_in, rel=0.005)


def test_the_paper_shows_how_it_hangs_and_what_came_of_it():
    _, sheet = answered()
    assert [d.name for d in sheet.drawings] == [
        "drop_hanging_nose", "drop_hanging_left", "drop_force", "drop_energy"
    ]  # fmt: skip
    words = " ".join(label.text for d in sheet.drawings[:2] for label in d.labels)
    assert "height 80 mm" in words
    assert "left side lower" in words
    assert "tail lower" in words
    assert "4.0 m/s, nose first" in words
    assert {t.title for t in sheet.tables} >= {"The drop", "Where the energy went", "Used most"}


def test_a_speed_is_read_in_the_builder_s_units():
    assert parse("36 km/h", "speed") == pytest.approx(10e3)
    assert parse("10 m/s", "speed") == parse("10", "speed") == pytest.approx(10e3)
    assert parse("25 mph", "speed") == pytest.approx(11_176.0)
    with pytest.raises(QuantityError, match="a speed such as"):
        parse("10 mm", "speed")


def test_fields_of_the_page_are_read_or_refused_together():
    case = case_of({"height": "600 mm", "roll": "45 deg", "pitch": "", "speed": "10 m/s", "first": "left"})
    assert (case.height, case.speed, case.first) == (600.0, 10e3, "left")
    assert case.roll == pytest.approx(np.pi / 4)
    with pytest.raises(FrameError) as found:
        case_of({"height": "", "roll": "high", "first": "roof"})
    assert len(found.value.messages) == 3


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--height", "high"], "a length such as"),
        (["--height", "600 mm", "--speed", "10 mm"], "a speed such as"),
        (["--height", "0"], "a drop's height is more than 0"),
        (["--height", "600 mm", "--pitch", "120 deg"], "pitch is from -90 to 90 deg"),
    ],
)
def test_the_command_refuses_in_a_sentence(options, words):
    done = typed("drop", ROLL_BAR, *options)
    assert done.returncode in (1, 2)
    assert words in " ".join(done.stderr.replace("│", " ").split())


def test_the_command_answers_in_json(tmp_path, monkeypatch):
    monkeypatch.setattr("cagewright.cli.drop.drop_car", lambda *_, **__: answered())
    paper = tmp_path / "drop.pdf"
    words = ["drop", str(ROLL_BAR), "--height", "80 mm", "--json", "--pdf", str(paper)]
    done = CliRunner().invoke(command_line(["drop"]), words)
    assert done.exit_code == 0
    assert json.loads(done.output)["headline"] == answered()[0].headline
    assert paper.read_bytes().startswith(b"%PDF")
