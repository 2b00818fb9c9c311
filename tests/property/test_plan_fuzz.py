"""Whatever a file holds, reading it gives a plan or located problems, nothing else, within two seconds."""

import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from plan_mutations import LONGEST, SMALL, big, spoilt, survives

from cagewright.base.problems import ProblemsFound
from cagewright.job.tube import TubeAnswer, tube_of
from cagewright.plan.read import read_plan
from cagewright.plan.shop import read_shop
from cagewright.plan.tube_file import read_tube_file
from cagewright.plan.types import Plan
from cases import cases
from fitted import brackwater


@pytest.fixture
def plan_reader(tmp_path: Path) -> Callable[[bytes], object]:
    def read(raw: bytes) -> object:
        path = tmp_path / "plan.yaml"
        path.write_bytes(raw)
        return read_plan(path)

    return read


def check(name: str, made: object, took: float) -> None:
    assert isinstance(made, Plan | ProblemsFound), name
    assert took < LONGEST, f"{name} took {took:.2f} s"
    if isinstance(made, ProblemsFound):
        assert all(p.code and p.where.file and p.found and p.wanted for p in made.problems), name
        assert all(str(p).isprintable() for p in made.problems), name
        assert len(made.problems) <= 2000, name


def run(read: Callable[[bytes], object], count: int, seed: int) -> Counter[str]:
    kinds: Counter[str] = Counter()
    for name, raw in spoilt(count, seed):
        try:
            made, took = survives(read, raw)
        except Exception as wrong:
            raise AssertionError(f"{name}: {type(wrong).__name__}: {wrong}") from wrong
        check(name, made, took)
        kinds.update([p.code for p in made.problems] if isinstance(made, ProblemsFound) else ["plan"])
    return kinds


def test_three_hundred_spoilt_files(plan_reader: Callable[[bytes], object]):
    kinds = run(plan_reader, 300, seed=1)
    assert len(kinds) > 15  # the spoiling reaches many kinds of mistake, not only broken YAML


@pytest.mark.slow
def test_five_thousand_spoilt_files(plan_reader: Callable[[bytes], object]):
    kinds = run(plan_reader, 5000, seed=2)
    assert len(kinds) > 25
    assert kinds["plan"] > 50


@pytest.mark.slow
@pytest.mark.parametrize(("name", "raw"), list(big()), ids=[name for name, _ in big()])
def test_big_files(name: str, raw: bytes, plan_reader: Callable[[bytes], object]):
    check(name, *survives(plan_reader, raw))


def test_spoilt_shop_files(tmp_path: Path):
    def read(raw: bytes) -> object:
        (tmp_path / "shop.yaml").write_bytes(raw)
        return read_shop(tmp_path / "shop.yaml")

    shop = (Path(__file__).parents[2] / "examples" / "brackwater.shop.yaml").read_bytes()
    for n in range(300):
        luck = random.Random(n)
        made, took = survives(read, luck.choice(SMALL)(shop, luck))
        assert took < LONGEST, n
        assert made is not None


TUBE = b"""cagewright-tube: 1
member: front_leg_left
units: mm
set: [51.3 deg, 40.3 deg]
readings:
  - {chord: [start, end], says: 1496}
  - {chord: [start, bend1], says: 620.5, size: 0.5 mm}
  - {straight: 2, says: 20 3/8 in}
  - {angle: 1, says: 49.5 deg}
  - {height: end, flat: 1, says: 112}
  - {chord: [bend1, bend2], says: unread}
"""


@pytest.mark.slow
def test_spoilt_readings_of_a_tube(tmp_path: Path):
    def read(raw: bytes) -> object:
        (tmp_path / "tube.yaml").write_bytes(raw)
        return tube_of(brackwater(), "front_leg_left", read_tube_file(tmp_path / "tube.yaml"))

    for n in range(cases(300)):
        luck = random.Random(n)
        made, took = survives(read, luck.choice(SMALL)(TUBE, luck))
        assert took < LONGEST, n
        assert isinstance(made, TubeAnswer | ProblemsFound)


def test_a_reader_that_crashes_is_found_out():
    def crashes(raw: bytes) -> object:
        raise RecursionError("too deep")

    with pytest.raises(AssertionError, match="RecursionError: too deep"):
        run(crashes, 1, seed=1)


def test_a_reader_that_dawdles_is_found_out():
    with pytest.raises(AssertionError, match=r"took 2\.50 s"):
        check("x", Plan.model_construct(), 2.5)
