"""Every sabotage in tests/mutants can be made: what it replaces stands once, and its test is there.

Nothing is run here; a rename that leaves a sabotage behind shows in a second instead of in a deep run.
"""

import ast
import tomllib
from functools import cache
from pathlib import Path

TESTS = Path(__file__).parents[1]
SOURCE = TESTS.parent / "src" / "cagewright"
HERE = "tests/unit/test_mutants_stand.py"


@cache
def text_of(path: Path) -> str:
    return path.read_text(encoding="utf-8") if path.is_file() else ""


@cache
def names_in(path: Path) -> frozenset[str]:
    return frozenset(n.name for n in ast.walk(ast.parse(text_of(path))) if isinstance(n, ast.FunctionDef))


def wrong_with(mutant: dict[str, str]) -> str:
    """What keeps the sabotage from being made or caught, '' where nothing does."""
    stands = text_of(SOURCE / mutant["file"]).count(mutant["old"])
    test, _, name = mutant["test"].partition("::")
    if stands != 1:
        return f"'{mutant['old']}' stands {stands} times in {mutant['file']}"
    if mutant["old"] == mutant["new"]:
        return f"'{mutant['old']}' in {mutant['file']} is replaced by itself"
    if not text_of(TESTS.parent / test):
        return f"no file {test}"
    if name and name.split("[")[0] not in names_in(TESTS.parent / test):
        return f"no test {name} in {test}"
    return ""


def test_every_sabotage_can_be_made():
    wrong = [
        f"{path.name}: {found}"
        for path in sorted((TESTS / "mutants").glob("*.toml"))
        for mutant in tomllib.loads(text_of(path))["mutant"]
        if (found := wrong_with(mutant))
    ]
    assert not wrong, "\n".join(wrong)


def test_what_cannot_be_made_is_said():
    good = {"file": "base/files.py", "old": "def write_atomically(", "new": "def x(", "test": HERE}
    assert not wrong_with(good)
    assert "stands 0 times" in wrong_with(good | {"old": "def nowhere("})
    assert "stands 0 times" in wrong_with(good | {"file": "nowhere.py"})
    assert "no file" in wrong_with(good | {"test": "tests/unit/test_nowhere.py"})
    assert "no test" in wrong_with(good | {"test": f"{HERE}::test_nowhere"})
    assert "by itself" in wrong_with(good | {"new": good["old"]})
