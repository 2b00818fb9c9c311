"""The adjustment beside scipy's least squares on the same equations, same run: time ratio."""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from cagewright.fitup.adjust import adjust
from cagewright.fitup.network import placed, predicted, rows_of
from fitted import disturbed, front, taken


def main() -> None:
    net, readings = front()
    rng = np.random.default_rng(1)
    seen = taken(net, readings, disturbed(net, rng)[1], rng)
    rows = rows_of(net, seen)
    soft = np.tile([1 / 50.0] * 3 + [10.0] * 3, len(net.bodies))

    def left(x: np.ndarray) -> np.ndarray:
        places = placed(net, x.reshape(-1, 6))
        return np.concatenate([(rows.seen - predicted(rows, places)) / rows.size, soft * x])

    start = time.perf_counter()
    for _ in range(20):
        adjust(net, seen)
    own = time.perf_counter() - start
    start = time.perf_counter()
    for _ in range(20):
        least_squares(left, np.zeros(6 * len(net.bodies)), x_scale="jac")
    print(f"scipy.optimize / adjust (with its tests of slips): {(time.perf_counter() - start) / own:.1f} x")


if __name__ == "__main__":
    main()
