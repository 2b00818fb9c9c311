import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.check.bench_of import bench_of
from cagewright.plan.read import read_plan_text
from cagewright.shape.resolve import resolve

PLAN = """\
cagewright: 1
title: two tubes
tubes: {hoop: {od: 45, wall: 2.5, steel: E355+N, clr: 135}}
members:
  main_hoop:
    role: main rollbar
    tube: hoop
    path: [{foot: l}, [1600, -500, 1150], [1600, 500, 1150], {foot: r}]
  diagonal:
    role: diagonal
    tube: hoop
    path: [{on: main_hoop, side: right, up: 300}, {on: main_hoop, across: -360}]
feet:
  l: {at: [1600, -600, 210], on: sill, plate: [130, 110, 3], mirror: r}
seat: {mounts: {front: {at: [1200, -300, 150]}}}
gussets: {corner: {between: [main_hoop, diagonal], leg: 90, thickness: 1.5, near: [1600, -360, 1150]}}
bench:
"""


def bench(*rows: str):
    plan = read_plan_text(PLAN + "\n".join(f"  {row}" for row in rows), file="p.yaml")
    return bench_of(plan, resolve(plan))


def test_readings_come_in_inside_units():
    made = bench(
        "ovality: {main_hoop: 0.94}",
        "wall: {hoop: 3/32 in}",
        "'welds all round': {diagonal.start: yes}",
        "'gusset hole': {corner: 20}",
        "'seat plate area': {front: 45 cm2}",
    )
    assert made.readings["gusset hole"]["corner"] == pytest.approx(20.0)
    assert made.readings["seat plate area"]["front"] == pytest.approx(4500.0)
    assert made.readings["ovality"]["main_hoop"] == pytest.approx(0.94)
    assert made.readings["wall"]["hoop"] == pytest.approx(2.38125)
    assert made.readings["welds all round"]["diagonal.start"] is True


@pytest.mark.parametrize(
    ("row", "code", "nearest"),
    [
        ("ovalty: {main_hoop: 0.94}", "unknown-bench", "ovality"),
        ("ovality: {main_hop: 0.94}", "unknown-bench", "main_hoop"),
        ("'gusset hole': {corners: 20}", "unknown-bench", "corner"),
        ("'seat plate area': {front: 45 mm}", "bench-value", None),
        ("ovality: {main_hoop: round}", "bench-value", None),
        ("'welds all round': {diagonal.end: perhaps}", "bench-value", None),
    ],
)
def test_mistakes_are_located(row, code, nearest):
    with pytest.raises(ProblemsFound) as caught:
        bench(row)
    (problem,) = caught.value.problems
    assert (problem.code, problem.where.line, problem.nearest) == (code, 18, nearest)
