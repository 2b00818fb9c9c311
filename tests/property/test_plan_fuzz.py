"""Whatever a file holds, reading it gives a plan or located problems, nothing else, within two seconds."""

import random
from collections import Counter
from collections.abc import Callable
from pathlib import Path

import pytest
from plan_mutations import LONGEST, SMALL, big, spoilt, survives

from cagewright.base.problems import ProblemsFound
from cagewright.plan.read import read_plan
from cagewright.plan.shop import read_shop
from cagewright.plan.types import Plan


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


def test_a_reader_that_crashes_is_found_out():
    def crashes(raw: bytes) -> object:
        raise RecursionError("too deep")

    with pytest.raises(AssertionError, match="RecursionError: too deep"):
        run(crashes, 1, seed=1)


def test_a_reader_that_dawdles_is_found_out():
    with pytest.raises(AssertionError, match=r"took 2\.50 s"):
        check("x", Plan.model_construct(), 2.5)
