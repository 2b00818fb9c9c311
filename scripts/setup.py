"""Set up a checkout: a virtual environment in .venv with the locked packages and the cagewright command.

Runs on a bare Python 3.11 or newer, on any system; on Debian as root it fetches python3-venv where missing.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
OLDEST = (3, 11)


def main() -> int:
    """Exit code: 0 done, 1 something is missing (said in words)."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--dev", action="store_true", help="also what the tests need")
    wanted = ask.parse_args()
    if sys.version_info < OLDEST:
        print(f"Python {OLDEST[0]}.{OLDEST[1]} or newer is needed; this is {sys.version.split()[0]}.")
        return 1
    python = make_environment()
    if python is None:
        return 1
    if wanted.dev:
        fetch_servers()
    lock = "requirements-dev.lock" if wanted.dev else "requirements.lock"
    say("installing the locked packages")
    run([python, "-m", "pip", "install", "-q", "--require-hashes", "-r", ROOT / lock])
    run([python, "-m", "pip", "install", "-q", "--no-deps", "--no-build-isolation", "-e", ROOT])
    run([python, ROOT / "scripts" / "web.py", "--if-older"])
    say("compiling the strength kernels, once for every later run: about half a minute")
    run([python, "-m", "cagewright", "warm-up"])
    (VENV / ".ready").touch()
    say("ready")
    return 0


def say(text: str) -> None:
    print(f"setup: {text}", flush=True)


def run(command: list[object]) -> None:
    subprocess.run([str(word) for word in command], check=True, cwd=ROOT)


def make_environment() -> Path | None:
    python = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
    if (
        python.exists()
        and subprocess.run([python, "-m", "pip", "--version"], capture_output=True).returncode == 0
    ):
        return python
    say(f"making .venv with Python {sys.version.split()[0]}")
    make = [sys.executable, "-m", "venv", "--clear", VENV]
    if subprocess.run(make, capture_output=True).returncode == 0:
        return python
    if fetch_venv_package() and subprocess.run(make).returncode == 0:
        return python
    print(
        "Python's venv module does not work here; on Debian install the package python3-venv, then try again."
    )
    return None


def fetch_venv_package() -> bool:
    return may_fetch() and fetch("python3-venv")


def fetch_servers() -> None:
    """Fetch what some tests start by themselves, where it is missing and may be fetched; else say so."""
    postgresql = any(Path("/usr/lib/postgresql").glob("*/bin/initdb")) or shutil.which("initdb")
    if not postgresql and not (may_fetch() and fetch("postgresql")):
        say("PostgreSQL is not installed: the tests of a record shared by several benches are left out")
    if not shutil.which("chromium") and not (may_fetch() and fetch("chromium")):
        say("Chromium is not installed: the tests of the pages in a browser are left out")


def may_fetch() -> bool:
    return shutil.which("apt-get") is not None and hasattr(os, "geteuid") and os.geteuid() == 0


def fetch(package: str) -> bool:
    say(f"fetching Debian's {package}")
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    updated = subprocess.run(["apt-get", "update", "-qq"], env=quiet).returncode == 0
    return updated and subprocess.run(["apt-get", "install", "-y", "-qq", package], env=quiet).returncode == 0


if __name__ == "__main__":
    sys.exit(main())
