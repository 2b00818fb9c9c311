"""One-line sabotages of the source, each of which a named test must catch.

Every ``*.toml`` here lists them: ``file`` under src/cagewright, ``old`` (found once), ``new``, ``test``.
"""

import os
import shutil
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
MUTANTS = [
    (path.stem, mutant)
    for path in sorted(HERE.glob("*.toml"))
    for mutant in tomllib.loads(path.read_text(encoding="utf-8"))["mutant"]
]


@pytest.fixture(scope="session")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the package to be spoilt: one for the whole run, so that its kernels compile once."""
    place = tmp_path_factory.mktemp("bench")
    skip = shutil.ignore_patterns("__pycache__", "*.nb?")
    shutil.copytree(ROOT / "src" / "cagewright", place / "cagewright", ignore=skip)
    return place


@contextmanager
def spoilt(target: Path, old: str, new: str) -> Iterator[None]:
    """The file with ``old``, which must stand in it once, replaced; as it was afterwards, its time too."""
    text, times = target.read_text(encoding="utf-8"), target.stat()
    assert text.count(old) == 1, f"{target.name}: '{old}' must stand exactly once"
    target.write_text(text.replace(old, new), encoding="utf-8")
    try:
        yield
    finally:
        target.write_text(text, encoding="utf-8")
        os.utime(target, ns=(times.st_atime_ns, times.st_mtime_ns))


def run(test: str, source: Path) -> subprocess.CompletedProcess[str]:
    """The named test's run against the package in ``source``."""
    plain = ["-p", "no:cacheprovider", "-p", "no:xdist"]
    return subprocess.run(
        [sys.executable, "-B", "-m", "pytest", "-x", *plain, test],
        cwd=ROOT,
        env={**os.environ, "PYTHONPATH": str(source), "NUMBA_CACHE_DIR": str(source / "cache")},
        capture_output=True,
        text=True,
        timeout=900,
    )


@pytest.mark.slow
@pytest.mark.parametrize(
    ("group", "mutant"), MUTANTS, ids=[f"{g}-{i}-{m['file']}" for i, (g, m) in enumerate(MUTANTS)]
)
def test_sabotage_is_caught(group: str, mutant: dict[str, str], bench: Path):
    with spoilt(bench / "cagewright" / mutant["file"], mutant["old"], mutant["new"]):
        ended = run(mutant["test"], bench)
    assert ended.returncode == 1, f"not caught:\n{ended.stdout[-2000:]}\n{ended.stderr[-2000:]}"
    assert "FAILED" in ended.stdout, ended.stdout[-2000:]
