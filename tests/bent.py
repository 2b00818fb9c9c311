"""Tubes as a bender might have left them: each bend, turn and straight wrong by lot, and read."""

import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from cagewright.fitup.tube import TubeOnBench, TubeReading, bench_of, equations_of, many, numbers_of, shape_by
from cagewright.fitup.tube_choice import choose_tube_readings
from cagewright.fitup.tube_taken import line_of
from cagewright.job.opening import open_job
from cagewright.shape.tube_shape import TubeShape
from fitted import brackwater

EXAMPLES = Path(__file__).parent.parent / "examples"
PLANS = ("brackwater.yaml", "pellworth.yaml", "roll-bar.yaml")


@cache
def benches() -> tuple[tuple[str, TubeOnBench], ...]:
    """Every bent tube of the examples that is not another's mirror, with its name."""
    jobs = [open_job(EXAMPLES / name) for name in PLANS]
    return tuple(
        (m.name, bench_of(m, j.shop)) for j in jobs for m in j.cage.members if m.bends and not m.mirror_of
    )


def bent(bench: TubeOnBench, random: np.random.Generator, *, deg: float = 3.0, mm: float = 4.0):
    """The tube with bends and turns within ``deg`` and straights within ``mm`` of the plan, by lot."""
    n = len(bench.planned.angles)
    state = random.uniform(-1.0, 1.0, many(bench.planned))
    state[: n + 1] *= mm
    state[n + 1 :] *= np.radians(deg)
    return shape_by(bench.planned, state)


def read(bench: TubeOnBench, readings, shape, random: np.random.Generator | None) -> list[TubeReading]:
    """Those readings of a tube of that shape, with noise of their own size (none without ``random``)."""
    left = equations_of(bench).scaled(readings, numbers_of(shape) - numbers_of(bench.planned))[1]
    true = [replace(r, seen=r.seen - float(v) * r.size) for r, v in zip(readings, left, strict=True)]
    if random is None:
        return true
    return [replace(r, seen=r.seen + float(random.normal(0.0, r.size))) for r in true]


def member_bench(name: str) -> TubeOnBench:
    """A tube of the first demo as it should lie on the bench."""
    member = next(m for m in brackwater().cage.members if m.name == name)
    return bench_of(member, brackwater().shop)


def off(shape: TubeShape, *, bend=(), straight=()) -> TubeShape:
    """The shape with bends so many degrees over and straights so many mm longer, by number from 1."""
    angles, straights = list(shape.angles), list(shape.straights)
    for k, deg in bend:
        angles[k - 1] += math.radians(deg)
    for k, mm in straight:
        straights[k - 1] += mm
    return replace(shape, angles=tuple(angles), straights=tuple(straights))


def lines_of(bench: TubeOnBench, shape: TubeShape) -> list[dict]:
    """The chosen readings of a tube of that shape, taken without error, as lines of a file."""
    readings = read(bench, [c.reading for c in choose_tube_readings(bench)], shape, None)
    return [line_of(r, f"{np.degrees(r.seen):.6f} deg" if r.kind == "angle" else f"{r.seen:.5f} mm")
            for r in readings]  # fmt: skip


def leg_lines(*, bend=(), straight=()) -> list[dict]:
    """The readings of the first demo's left front leg, off by so much."""
    bench = member_bench("front_leg_left")
    return lines_of(bench, off(bench.planned, bend=bend, straight=straight))
