"""A scan placed by six picks and read into a survey, as a whole command: processor time and peak memory.

Run: ``python benchmarks/scan_reading.py [TRIANGLES ...]``; 200 000 and 1 000 000 where not given. The body is
an invented estate, its scan turned and moved. No peer does the same: budgets are 5 s for 200 000, 10 s and
1 GB for 1 000 000, processor time.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

import numpy as np
from scipy.spatial.transform import Rotation

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from cagewright.plan.survey_text import survey_text  # noqa: E402
from car_bodies import ESTATE, car_mesh, car_survey, marks  # noqa: E402
from saloon import stl  # noqa: E402

PICKS = (
    "sill_side_left",
    "sill_side_right",
    "turret_left",
    "turret_right",
    "pillar_top_left",
    "cant_rail_right",
)
TURN, SHIFT = Rotation.from_euler("xyz", [8.0, -5.0, 20.0], degrees=True), np.array([900.0, -300.0, 250.0])
BUDGETS = {200_000: (5.0, 1024.0), 1_000_000: (10.0, 1024.0)}
MADE = 1.28
"""The mesh comes out with about so many times fewer triangles than are asked for."""


def written(folder: Path, triangles: int) -> Path:
    """The survey with its scan beside it."""
    corners, faces = car_mesh(ESTATE, round(MADE * triangles))
    stl(folder / "shell.stl", TURN.apply(corners) + SHIFT, faces)
    at = marks(ESTATE)
    seen = {n: (TURN.apply(at[n]) + SHIFT).round(1).tolist() for n in PICKS}
    pairs = [f"{{scan: {seen[n]}, car: {at[n].round(1).tolist()}}}" for n in PICKS]
    path = folder / "body.survey.yaml"
    scan = f"scan: {{file: shell.stl, units: mm, points: [{', '.join(pairs)}]}}\n"
    path.write_text(survey_text(car_survey(ESTATE)) + scan, encoding="utf-8")
    print(f"{len(faces):,} triangles", end="  ", flush=True)
    return path


def spent(path: Path) -> tuple[float, float]:
    """Processor time (s) and peak memory (MB) of the command by itself."""
    words = [sys.executable, "-m", "cagewright", "survey", "read-scan", str(path), "--dry"]
    child = os.posix_spawn(
        words[0], words, os.environ, file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    )
    _, ended, used = os.wait4(child, 0)
    if ended:
        raise SystemExit(f"the command ended with {ended}")
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def main(counts: list[int]) -> int:
    """Exit code: 0 every budget is kept, 1 one is not."""
    over = 0
    for count in counts or list(BUDGETS):
        with tempfile.TemporaryDirectory() as folder:
            seconds, memory = spent(written(Path(folder), count))
        print(f"{seconds:6.2f} s  {memory:6.0f} MB")
        most, room = BUDGETS.get(count, (np.inf, np.inf))
        over += seconds > most or memory > room
    return min(over, 1)


if __name__ == "__main__":
    sys.exit(main([int(word) for word in sys.argv[1:]]))
