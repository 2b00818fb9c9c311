"""What is joined on the bench, as a paper and as a page shows it."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from cagewright.base.names import listed, shown
from cagewright.base.sheet import Sheet
from cagewright.job.bench_first import BenchFirstAnswer, bench_first_of
from cagewright.job.bench_work import bench_said_in, bench_work_of
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.order import shell_in
from cagewright.job.passage_paper import move_drawings
from cagewright.job.writers import to_svg


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchFirstShown(BenchFirstAnswer):
    """What to join on the bench, for a page.

    Attributes:
        pictures: the part after each move of its way in, as SVG.
        revision: of the plan that it was worked out for.
    """

    pictures: tuple[str, ...]
    revision: str


def bench_first_shown(
    job: Job, door: str = "", *, search: bool = False, step: Step = no_progress
) -> BenchFirstShown:
    """What to join on the bench, as ``bench_first_of`` answers it, with pictures of its way in.

    Raises:
        ProblemsFound: there is no such opening, or what the plan says of the bench cannot be so.
    """
    answer = bench_first_of(job, door, search=search, step=step)
    told: dict[str, Any] = {f.name: getattr(answer, f.name) for f in fields(answer)}
    drawings = move_drawings(job, answer.passage) if answer.passage else ()
    return BenchFirstShown(**told, pictures=tuple(map(to_svg, drawings)), revision=job.cage.revision)


def bench_sheet(job: Job) -> Sheet | None:
    """The bench's welds, how the work lies, and what to expect in the car; None where nothing is said of it.

    Raises:
        ProblemsFound: what the plan says of the bench cannot be so.
    """
    said = bench_said_in(job)
    if said is None:
        return None
    work = bench_work_of(job, shell_in(job), said.tubes, said)
    return Sheet(
        name="bench_first",
        title=f"On the bench: {listed(map(shown, work.tubes))}",
        kind="fit-up",
        tables=work.tables,
        notes=(work.headline, *work.notes, *work.rests_on),
    )
