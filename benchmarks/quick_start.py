"""How soon the quick commands answer, beside a Python that only loads numpy, in the same run.

Run: ``python benchmarks/quick_start.py``. Processor time and peak memory of whole processes, least of five;
exit code 1 where a command is over its budget.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

TIMES = 5
SECONDS, MEGABYTES = 0.3, 60.0
PLAN = str(Path(__file__).parents[1] / "examples" / "brackwater.yaml")
PEER = ["-c", "import numpy"]
COMMANDS = {
    "--help": ["--help"],
    "cope": ["cope", "--branch", "38x2.5", "--main", "45"],
    "bend": ["bend", "--od", "38", "--wall", "2.5", "--clr", "114", "--angle", "90"],
    "schema": ["schema"],
    "order --door": ["order", PLAN, "--door", "door_opening_left"],
}
OWN = {"order --door": (3.0, 400.0)}
"""Processor time, s, and memory, MB, of those that do a job."""


def cost(words: list[str]) -> tuple[float, float]:
    """Processor time, s, and peak memory, MB, of the interpreter with those words; silent."""
    process = os.posix_spawn(
        sys.executable,
        [sys.executable, *words],
        {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"},
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )
    _, status, used = os.wait4(process, 0)
    assert status == 0, words
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def least(words: list[str]) -> tuple[float, float]:
    cost(words)  # the first compiles what has changed
    runs = [cost(words) for _ in range(TIMES)]
    return min(s for s, _ in runs), min(m for _, m in runs)


def main() -> int:
    peer, peer_memory = least(PEER)
    print(f"{'import numpy':>14}  {peer:.2f} s           {peer_memory:4.0f} MB")
    over = False
    for name, words in COMMANDS.items():
        spent, memory = least(["-m", "cagewright", *words])
        most, room = OWN.get(name, (SECONDS, MEGABYTES))
        wrong = spent > most or memory > room
        over |= wrong
        print(
            f"{name:>14}  {spent:.2f} s ({spent / peer:4.1f} x) {memory:4.0f} MB{'  over' if wrong else ''}"
        )
    return int(over)


if __name__ == "__main__":
    sys.exit(main())
