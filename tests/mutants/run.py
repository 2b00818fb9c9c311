"""Run the sabotages: each changes one line of the package, and the test it names must fail.

Every ``*.toml`` here lists some: ``file`` under src/cagewright, ``old`` (found once), ``new``, ``test``. One
process loads the third-party libraries and forks for each sabotage, which imports the package afresh from a
copy on its own bench: none pays for loading numpy again, and what a sabotage spoils ends with its process.

With ``--minutes`` those go first whose file the last landed change touched, the rest by turns: each commit
begins where the one before it is likely to have ended.
"""

from __future__ import annotations

import argparse
import ast
import compileall
import contextlib
import importlib
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
import tomllib
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
PACKAGE = ROOT / "src" / "cagewright"
STRIDE = 60
"""Sabotages that a commit's turn moves on by."""
PAUSE = 3 * 3600
"""Commits further apart than this belong to different landings, s."""
LONGEST = 300.0
"""A test that takes longer than this has not caught its sabotage, s."""
LATER = frozenset({"Pynite", "dask", "playwright", "matplotlib"})
"""What hardly a test needs, and takes long to load."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sabotage:
    """One line changed, and the test that must fail then."""

    name: str
    file: str
    old: str
    new: str
    test: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a sabotage's test ended: '' where it caught it, else why not and what it printed."""

    sabotage: Sabotage
    wrong: str
    seconds: float


def read_sabotages(paths: list[Path]) -> list[Sabotage]:
    """Every sabotage of the lists, named by list, number and file."""
    return [
        Sabotage(name=f"{path.stem}-{i}-{row['file']}", **row)
        for path in paths
        for i, row in enumerate(tomllib.loads(path.read_text(encoding="utf-8"))["mutant"])
    ]


def in_turn(sabotages: list[Sabotage], changed: set[str], commit: int) -> list[Sabotage]:
    """First those whose file was changed, then the rest, each from where that commit's turn begins."""
    first = [s for s in sabotages if s.file in changed]
    rest = [s for s in sabotages if s.file not in changed]
    return [s for part in (first, rest) if part for s in _turned(part, commit * STRIDE % len(part))]


def _turned(part: list[Sabotage], at: int) -> list[Sabotage]:
    return part[at:] + part[:at]


def git(*words: str) -> str:
    """What git says; '' where it cannot."""
    ran = subprocess.run(["git", *words], cwd=ROOT, capture_output=True, text=True)
    return ran.stdout.strip() if ran.returncode == 0 else ""


def landed_before() -> str:
    """The commit that the last landed change was built on: origin's main, else before the last long pause.

    In a clone that is not deep enough to tell it is the oldest commit there.
    """
    base = git("merge-base", "origin/main", "HEAD")
    if base and base != git("rev-parse", "HEAD"):
        return base
    commits = [
        (words.split()[0], int(words.split()[1])) for words in git("log", "--format=%H %ct").splitlines()
    ]
    for (_, newer), (commit, older) in pairwise(commits):
        if newer - older > PAUSE:
            return commit
    return commits[-1][0] if commits else ""


def changed_files(before: str) -> set[str]:
    """The package's files that have changed since that commit, as the sabotages name them."""
    under = "src/cagewright/"
    said = git("diff", "--name-only", before, "HEAD", "--", under) if before else ""
    return {line.removeprefix(under) for line in said.splitlines()}


def load_libraries() -> None:
    """Import whatever third-party module the package or its tests import, so that no fork has to."""
    ours = {p.stem for p in (ROOT / "tests").rglob("*.py")} | {"cagewright"}
    wanted: set[str] = set()
    for path in (*PACKAGE.rglob("*.py"), *(ROOT / "tests").rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Import):
                wanted |= {name.name for name in node.names}
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                wanted.add(node.module)
    for name in sorted(wanted):
        if name.partition(".")[0] not in ours | LATER:
            with contextlib.suppress(ImportError):
                importlib.import_module(name)


def make_bench(place: Path) -> Path:
    """A copy of the package to be spoilt, its files as old as the originals, so what is compiled holds."""
    shutil.copytree(PACKAGE, place / "cagewright")
    compileall.compile_dir(place, quiet=2)
    return place


def begin(sabotage: Sabotage, bench: Path, out: Path) -> int:
    """The process of the named test against the bench's package, already spoilt; it prints into ``out``."""
    process = os.fork()
    if process:
        return process
    code = 9
    try:
        os.setsid()
        with out.open("w") as file:
            os.dup2(file.fileno(), 1)
            os.dup2(file.fileno(), 2)
        sys.path[:0] = [str(bench), str(ROOT / "tests")]
        sys.dont_write_bytecode = True  # the spoilt file's would outlive it
        os.environ |= {"PYTHONPATH": str(bench), "PYTHONDONTWRITEBYTECODE": "1", "CAGEWRIGHT_MADE": ""}
        if "kernels" in sabotage.file:  # not to throw away what is compiled for all the others
            importlib.import_module("numba").config.CACHE_DIR = str(out.parent / f"{out.stem}-kernels")
            os.environ["NUMBA_CACHE_DIR"] = str(out.parent / f"{out.stem}-kernels")
        os.chdir(ROOT)
        import pytest

        plain = ["-p", "no:cacheprovider", "-p", "no:xdist", "--hypothesis-profile", "deep"]
        code = int(pytest.main(["-x", *plain, sabotage.test]))
    finally:
        os._exit(code)


