"""Do the few readings of a bent tube find its shape within the stated +-, and name a slip of 10 mm?"""

from dataclasses import replace
from functools import cache

import numpy as np
from scipy.special import chdtri

from bent import benches, bent, read
from cagewright.fitup.tube import TubeOnBench, TubeReading, numbers_of, placed_tube, solve_tube
from cagewright.fitup.tube_choice import choose_tube_readings

SEED = 15
SMALL, FULL = 40, 2000
"""Tubes of the examples, bends and turns within 3 deg, straights within 4 mm, read to 1 mm and 0.3 deg."""
SLIP = 10.0


@cache
def chosen(name: str, bench: TubeOnBench) -> tuple[TubeReading, ...]:
    """The readings of that tube."""
    return tuple(c.reading for c in choose_tube_readings(bench))


def figures(size: int, seed: int) -> dict[str, float]:
    """How many readings, how far ends are out, how often the truth is inside and a slip is named."""
    random = np.random.default_rng(seed)
    whole, each, ends, named, alike, false = 0, [], [], 0, 0, 0
    for _ in range(size):
        name, bench = benches()[int(random.integers(len(benches())))]
        truth = bent(bench, random)
        seen = read(bench, chosen(name, bench), truth, random)
        found = solve_tube(bench, seen)
        false += bool(found.outliers)
        gap = numbers_of(truth) - numbers_of(found.shape)
        whole += float(gap @ np.linalg.solve(found.covariance, gap)) <= float(chdtri(len(gap), 0.05))
        each += (np.abs(gap) <= 1.96 * np.sqrt(np.diag(found.covariance))).tolist()
        ends.append(_ends_off(bench, truth, found.shape))
        lengths = [i for i, r in enumerate(seen) if r.kind != "angle"]
        i = int(random.choice(lengths))
        slipped = replace(seen[i], seen=seen[i].seen + SLIP * float(random.choice([-1.0, 1.0])))
        out = solve_tube(bench, [*seen[:i], slipped, *seen[i + 1 :]]).outliers
        named += any(o.reading == slipped for o in out)
        alike += any(o.reading == slipped or slipped in o.alike for o in out)
    counts = [(len(b.planned.angles), len(chosen(name, b))) for name, b in benches()]
    return {
        "tubes": size,
        **{
            f"most_readings_{n}_bends": max(c for bends, c in counts if bends == n)
            for n in sorted({bends for bends, _ in counts})
        },
        "whole_shape_inside": round(whole / size, 4),
        "each_number_inside": round(float(np.mean(each)), 4),
        "end_median_mm": round(float(np.median(ends)), 3),
        "end_p95_mm": round(float(np.percentile(ends, 95.0)), 3),
        "slip_named": round(named / size, 4),
        "slip_named_or_told_as_alike": round(alike / size, 4),
        "false_alarm": round(false / size, 4),
    }


def _ends_off(bench: TubeOnBench, truth, found) -> float:
    """How far the worse end is out in 3D, the found tube laid as well as can be on the true one, mm."""
    a, b = (placed_tube(s, bench.radius).marks for s in (truth, found))
    one, two = a - a.mean(axis=0), b - b.mean(axis=0)
    u, _, vt = np.linalg.svd(two.T @ one)
    sign = np.diag([1.0, 1.0, np.linalg.det(u @ vt)])
    off = np.linalg.norm(two @ u @ sign @ vt - one, axis=1)
    return float(max(off[0], off[-1]))


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    slack = 2.0 * (0.05 * 0.95 / found["tubes"]) ** 0.5  # the lot's own, two standard deviations
    assert found["most_readings_4_bends"] <= 18
    assert found["whole_shape_inside"] >= 0.95 - slack
    assert found["each_number_inside"] >= 0.93
    assert found["end_median_mm"] <= 2.0
    assert found["slip_named"] >= 0.95 - slack
    assert found["slip_named_or_told_as_alike"] >= 0.98 - slack
