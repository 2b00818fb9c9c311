"""The browser's types and words are those of the program's answers."""

import importlib.util
import json
import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

import pytest

from cagewright.plan.types import Role

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def maker():
    spec = importlib.util.spec_from_file_location("web_types", ROOT / "scripts" / "web_types.py")
    assert spec
    assert spec.loader
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_what_stands_in_web_is_not_stale(maker):
    assert maker.stale() == []


def test_a_stale_file_is_seen(maker, tmp_path: Path):
    old = tmp_path / "types.d.ts"
    old.write_text("export type Vec3 = [number, number];")
    maker.FILES = {old: maker.types_text, tmp_path / "gone.js": maker.words_text}
    assert maker.stale() == [old, tmp_path / "gone.js"]


def test_every_kind_of_field_has_a_type(maker):
    @dataclass(frozen=True)
    class Inner:
        """Inside."""

        way: Literal["up", "down"]

    types = maker.Types()
    assert types.of(tuple[float, float, float]) == "Vec3"
    assert types.of(tuple[Inner, ...] | None) == "Inner[] | null"
    assert types.of(tuple[tuple[float, float, float], ...]) == "Vec3[]"
    assert types.of(dict[str, float | None]) == "Record<string, number | null>"
    assert '"up" | "down"' in types.made["Inner"]
    with pytest.raises(TypeError):
        types.of(complex)


def test_two_answers_of_one_name_are_refused(maker):
    types = maker.Types()
    types.interface(dataclass(type("Same", (), {"__doc__": "One."})))
    with pytest.raises(TypeError, match="two answers are called Same"):
        types.interface(dataclass(type("Same", (), {"__doc__": "Two."})))


def test_roles_are_the_plans():
    text = (ROOT / "web" / "src" / "vocabulary.js").read_text(encoding="utf-8")
    listed = re.search(r"ROLES = \[(.*?)\]", text, re.DOTALL)
    assert listed
    assert tuple(json.loads(f"[{listed[1].strip().rstrip(',')}]".replace("'", '"'))) == get_args(Role)