def spoil(file: Path, old: str, new: str) -> tuple[str, os.stat_result]:
    """What the file held and when it was written, for ``restore``; it holds ``new`` for ``old`` now.

    Raises:
        ValueError: ``old`` does not stand in it exactly once.
    """
    text, times = file.read_text(encoding="utf-8"), file.stat()
    if text.count(old) != 1:
        raise ValueError(f"'{old}' stands {text.count(old)} times in {file.name}")
    file.write_text(text.replace(old, new), encoding="utf-8")
    return text, times


def restore(file: Path, was: tuple[str, os.stat_result]) -> None:
    """The file as it was, its time too: what was compiled from it holds again."""
    file.write_text(was[0], encoding="utf-8")
    os.utime(file, ns=(was[1].st_atime_ns, was[1].st_mtime_ns))


def judged(sabotage: Sabotage, code: int, printed: str, seconds: float) -> Ended:
    """How a sabotage ended whose test gave that exit code and printed that."""
    caught = code == 1 and "FAILED" in printed
    return Ended(
        sabotage=sabotage, wrong="" if caught else printed[-3000:] or f"exit {code}", seconds=seconds
    )


@dataclass(slots=True, kw_only=True)
class Running:
    """A sabotage under way on a bench."""

    sabotage: Sabotage
    bench: Path
    out: Path
    was: tuple[str, os.stat_result]
    begun: float

    @property
    def file(self) -> Path:
        """The spoilt file."""
        return self.bench / "cagewright" / self.sabotage.file


def run_all(sabotages: list[Sabotage], place: Path, *, benches: int, until: float) -> list[Ended]:
    """How each sabotage ended that could be begun before ``until``, a time as time.monotonic() tells it."""
    free = [make_bench(place / f"bench{i}") for i in range(benches)]
    waiting, running, ended = list(sabotages), dict[int, Running](), list[Ended]()
    while running or (waiting and time.monotonic() < until):
        while free and waiting and time.monotonic() < until:
            sabotage, bench = waiting.pop(0), free.pop()
            was = spoil(bench / "cagewright" / sabotage.file, sabotage.old, sabotage.new)
            out = place / f"{len(ended) + len(running)}-{bench.name}.txt"
            process = begin(sabotage, bench, out)
            running[process] = Running(
                sabotage=sabotage, bench=bench, out=out, was=was, begun=time.monotonic()
            )
        time.sleep(0.02)
        for process, run in list(running.items()):
            done, status = os.waitpid(process, os.WNOHANG)
            seconds = time.monotonic() - run.begun
            if not done and seconds < LONGEST:
                continue
            if not done:
                os.killpg(process, signal.SIGKILL)
                os.waitpid(process, 0)
            code = os.waitstatus_to_exitcode(status) if done else -1
            ended.append(judged(run.sabotage, code, run.out.read_text(errors="replace"), seconds))
            tell(ended[-1], len(ended), len(sabotages))
            restore(run.file, run.was)
            free.append(run.bench)
            del running[process]
    return ended


def tell(ended: Ended, number: int, of: int) -> None:
    """Print how a sabotage ended where it was not caught, and now and then how far the run is."""
    if ended.wrong:
        s = ended.sabotage
        print(f"NOT CAUGHT {s.name}: '{s.old}' -> '{s.new}' by {s.test}\n{ended.wrong}", flush=True)
    elif number % 25 == 0:
        print(f"{number} of {of}", flush=True)


def main() -> int:
    """Exit code: 0 every sabotage that was run is caught, 1 one is not, 2 there is none to run."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("lists", nargs="*", type=Path, help="lists of sabotages; else all beside this file")
    ask.add_argument("--minutes", type=float, help="begin none after that long")
    ask.add_argument("--only", default="", help="those whose name holds this")
    ask.add_argument("--slowest", type=int, default=0, help="also tell the slowest of them")
    wanted = ask.parse_args()
    begun = time.monotonic()
    sabotages = [
        s for s in read_sabotages(wanted.lists or sorted(HERE.glob("*.toml"))) if wanted.only in s.name
    ]
    if not sabotages:
        print("no such sabotage")
        return 2
    if wanted.minutes:
        turn = int(git("rev-list", "--count", "HEAD") or 0)
        sabotages = in_turn(sabotages, changed_files(landed_before()), turn)
    for pool in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS"):
        os.environ[pool] = "1"  # the libraries are loaded here before the package could say so
    with tempfile.TemporaryDirectory(prefix="sabotages") as place:
        load_libraries()
        until = begun + 60.0 * wanted.minutes if wanted.minutes else float("inf")
        ended = run_all(sabotages, Path(place), benches=os.cpu_count() or 1, until=until)
    for e in sorted(ended, key=lambda e: -e.seconds)[: wanted.slowest]:
        print(f"{e.seconds:6.1f} s  {e.sabotage.name}")
    missed, left = sum(bool(e.wrong) for e in ended), len(sabotages) - len(ended)
    took = f"{time.monotonic() - begun:.0f} s"
    print(f"sabotages: {len(ended) - missed} caught, {missed} not caught, {left} for another turn, in {took}")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main())
