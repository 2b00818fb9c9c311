"""Which tubes are best joined on the bench, by which opening they go in, and what is done with them there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from cagewright.base.answers import Answer, Sentence, Value, figure
from cagewright.base.names import listed, shown
from cagewright.base.units import LengthUnit
from cagewright.fitup.bench_first import BenchChoice, Names, base_first, best_for_bench
from cagewright.fitup.carry import LESS, Passing, goes_in
from cagewright.job.bench_work import BenchWorkAnswer, bench_said_in, bench_work_of
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.order import openings_of, shell_in
from cagewright.job.passage import PassageAnswer, opening_line, passage_of
from cagewright.shape.closest import Mask
from cagewright.shape.cloud import cloud_without
from cagewright.shape.shell import Shell
from cagewright.shape.trims import metal_known, within_metal
from cagewright.shape.types import Line3, Metal

MORE = 3
"""So many larger sets are looked at again with metal out of their way."""
WHY: dict[Passing, str] = {
    "never": "never goes in", "blocked": "stands in the body where the plan has it",
    "no way found": "no way in was found", "goes": "goes in",
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchFirstAnswer(Answer):
    """What to join on the bench.

    Attributes:
        tubes: to be joined there; none where a way in was found for no set that is worth it.
        said: the plan says so itself, and nothing was searched.
        opening: by which it goes in.
        worth: weld length made in PA or PB that would not be in the car.
        most: the same if everything could be joined outside.
        tried: sets that were looked at for a way in.
        work: what is done with them on the bench.
        passage: how they go in.
        larger: sets that would be worth more, and what is in their way.
        write: the lines that put it into the plan.
        write_words: what they are for; empty without any.
    """

    tubes: tuple[str, ...]
    said: bool
    opening: str
    worth: Value
    most: Value
    tried: int
    work: BenchWorkAnswer | None
    passage: PassageAnswer | None
    larger: tuple[Sentence, ...]
    write: str
    write_words: str
    units: LengthUnit


def bench_first_of(
    job: Job, door: str = "", *, search: bool = False, step: Step = no_progress
) -> BenchFirstAnswer:
    """What to join on the bench.

    Args:
        job: the plan, opened.
        door: name of the measured opening to go in by; the doors in turn where not given.
        search: look for the best also where the plan says what is joined there.
        step: is told how far it is.

    Raises:
        ProblemsFound: there is no such opening, or what the plan says of the bench cannot be so.
    """
    lines = openings_tried(job, door)
    said = bench_said_in(job)
    key = ("bench first", job.key, tuple(x.name for x in lines), search)
    return job.cache.get(
        key, lambda: _said(job, lines) if said and not search else _searched(job, lines, step)
    )


def openings_tried(job: Job, door: str = "") -> tuple[Line3, ...]:
    """The openings to try: of two that are alike but for the side, the first."""
    if door:
        return (opening_line(job, door),)
    found: list[Line3] = []
    for name in openings_of(job):
        line = next(x for x in job.cage.lines if x.name == name)
        if not any(_alike(line, one) for one in found):
            found.append(line)
    return tuple(found)


def _alike(one: Line3, two: Line3) -> bool:
    flip = np.array([1.0, -1.0, 1.0])
    return one.points.shape == two.points.shape and np.allclose(one.points * flip, two.points, atol=1.0)


def _blank(job: Job, **more: Any) -> BenchFirstAnswer:
    units = job.cage.units
    nothing = figure(0.0, "run", units)
    blank = BenchFirstAnswer(
        headline="", level="cannot tell", tubes=(), said=False, opening="", worth=nothing, most=nothing,
        tried=0, work=None, passage=None, larger=(), write="", write_words="", units=units,
    )  # fmt: skip
    return replace(blank, **more)


def _said(job: Job, lines: tuple[Line3, ...]) -> BenchFirstAnswer:
    said, shell = bench_said_in(job), shell_in(job)
    assert said is not None
    best = way_by_first(job, shell, lines, said.tubes)
    work = bench_work_of(job, shell, said.tubes, said)
    head = best.headline if best else "The plan has no measured opening: whether it goes in cannot be told."
    return _blank(
        job, headline=f"{head[0].upper()}{head[1:]} {work.headline}",
        level=best.level if best else "cannot tell", said=True,
        tubes=said.tubes, opening=best.opening if best else "", work=work, passage=best,
    )  # fmt: skip


# --- the search


def _searched(job: Job, lines: tuple[Line3, ...], step: Step) -> BenchFirstAnswer:
    if not lines:
        said = "the plan has no measured opening: give the door's edge as a closed line in shell: lines"
        return _blank(job, headline=f"Cannot tell: {said}.")
    shell, count = shell_in(job), 0

    def passes(names: Names) -> Passing:
        nonlocal count
        count += 1
        step("looking for a way in", 1.0 - 0.97**count)
        return passing_at(job, shell, lines, names)

    choice = best_for_bench(job.cage, passes, factor=job.shop.weld_shrinkage)
    return _told(job, shell, lines, choice)


def passing_at(
    job: Job, shell: Shell, lines: tuple[Line3, ...], names: Names, *, searches: int = LESS
) -> Passing:
    """How the set fares at the first opening that it goes in by, or at the one that comes nearest to it."""
    found = set[Passing]()
    for line in lines:
        found.add(goes_in(job.cage, shell, line.points, sorted(names), searches=searches))
        if "goes" in found:
            return "goes"
    order: tuple[Passing, ...] = ("no way found", "blocked", "never")
    return next(p for p in order if p in found)


def way_by_first(
    job: Job, shell: Shell, lines: tuple[Line3, ...], tubes: tuple[str, ...]
) -> PassageAnswer | None:
    """How the tubes go in by the first opening that all of them pass, else by the first; None without one.

    The plainest way and what has to wait outside are only looked for at that opening, for that takes long.
    """
    goes = (x for x in lines if len(lines) == 1 or goes_in(job.cage, shell, x.points, tubes) == "goes")
    line = next(goes, lines[0] if lines else None)
    return None if line is None else passage_of(job, line.name, tubes)


def _told(job: Job, shell: Shell, lines: tuple[Line3, ...], choice: BenchChoice) -> BenchFirstAnswer:
    units = job.cage.units
    figures = {k: figure(getattr(choice, k), "run", units) for k in ("worth", "most")}
    larger = _larger(job, shell, lines, choice)
    if not choice.tubes:
        head = f"A way in was found for no set worth joining on the bench ({choice.tried} sets tried)."
        return _blank(job, headline=head, level="look at", tried=choice.tried, larger=larger, **figures)
    tubes = base_first(job.cage, choice.tubes)
    work = bench_work_of(job, shell, tubes, None)
    way = way_by_first(job, shell, lines, tubes)
    assert way is not None
    sure = (
        "a way in was found for no set worth more"
        if choice.proved
        else "grown tube by tube: not proved the best"
    )
    head = (
        f"Join {listed(map(shown, tubes))} on the bench: {figures['worth'].said} more of weld lies in "
        f"PA or PB than in the car, and it goes in through {shown(way.opening)} "
        f"as far as the body is known ({choice.tried} sets tried; {sure})."
    )
    return _blank(
        job, headline=head, level=way.level, tubes=tubes, opening=way.opening, tried=choice.tried,
        work=work, passage=way, larger=larger, **figures,
        write=f"bench_first: {{tubes: [{', '.join(tubes)}]}}",
        write_words="To have the order so, put into the plan:",
    )  # fmt: skip


def _larger(job: Job, shell: Shell, lines: tuple[Line3, ...], choice: BenchChoice) -> tuple[Sentence, ...]:
    """What would have to give way for more to be joined outside."""
    there, out = frozenset(choice.tubes), list[Sentence]()
    for names, why in choice.larger[:MORE]:
        more = listed(map(shown, sorted(names - there)))
        said = _with_metal_gone(job, shell, lines, names) if why != "never" else ""
        words = said or f"{WHY[why]} with it"
        out.append(
            Sentence(words=f"Also {more}: {words}.", level="look at", about=tuple(sorted(names - there)))
        )
    return tuple(out)


def _with_metal_gone(job: Job, shell: Shell, lines: tuple[Line3, ...], names: Names) -> str:
    """What metal of the scan would have to go for the set to go in; empty where that does not help."""
    if shell.scan is None:
        return ""
    known = metal_known(job.cage)
    may = [m for m in known if m.mark == "trimmable"]
    thinned = _thinned(shell, within_metal(shell.scan.cloud.points, may))
    if may and passing_at(job, thinned, lines, names) == "goes":
        return f"it goes in with {listed(shown(m.name) for m in may)} trimmed (marked as trimmable)"
    kept: list[Metal] = [m for m in known if m.mark != "trimmable"]
    loose = ~within_metal(shell.scan.cloud.points, kept)
    if passing_at(job, _thinned(shell, loose), lines, names) == "goes":
        return "it goes in with metal cut that nobody has marked: ask first"
    return ""


def _thinned(shell: Shell, gone: Mask) -> Shell:
    """The shell without those points (n,) of its scan, as the search for a way sees it."""
    assert shell.scan is not None
    if gone.all():  # what was measured by hand still stands
        return replace(shell, scan=None)
    return replace(shell, scan=replace(shell.scan, cloud=cloud_without(shell.scan.cloud, gone)))
