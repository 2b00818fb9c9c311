"""The picture of the view ahead, beside rays shot at every tube in plain numpy in the same run.

Run: ``python benchmarks/sight_panorama.py``. The peer shoots one ray through the middle of every cell from
each eye and takes its least distance to points every 10 mm of every tube. Both must agree but for cells on an
outline. Growth is the exponent between neighbouring rows: 1 is in proportion.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from cagewright.check.sight.findings import sight_findings
from cagewright.check.sight.panorama import TALL, WIDE, Panorama, panorama
from cagewright.check.sight.seen import sight
from cagewright.plan.read import read_plan
from cagewright.shape.outlines import along
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage

ROOT = Path(__file__).parents[1]
STEP = math.radians(2.0)


def best(work: Callable[[], object], times: int = 5) -> float:
    """The shortest of a few warm runs, s."""
    work()
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return min(spent)


def rays() -> np.ndarray:
    """Unit directions (rows, columns, 3) through the cells' middles."""
    right = np.arange(-WIDE + STEP / 2.0, WIDE, STEP)
    up = np.arange(-TALL + STEP / 2.0, TALL, STEP)
    a, e = np.meshgrid(right, up)
    return np.stack([-np.cos(a) * np.cos(e), np.sin(a) * np.cos(e), np.sin(e)], axis=-1)


def shot(cage: Cage, eye: np.ndarray, ways: np.ndarray) -> np.ndarray:
    """Cells (rows, columns) whose ray from ``eye`` meets a tube: distance of the ray to chords of 10 mm."""
    hit = np.zeros(ways.shape[:2], dtype=bool)
    for member in cage.members:
        points = along(member.path, step=10.0) - eye
        for p in points:
            ahead = ways @ p
            away = np.maximum(p @ p - ahead**2, 0.0)
            hit |= (ahead > 0.0) & (away < member.tube.radius**2)
    return hit


def both_by_rays(cage: Cage, seen: Panorama) -> np.ndarray:
    ways = rays()
    left, right = (shot(cage, eye, ways) for eye in seen.eyes)
    return left & right


def copies(cage: Cage, times: int) -> Cage:
    """The cage with every member ``times`` over: the same view, more work."""
    more = [replace(m, name=f"{m.name}_{i}") for i in range(times) for m in cage.members]
    return replace(cage, members=tuple(more))


def main() -> None:
    demo = resolve(read_plan(ROOT / "examples" / "brackwater.yaml"))
    seen = panorama(demo, step=STEP)
    ours = best(lambda: panorama(demo, step=STEP))
    peer = best(lambda: both_by_rays(demo, seen), times=1)
    same = float(np.mean(seen.both == both_by_rays(demo, seen)))
    print(
        f"picture, 2 degree cells: {1e3 * ours:.1f} ms; "
        f"rays {1e3 * peer:.0f} ms, {peer / ours:.1f} times as long"
    )
    print(f"cells alike: {100.0 * same:.1f} %")
    print(f"picture, half-degree cells: {1e3 * best(lambda: panorama(demo)):.1f} ms")
    print(f"angles of every pillar, one set of eyes: {1e3 * best(lambda: sight(demo)):.1f} ms")
    print(f"all findings on sight: {1e3 * best(lambda: sight_findings(demo)):.1f} ms")
    before: tuple[int, float] | None = None
    for times in (1, 2, 4, 6):
        cage = copies(demo, times)
        spent = best(lambda cage=cage: (sight_findings(cage), panorama(cage)), times=3)
        growth = (
            ""
            if before is None
            else f", growth {math.log(spent / before[1]) / math.log(times / before[0]):.2f}"
        )
        print(f"{len(cage.members)} members: findings and picture {1e3 * spent:.0f} ms{growth}")
        before = (times, spent)


if __name__ == "__main__":
    main()
