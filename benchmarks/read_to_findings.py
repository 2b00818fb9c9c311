"""Plan text to rule findings for 10, 40 and 160 members, beside a plain YAML load in the same run.

Run: ``python benchmarks/read_to_findings.py``. The cages are those of ``shape_speed.py`` written out as plan
files. The peer is ruamel.yaml's round-trip load, which only reads. Times are medians, warm; growth is the
exponent of time against members fitted through the rows. Budget: 50 ms for 40 members.
"""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable
from functools import partial

import numpy as np
from ruamel.yaml import YAML
from shape_speed import long_car

from cagewright.check.judge import check_books
from cagewright.check.library import built_in
from cagewright.plan.emit import plan_text
from cagewright.plan.read import read_plan_text
from cagewright.plan.types import where_of
from cagewright.shape.resolve import resolve

BOOK = built_in("fia-253-2009")
COUNTS = (10, 40, 160)


def median_ms(work: Callable[[], object], runs: int = 9) -> float:
    work()
    taken: list[float] = []
    for _ in range(runs):
        start = time.perf_counter()
        work()
        taken.append(1e3 * (time.perf_counter() - start))
    return statistics.median(taken)


def findings(text: str) -> object:
    plan = read_plan_text(text, file="bench.yaml")
    return check_books(resolve(plan, partial(where_of, plan)), (BOOK,))


def main() -> None:
    rows: list[tuple[int, float]] = []
    print(
        f"{'members':>8} {'text kB':>8} {'all ms':>8} {'of it reading':>14} {'ruamel load':>12} {'ratio':>6}"
    )
    for count in COUNTS:
        text = plan_text(long_car(count))
        whole, reading = median_ms(partial(findings, text)), median_ms(partial(read_plan_text, text))
        peer = median_ms(partial(YAML().load, text), runs=3)
        rows.append((count, whole))
        print(
            f"{count:8d} {len(text) / 1e3:8.1f} {whole:8.1f} {reading:14.1f} {peer:12.1f} {whole / peer:6.2f}"
        )
    members, times = np.log(np.array(rows)).T
    print(f"growth: members^{np.polyfit(members, times, 1)[0]:.2f}; budget 50 ms for 40 members")


if __name__ == "__main__":
    main()
