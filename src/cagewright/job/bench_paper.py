"""What is done on the bench, as a paper."""

from __future__ import annotations

from cagewright.base.names import listed, shown
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.job.bench_work import bench_said_in, bench_work_of
from cagewright.job.opening import Job
from cagewright.job.order import shell_in

STANDS = "When it stands in the car"


def bench_sheet(job: Job) -> Sheet | None:
    """The bench's welds, how the work lies, and what to expect in the car; None where nothing is said of it.

    Raises:
        ProblemsFound: what the plan says of the bench cannot be so.
    """
    said = bench_said_in(job)
    if said is None:
        return None
    work = bench_work_of(job, shell_in(job), said.tubes, said)
    welds = tuple(
        (shown(w.joint), w.done, w.begin or "–", w.length.said, w.bench.said, w.car.said, w.why or "–")
        for w in work.welds
    )
    heads = ("weld", "done", "begin", "length", "PA or PB on the bench", "in the car", "why")
    ends = tuple((e.words, e.gap.said, e.aside.said, e.said) for e in work.ends if e.level != "fine")
    end_heads = ("end", "gap (less than 0: it runs in)", "aside", "what to do")
    lies = tuple((x.words, x.length.said) for x in work.lies)
    return Sheet(
        name="bench_first",
        title=f"On the bench: {listed(map(shown, work.tubes))}",
        kind="fit-up",
        tables=(
            Table(title="Welds", columns=_columns(heads), rows=welds),
            *(
                [Table(title="How to lay it", columns=_columns(("lay it", "weld")), rows=lies)]
                if lies
                else []
            ),
            *([Table(title=STANDS, columns=_columns(end_heads), rows=ends)] if ends else []),
        ),
        notes=(work.headline, *work.notes, *work.rests_on),
    )


def _columns(heads: tuple[str, ...]) -> tuple[Column, ...]:
    return tuple(Column(head=h) for h in heads)
