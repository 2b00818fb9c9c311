"""The published schema says yes and no where the reader does; judged by the jsonschema library."""

import sys
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator
from plans import SOUND
from test_plan_read import CASES

from cagewright.base.problems import ProblemsFound
from cagewright.plan.read import read_plan, read_plan_text
from cagewright.plan.schema import plan_schema, shop_schema
from cagewright.plan.text import parse

ROOT = Path(__file__).parents[3]
sys.path.append(str(ROOT / "tests" / "property"))
from plan_mutations import spoilt  # noqa: E402

PLANS = sorted(p for p in (ROOT / "examples").glob("*.yaml") if not p.name.endswith(".shop.yaml"))
MISTAKES = sorted((ROOT / "examples" / "mistakes").glob("*.yaml"))
OF_ONE_VALUE = {
    "unknown-key", "unknown-word", "missing-key", "wrong-count", "wrong-type", "bad-name", "not-a-place",
    "one-of", "too-long", "empty",
}  # fmt: skip
"""Problems that a schema can see."""
SOMETIMES = {"bad-quantity", "out-of-range", "no-direction"}
"""Problems that it sees in some values: not that a number is absurd, or that a text holds one below 0."""
JUDGE = Draft202012Validator(plan_schema())


def values(text: str) -> Any:
    """The values of the text."""
    source = parse(text, file="f")
    assert source.readable, source.problems
    return source.data


def codes(text: str, folder: Path | None = None) -> set[str]:
    """The kinds of problems that the reader finds in the text."""
    try:
        read_plan_text(text, file="f", folder=folder)
    except ProblemsFound as found:
        return {p.code for p in found.problems}
    return set()


def test_the_schemas_are_schemas():
    Draft202012Validator.check_schema(plan_schema())
    Draft202012Validator.check_schema(shop_schema())
    assert plan_schema()["$schema"] == "https://json-schema.org/draft/2020-12/schema"


@pytest.mark.parametrize("path", PLANS, ids=[p.name for p in PLANS])
def test_the_examples_are_valid(path: Path):
    assert read_plan(path).title
    assert [e.message for e in JUDGE.iter_errors(values(path.read_text("utf-8")))] == []


@pytest.mark.parametrize("path", sorted((ROOT / "examples").glob("*.shop.yaml")), ids=lambda p: p.name)
def test_the_shops_are_valid(path: Path):
    judge = Draft202012Validator(shop_schema())
    data = values(path.read_text("utf-8"))
    assert judge.is_valid(data)
    assert not judge.is_valid({**data, "kerf": -1})
    assert not judge.is_valid({**data, "offcut": {}})
    assert not judge.is_valid({k: v for k, v in data.items() if k != "name"})


@pytest.mark.parametrize("path", MISTAKES, ids=[p.stem for p in MISTAKES])
def test_mistakes_of_one_value_are_refused_by_both(path: Path):
    text = path.read_text("utf-8")
    if not parse(text, file="f").readable:
        return  # no values to judge
    found = codes(text, path.parent)
    if found & OF_ONE_VALUE:
        assert not JUDGE.is_valid(values(text)), found
    elif not found & SOMETIMES:
        assert JUDGE.is_valid(values(text)), found


@pytest.mark.parametrize(("code", "old", "new", "_mark", "_nearest"), CASES)
def test_each_kind_of_wrong_value(code: str, old: str, new: str, _mark: object, _nearest: object):
    data = values(SOUND.replace(old, new))
    if code in OF_ONE_VALUE:
        assert not JUDGE.is_valid(data)
    assert JUDGE.is_valid(values(SOUND))


def test_shorthands_are_in_the_schema():
    text = SOUND.replace("mirror: stay_right", "cut: {start: main, end: [main, main]}\n    removable: yes")
    text = text.replace("at: sill", "at: {point: sill, offset: [0, 0, 1 1/2 in]}")
    assert codes(text) == set()
    assert JUDGE.is_valid(values(text))


@pytest.mark.slow
def test_spoilt_plans_are_judged_alike():
    judged = {True: 0, False: 0}
    for name, raw in spoilt(400, seed=3):
        text = raw.decode("utf-8", "replace")
        source = parse(text, file="f")
        if not source.readable or any(p.code in {"duplicate-key", "tag"} for p in source.problems):
            continue
        found, valid = codes(text, ROOT / "examples"), JUDGE.is_valid(source.data)
        judged[valid] += 1
        assert not (valid and found & OF_ONE_VALUE), f"{name}: the schema misses {found}"
        assert valid or found, f"{name}: the schema refuses a plan that reads"
    assert min(judged.values()) > 30
