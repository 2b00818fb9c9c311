"""What of a placed set is joined before it goes in: main rollbar and roof frame, and by which opening."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.answers import Level
from cagewright.base.names import listed, paired
from cagewright.fitup.carry import Passing
from cagewright.fitup.tacking import bench_group
from cagewright.job.bench_first import WHY, openings_tried, passing_at, way_by_first
from cagewright.job.opening import Job
from cagewright.job.order import shell_in
from cagewright.job.passage import PassageAnswer
from cagewright.shape.types import Cage

ROOF_FRAME = frozenset({
    "front rollbar", "lateral rollbar", "lateral half-rollbar", "transverse member", "roof reinforcement",
})  # fmt: skip
"""Roles of the tubes that frame the roof with the main rollbar."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetBench:
    """What of a set is joined on the bench, and how it goes in.

    Attributes:
        tubes: joined there; none where nothing is.
        words: which, or why no more, in a sentence.
        level: how that stands.
        write: whether the plan has to say so for its order to begin with it.
        passage: how they go in, by which opening, and where the whole must lean; None where no opening of the
            body was measured, or nothing is joined.
    """

    tubes: tuple[str, ...]
    words: str
    level: Level
    write: bool
    passage: PassageAnswer | None


def set_bench(job: Job) -> SetBench:
    """Main rollbar and roof frame where they pass an opening in one, else what lies in the rollbar's plane.

    Raises:
        ProblemsFound: the scan cannot be used.
    """
    flat, frame, lines = bench_group(job.cage), roof_frame(job.cage), openings_tried(job)
    shell = shell_in(job)
    if not lines:  # nothing was measured that it could go in by
        none = "no opening of the body is measured: what goes in joined cannot be told"
        return SetBench(tubes=(), words=none, level="cannot tell", write=False, passage=None)
    found: Passing | None = None
    if len(frame) > len(flat):
        found = passing_at(job, shell, lines, frozenset(frame), searches=1)
    tubes = frame if found == "goes" else flat
    way = way_by_first(job, shell, lines, tubes) if tubes else None
    first = f"join {listed(paired(tubes))} on the bench first" if tubes else "nothing is joined on the bench"
    more = [n for n in frame if n not in flat]
    inside = "" if found in (None, "goes") else f", {listed(paired(more))} inside (joined too: {WHY[found]})"
    level = way.level if way else "fine"
    return SetBench(tubes=tubes, words=first + inside, level=level, write=found == "goes", passage=way)


def roof_frame(cage: Cage) -> tuple[str, ...]:
    """The main rollbar with what lies in its plane, and the tubes that frame the roof with it.

    In the plan's order, the main rollbar first; nothing where there is none.
    """
    names = {m.name for m in cage.members if m.role == "main rollbar"} | set(bench_group(cage))
    can, grown = {m.name for m in cage.members if m.role in ROOF_FRAME}, bool(names)
    while grown:
        touched = {n for j in cage.joints for n in (j.branch, *j.mains) if {j.branch, *j.mains} & names}
        grown = bool(touched & can - names)
        names |= touched & can
    first = [m.name for m in cage.members if m.name in names and m.role == "main rollbar"]
    return (*first, *(m.name for m in cage.members if m.name in names and m.name not in first))
