"""One-line sabotages of the source, each of which a named test must catch.

Every ``*.toml`` here lists them: ``file`` under src/cagewright, ``old`` (found once), ``new``, ``test``.
"""

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
MUTANTS = [
    (path.stem, mutant)
    for path in sorted(HERE.glob("*.toml"))
    for mutant in tomllib.loads(path.read_text(encoding="utf-8"))["mutant"]
]


def run(test: str, source: Path) -> subprocess.CompletedProcess[str]:
    """The named test's run against the package in ``source``."""
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-x", "-p", "no:cacheprovider", "-p", "no:xdist", test],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(source), "NUMBA_CACHE_DIR": str(source / "cache")},
        capture_output=True,
        text=True,
        timeout=600,
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("group", "mutant"), MUTANTS, ids=[f"{g}-{i}-{m['file']}" for i, (g, m) in enumerate(MUTANTS)]
)
def test_sabotage_is_caught(group: str, mutant: dict[str, str], tmp_path: Path):
    shutil.copytree(
        ROOT / "src" / "cagewright",
        tmp_path / "cagewright",
        ignore=shutil.ignore_patterns("__pycache__", "*.nb?"),
    )
    target = tmp_path / "cagewright" / mutant["file"]
    text = target.read_text(encoding="utf-8")
    assert text.count(mutant["old"]) == 1, f"{mutant['file']}: '{mutant['old']}' must stand exactly once"
    target.write_text(text.replace(mutant["old"], mutant["new"]), encoding="utf-8")
    ended = run(mutant["test"], tmp_path)
    assert ended.returncode == 1, f"not caught:\n{ended.stdout[-2000:]}\n{ended.stderr[-2000:]}"
    assert "FAILED" in ended.stdout, ended.stdout[-2000:]
