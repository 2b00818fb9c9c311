"""How fast the frame solver is, as ratios beside PyNiteFEA, OpenSeesPy and CalculiX in the same run.

Run ``python benchmarks/frame_speed.py [--peers] [--growth]``. Medians of several runs of the solve alone,
after the kernels are compiled; a peer that is not installed is left out. CalculiX is timed as a whole process
(it reads, solves and writes), with what a process of one element takes told apart. Budgets: linear with six
cases 2 ms for a known topology and 10 ms for a new one; roof push of 150 mm at 40 mm mesh 0.3 s and at least
25 times quicker than OpenSeesPy's dispBeamColumn on the same frame file.
"""

from __future__ import annotations

import argparse
import json
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "benchmarks"), str(ROOT / "scripts"), str(ROOT / "tests" / "verification")]

import frame_calculix  # noqa: E402
from frame_cages import cage  # noqa: E402

from cagewright.frame import assemble as assemble_module  # noqa: E402
from cagewright.frame.contact import Platen, push_with  # noqa: E402
from cagewright.frame.linear import solve_linear  # noqa: E402
from cagewright.frame.neutral import parse_frame, run_push  # noqa: E402
from cagewright.frame.warm import warm_up  # noqa: E402


def median(run: Callable[[], Any], times: int) -> float:
    """Median seconds of ``run``."""
    taken = []
    for _ in range(times):
        begin = time.perf_counter()
        run()
        taken.append(time.perf_counter() - begin)
    return statistics.median(taken)


def six_cases(model: Any) -> np.ndarray:
    """Six load cases (6, n, 6) at six nodes."""
    loads = np.zeros((6, len(model.nodes), 6))
    for k, node in enumerate(np.linspace(5, len(model.nodes) - 6, 6).astype(int)):
        loads[k, node, 2] = -1000.0
    return loads


def linear() -> dict[str, float]:
    """Seconds of six linear cases, known and new topology, and PyNiteFEA's for one."""
    model, _ = parse_frame(json.dumps(cage()))
    loads = six_cases(model)

    def new() -> None:
        assemble_module._KEPT.clear()
        solve_linear(model, loads)

    solve_linear(model, loads)
    return {"same": median(lambda: solve_linear(model, loads), 21), "new": median(new, 11)}


def pynite_seconds() -> float | None:
    """Seconds PyNiteFEA takes for one case of the same cage, its model already built up to the analysis."""
    try:
        from test_frame_pynite import pynite_answer
    except Exception:
        return None
    model, _ = parse_frame(json.dumps({**cage(), "shear": False}))
    loads = six_cases(model)[0]
    return median(lambda: pynite_answer(model, loads), 1)


def pushes(kind: str, target: float) -> tuple[float, str, int]:
    """Median seconds of a push, how it ended, elements."""
    model, push = parse_frame(json.dumps(cage(push=kind, target=target)))
    answer, _ = run_push(model, push)
    seconds = statistics.median(run_push(model, push)[1] for _ in range(7))
    return seconds, answer.end, len(model.elements)


def plain_push() -> tuple[float, float | None, float | None]:
    """Seconds of the roof push without shear here and in OpenSeesPy, and the largest gap over the peak."""
    # its elements keep torque apart from the fibres, elastic
    frame = {**cage(shear=False), "torsion": "elastic"}
    model, push = parse_frame(json.dumps(frame))
    answer, _ = run_push(model, push)
    mine = statistics.median(run_push(model, push)[1] for _ in range(7))
    try:
        import openseespy.opensees as ops
        from frame_renew_opensees import push_curve
    except Exception:
        return mine, None, None
    curve = push_curve(ops, frame)
    theirs = np.array(curve["load_N"])
    gap = np.abs(np.interp(curve["travel_mm"], answer.travel, answer.load) - theirs).max() / theirs.max()
    return mine, curve["seconds"], float(gap)


