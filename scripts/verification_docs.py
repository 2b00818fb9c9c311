"""Write docs/verification.md from the headers of the verification tests: what is checked against what."""

from __future__ import annotations

import ast
from collections.abc import Iterable
from pathlib import Path

from cagewright.check.belts.limits import BeltLimit, limits
from cagewright.check.findings import Known, known_by
from cagewright.check.library import book_ids, built_in
from cagewright.check.rules import Rule

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "tests" / "verification"
PAGE = ROOT / "docs" / "verification.md"
HEAD = """\
# What is checked against what

Every file below holds one published source, general-purpose program or hand derivation, and the tests that
hold this project to it. The words are the head of the file: they name the source, how sure its figures are,
and why a tolerance is what it is. Written by `scripts/verification_docs.py`; run one file with
`.venv/bin/pytest tests/verification/FILE`.
"""
KNOWN_AS: tuple[Known, ...] = ("read", "restated", "restated once", "remembered", "computed")
RULES = """
## The rule books' rows

A figure that was read in the text, or that two sources restate who do not depend on each other, passes
and fails. One that a single source restates fails what breaks it, and what keeps it only looks kept. One
from memory neither passes nor fails. For every row there is a cage that keeps it, one that breaks it and
one that cannot be told (`tests/rules/row_cases.py`, by plain geometry from the row's own limit); the
figures themselves are held to their sources in `tests/rules/test_check_published_figures.py` and
`tests/rules/test_check_restated_figures.py`; and of a plan that keeps every row of `fia-253-2020` each is
broken by itself (`tests/rules/test_check_one_rule_broken.py`), as is each row of the other books in a heavier
one (`tests/data/rules/one_row_of_each_book.toml` lists what falls with it, and which rows no edit breaks).
Row by row: [the books](books/README.md).

| rows of | all | read | restated by two | restated once | from memory | computed |
|---|---|---|---|---|---|---|
"""


def page() -> str:
    """The whole page."""
    return HEAD + rules() + "".join(section(path) for path in sorted(FOLDER.glob("test_*.py")))


def rules() -> str:
    """How the figures of the rule books and of the belts' rows are known, counted."""
    rows = [rule for book_id in book_ids() for rule in built_in(book_id).rules]
    lines = [
        f"| {what} | {len(found)} | " + " | ".join(str(_count(found, known)) for known in KNOWN_AS) + " |"
        for what, found in (("rule books", rows), ("belts", limits()))
    ]
    return RULES + "\n".join(lines) + "\n"


def _count(rows: Iterable[Rule | BeltLimit], known: Known) -> int:
    return sum(known_by(row.certainty, row.confirmed) == known for row in rows)


def section(path: Path) -> str:
    """One file's heading, its header's words and how many tests it holds."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    said = ast.get_docstring(tree) or ""
    tests = sum(isinstance(n, ast.FunctionDef) and n.name.startswith("test_") for n in ast.walk(tree))
    return f"\n## {path.name}\n\n{said}\n\n{tests} tests.\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
