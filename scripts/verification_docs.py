"""Write docs/verification.md from the headers of the verification tests: what is checked against what."""

from __future__ import annotations

import ast
from pathlib import Path

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


def page() -> str:
    """The whole page."""
    return HEAD + "".join(section(path) for path in sorted(FOLDER.glob("test_*.py")))


def section(path: Path) -> str:
    """One file's heading, its header's words and how many tests it holds."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    said = ast.get_docstring(tree) or ""
    tests = sum(isinstance(n, ast.FunctionDef) and n.name.startswith("test_") for n in ast.walk(tree))
    return f"\n## {path.name}\n\n{said}\n\n{tests} tests.\n"


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