def calculix(same: float) -> None:
    """Print CalculiX's times and answers beside ours: six linear cases, and a side push past yield."""
    if not frame_calculix.installed():
        print("CalculiX is not installed")
        return
    empty = frame_calculix.startup()
    frame = cage()
    model, asked = parse_frame(json.dumps(frame))
    seconds, _ = frame_calculix.linear(frame, six_cases(model), times=3)
    one = np.zeros((1, len(model.nodes), 6))
    one[0, asked.node, :3] = asked.direction
    _, theirs = frame_calculix.linear(frame, one)
    ours = solve_linear(model, one).displacement[0, asked.node, :3] @ asked.direction
    stiffer = float(ours / (theirs[0, asked.node] @ asked.direction)) - 1.0
    print(f"CalculiX, 6 cases, whole process {seconds * 1e3:8.0f} ms   {seconds / same:.0f} times ours for 6")
    print(f"    {empty * 1e3:.0f} ms for a deck of one element; stiffer than ours by {100 * stiffer:.1f} %")
    frame = cage(push="side", target=100.0)
    model, asked = parse_frame(json.dumps(frame))
    mine = statistics.median(run_push(model, asked)[1] for _ in range(5))
    got, _ = run_push(model, asked)
    seconds, travel, load = frame_calculix.push(frame)
    gap = (np.array(load) - np.interp(travel, got.travel, got.load)) / max(load)
    print(
        f"CalculiX side push of 100 mm     {seconds:8.1f} s    ours {mine:.3f} s, {seconds / mine:.0f} times"
    )
    print(f"    its load less ours, over the peak: {100 * gap.min():.1f} to {100 * gap.max():.1f} %")


def platen_seconds() -> tuple[float, str]:
    """Median seconds of a roof-corner platen push of 127 mm with contact."""
    model, push = parse_frame(json.dumps(cage()))
    normal = np.array([0.0790, -0.4226, -0.9029])
    press = Platen(centre=model.nodes[push.node] - 200.0 * normal, normal=normal, along=np.array([1.0, 0, 0]),
                   length=1829.0, width=762.0)  # fmt: skip
    answer = push_with(model, press=press, target=127.0)
    return median(lambda: push_with(model, press=press, target=127.0), 3), answer.end


def growth() -> list[tuple[int, float, float, float]]:
    """Elements, and seconds of new topology, six cases, and a 60 mm push, from about 300 to 5000 elements."""
    rows = []
    for mesh in (80.0, 40.0, 20.0, 10.0, 4.5):
        model, push = parse_frame(json.dumps(cage(mesh=mesh, target=60.0)))
        loads = six_cases(model)

        def new(model: Any = model, loads: Any = loads) -> None:
            assemble_module._KEPT.clear()
            solve_linear(model, loads)

        fresh, same = median(new, 3), median(lambda m=model, f=loads: solve_linear(m, f), 5)
        rows.append((len(model.elements), fresh, same, run_push(model, push)[1]))
    return rows


def main() -> None:
    given = argparse.ArgumentParser(description=__doc__)
    given.add_argument("--peers", action="store_true", help="also time PyNiteFEA and OpenSeesPy")
    given.add_argument("--growth", action="store_true", help="also time meshes of 300 to 5000 elements")
    asked = given.parse_args()
    warm_up()
    took = linear()
    print(f"linear, 6 cases, same topology   {took['same'] * 1e3:8.2f} ms   budget 2 ms")
    print(f"linear, 6 cases, new topology    {took['new'] * 1e3:8.2f} ms   budget 10 ms")
    for kind, target in (("roof", 150.0), ("side", 200.0)):
        seconds, end, count = pushes(kind, target)
        print(f"{kind} push, {count} elements         {seconds:8.3f} s    budget 0.3 s    {end}")
    seconds, end = platen_seconds()
    print(f"roof platen with contact         {seconds:8.3f} s    {end}")
    if asked.peers:
        peer = pynite_seconds()
        if peer:
            ratio = peer / took["same"]
            print(f"PyNiteFEA, 1 case                {peer * 1e3:8.0f} ms   {ratio:.0f} times ours for 6")
        mine, theirs, gap = plain_push()
        if theirs and gap is not None:
            ratio = theirs / mine
            print(f"OpenSeesPy roof, no shear        {theirs:8.2f} s    ours {mine:.3f} s, {ratio:.0f} times")
            print(f"    budget 25 times; curves within {100 * gap:.2f} % of peak")
        calculix(took["same"])
    if asked.growth:
        print("elements   new ms   same ms   60 mm push s")
        for count, fresh, same, push in growth():
            print(f"{count:8d} {fresh * 1e3:8.1f} {same * 1e3:9.2f} {push:10.2f}")


if __name__ == "__main__":
    main()
