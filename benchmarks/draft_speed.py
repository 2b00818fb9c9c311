"""Draft and tight-fit, as ratios beside resolving the same cage in the same run; budgets 1 s."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))

from bodies import SALOON, mesh, survey  # noqa: E402
from cagewright.draft.fit import Freedom, fit  # noqa: E402
from cagewright.draft.layout import draft  # noqa: E402
from cagewright.draft.limits import Limits  # noqa: E402
from cagewright.draft.measured import measured  # noqa: E402
from cagewright.job.opening import open_job  # noqa: E402
from cagewright.shape.cloud import cloud_of  # noqa: E402
from cagewright.shape.mesh import mesh_of  # noqa: E402
from cagewright.shape.resolve import resolve  # noqa: E402
from cagewright.shape.scan import Scan  # noqa: E402
from cagewright.shape.shell import Shell, shell_of  # noqa: E402

RUNS = 3
TRIANGLES = (50_000, 200_000)


def seconds(work: Callable[[], object]) -> float:
    """Processor seconds of one run, the median of a few; other work on the machine is left out."""
    took: list[float] = []
    for _ in range(RUNS):
        start = time.process_time()
        work()
        took.append(time.process_time() - start)
    return median(took)


def main() -> None:
    job = open_job(ROOT / "examples" / "brackwater.yaml")
    peer = seconds(lambda: resolve(job.plan))
    print(f"{'work':44} {'cpu s':>8} {'x resolve':>10}")
    print(f"{'resolve the demo (the peer)':44} {peer:8.3f} {1.0:10.1f}")
    file = survey(SALOON, noise=1.0)
    lines = shell_of(job.cage, None)
    rows: list[tuple[str, Callable[[], object]]] = [
        ("survey: solve, slips", lambda: measured(file)),
        ("draft the saloon (budget 1 s)", lambda: draft(file, Limits(), job.shop)),
        ("fit the demo to its lines (budget 1 s)", lambda: fit(job.plan, lines, Freedom(), job.shop)),
    ]
    for count in TRIANGLES:
        shell = mesh_of(*mesh(SALOON, int(count * 1.25)))  # a fifth of them lie in the doors and are left out
        scan = Scan(name="a", mesh=shell, cloud=cloud_of(shell), watertight=False, residuals=(), notes=())
        body = Shell(lines=lines.lines, scan=scan)
        name = f"fit the demo to {len(shell.faces)} triangles (budget 1 s)"
        rows.append((name, lambda body=body: fit(job.plan, body, Freedom(), job.shop)))
    for name, work in rows:
        took = seconds(work)
        print(f"{name:44} {took:8.3f} {took / peer:10.1f}")


if __name__ == "__main__":
    main()
