"""Findings of every built-in book on cages of 10, 40 and 160 members: times and growth.

Run: ``python benchmarks/check_speed.py [--quick]``. Cages are the demo cage's members, cut short or several
times over, side by side. The peer, in the same run, is the least any checker must do: read tube, bends and
foot plates of every member as plain numbers and compare each with one limit, without findings or words.
Growth is the exponent between neighbouring rows: 1 is in proportion to the members.
"""

from __future__ import annotations

import math
import sys
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np

from cagewright.base.curves import Arc, Chain, Line
from cagewright.check.judge import check_books
from cagewright.check.library import book_ids, built_in
from cagewright.plan.read import read_plan
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage, Foot, Joint, Member

ROOT = Path(__file__).parents[1]
BUDGET = 0.050
"""s: reading, resolving, copes and findings of a 40-member plan together."""


def best(work: Callable[[], object], times: int) -> float:
    """The shortest of a few warm runs, s."""
    work()
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        spent.append(time.perf_counter() - start)
    return min(spent)


def grown(cage: Cage, count: int) -> Cage:
    """The cage with just so many members: several side by side, 3 m apart, the last one cut short."""
    members: list[Member] = []
    joints: list[Joint] = []
    feet: list[Foot] = []
    for copy in range(math.ceil(count / len(cage.members))):
        tail = f"_{copy}" if copy else ""
        members += [shifted(m, tail, 3000.0 * copy) for m in cage.members]
        joints += [joint_of(j, tail, 3000.0 * copy) for j in cage.joints]
        feet += [foot_of(f, tail, 3000.0 * copy) for f in cage.feet]
    members = members[:count]
    kept = {m.name for m in members}
    return replace(
        cage,
        members=tuple(members),
        joints=tuple(j for j in joints if {j.branch, *j.mains} <= kept),
        feet=tuple(
            replace(f, members=named) for f in feet if (named := tuple(n for n in f.members if n in kept))
        ),
        gussets=tuple(g for g in cage.gussets if set(g.between) <= kept),
    )


def shifted(member: Member, tail: str, across: float) -> Member:
    by = [0.0, across, 0.0]
    pieces = tuple(
        Line(start=p.start + by, stop=p.stop + by) if isinstance(p, Line) else _arc(p, by)
        for p in member.path.pieces
    )
    bends = tuple(replace(b, apex=b.apex + by) for b in member.bends)
    path = Chain(pieces=pieces, starts=member.path.starts)
    return replace(member, name=member.name + tail, path=path, bends=bends)


def _arc(arc: Arc, by: list[float]) -> Arc:
    return Arc(centre=arc.centre + by, radius=arc.radius, u=arc.u, v=arc.v, angle=arc.angle)


def joint_of(joint: Joint, tail: str, across: float) -> Joint:
    mains = tuple(main + tail for main in joint.mains)
    point = joint.point + np.array([0.0, across, 0.0])
    return replace(joint, name=joint.name + tail, branch=joint.branch + tail, mains=mains, point=point)


def foot_of(foot: Foot, tail: str, across: float) -> Foot:
    point = foot.point + np.array([0.0, across, 0.0])
    return replace(
        foot, name=foot.name + tail, point=point, members=tuple(name + tail for name in foot.members)
    )


def peer(cage: Cage) -> int:
    """The plain comparisons, by hand."""
    short = sum(not ((m.tube.od >= 38 and m.tube.wall >= 2.5) or m.tube.od >= 50) for m in cage.members)
    tight = sum(b.clr / m.tube.od < 3 for m in cage.members for b in m.bends)
    return short + tight + sum(f.contact < 12000 or f.plate[2] < 3 for f in cage.feet)


def main() -> None:
    quick = "--quick" in sys.argv
    times = 3 if quick else 20
    demo = resolve(read_plan(ROOT / "examples" / "brackwater.yaml"))
    books = [built_in(book_id) for book_id in book_ids()]
    one = [built_in("fia-253-2009")]
    rows = sum(len(book.rules) for book in books)
    print(f"{len(books)} books, {rows} rows; FIA alone {len(one[0].rules)} rows")
    print(
        f"{'members':>8} {'FIA ms':>8} {'all ms':>8} {'findings':>9} {'peer ms':>8}"
        f" {'all/peer':>9} {'growth':>7}"
    )
    before: tuple[int, float] | None = None
    for count in (10, 40, 160):
        cage = grown(demo, count)
        fia = best(lambda c=cage: check_books(c, one), times)
        every = best(lambda c=cage: check_books(c, books), times)
        plain = best(lambda c=cage: peer(c), times)
        found = len(check_books(cage, books))
        growth = "" if before is None else f"{math.log(every / before[1]) / math.log(count / before[0]):.2f}"
        print(
            f"{count:>8} {fia * 1e3:>8.1f} {every * 1e3:>8.1f} {found:>9} {plain * 1e3:>8.3f}"
            f" {every / plain:>9.0f} {growth:>7}"
        )
        if count == 40:
            print(
                f"{'':>8} FIA alone: {fia / BUDGET:.0%} of the {BUDGET * 1e3:.0f} ms from reading to findings"
            )
        before = (count, every)


if __name__ == "__main__":
    main()
