"""Plans spoilt in what they say, their YAML left sound, so that most of them reach the geometry."""

import random
import re
import time
from collections.abc import Iterator
from functools import partial
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import where_of
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage

EXAMPLES = Path(__file__).parents[2] / "examples"
SEEDS = [(EXAMPLES / name).read_text(encoding="utf-8") for name in ("brackwater.yaml", "roll-bar.yaml")]
NUMBER = re.compile(r"(?<=[\[ ])-?\d+(?:\.\d+)?(?=[,\]} ])")
LONGEST = 2.0


def nudged(text: str, luck: random.Random) -> str:
    return replaced(text, luck, lambda old: f"{float(old) + luck.gauss(0.0, 10 ** luck.uniform(-2, 4)):.6g}")


def swapped(text: str, luck: random.Random) -> str:
    other = luck.choice(NUMBER.findall(text))
    return replaced(text, luck, lambda old: other)


def extreme(text: str, luck: random.Random) -> str:
    return replaced(
        text, luck, lambda old: luck.choice(["0", "-0.0", "1e-9", "999999", "-999999", "0.5", "1"])
    )


def replaced(text: str, luck: random.Random, new) -> str:
    hit = luck.choice(list(NUMBER.finditer(text)))
    return text[: hit.start()] + new(hit[0]) + text[hit.end() :]


def renamed(text: str, luck: random.Random) -> str:
    names = re.findall(r"^  (\w+):", text, re.MULTILINE)
    hit = luck.choice(list(re.finditer(r"(?<=on: )\w+|(?<=foot: )\w+", text)))
    return text[: hit.start()] + luck.choice(names) + text[hit.end() :]


WAYS = (nudged, swapped, extreme, renamed)


def spoilt(count: int, seed: int) -> Iterator[str]:
    luck = random.Random(seed)
    for _ in range(count):
        text = luck.choice(SEEDS)
        for _ in range(luck.randint(1, 3)):
            text = luck.choice(WAYS)(text, luck)
        yield text


def outcome(text: str) -> Cage | ProblemsFound:
    took, made = timed(text)
    if took >= LONGEST:  # a full heap swept, or a machine that others use: what is slow is slow twice
        took, made = timed(text)
    assert took < LONGEST, text
    return made


def timed(text: str) -> tuple[float, Cage | ProblemsFound]:
    began = time.process_time()
    try:
        plan = read_plan_text(text, file="spoilt.yaml", folder=EXAMPLES)
        made = resolve(plan, partial(where_of, plan))
    except ProblemsFound as found:
        made = found
    return time.process_time() - began, made


def tried(count: int, seed: int) -> tuple[int, int]:
    """How many became cages, and how many had problems, each of them located."""
    cages = 0
    for text in spoilt(count, seed):
        made = outcome(text)
        if isinstance(made, Cage):
            cages += 1
        else:
            assert all(p.where.line for p in made.problems), f"{made}\n{text}"
    return cages, count - cages


@pytest.mark.slow
def test_a_few_spoilt_plans():
    cages, refused = tried(150, seed=1)
    assert cages > 5
    assert refused > 5


@pytest.mark.slow
def test_thousands_of_spoilt_plans():
    cages, refused = tried(3000, seed=2)
    assert cages > 100
    assert refused > 100
