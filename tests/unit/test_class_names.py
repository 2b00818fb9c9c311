"""No class name stands for two things."""

import ast
from collections import defaultdict
from collections.abc import Mapping
from pathlib import Path

SRC = Path(__file__).parents[2] / "src" / "cagewright"


def named_twice(texts: Mapping[str, str]) -> dict[str, list[str]]:
    """The files of each class name that more than one class has."""
    found: defaultdict[str, list[str]] = defaultdict(list)
    for file, text in texts.items():
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.ClassDef):
                found[node.name].append(file)
    return {name: files for name, files in found.items() if len(files) > 1}


def test_every_class_has_its_own_name():
    texts = {str(p.relative_to(SRC)): p.read_text(encoding="utf-8") for p in SRC.rglob("*.py")}
    assert named_twice(texts) == {}


def test_a_second_use_of_a_name_is_seen():
    one, two = "class Piece: ...", "def f():\n    class Piece: ...\nclass Bar: ..."
    assert named_twice({"a.py": one, "b.py": two}) == {"Piece": ["a.py", "b.py"]}
