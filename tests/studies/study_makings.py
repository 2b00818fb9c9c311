"""Does a folder of papers hold one whole set after each kill of what puts the next in its place?"""

import tempfile
from pathlib import Path

from killed_makings import kills

SEED = 31
SMALL, FULL = 20, 300
"""Kills, each within a tenth of a second of the first set that stands."""


def figures(size: int, seed: int) -> dict[str, float]:
    """How many makings were killed while they wrote; a mixture raises."""
    with tempfile.TemporaryDirectory() as folder:
        return {"times": size, "killed": kills(Path(folder) / "papers", times=size, seed=seed), "mixtures": 0}


def check(found: dict[str, float]) -> None:
    assert found["killed"] >= 0.9 * found["times"]
    assert found["mixtures"] == 0
