"""Commands on the shop's record: jobs, their history, stock; backup, restore, export, import, check.

Exit code 1 is for what is refused, for a reading that was kept and cannot be used, and for a record that is
not sound.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

import typer

from cagewright.base.answers import Answer
from cagewright.base.files import write_atomically
from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Paper, Table
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, show_table, speaking_plainly
from cagewright.cli.rack import offcut, stock
from cagewright.cli.readings import Between, By, Note, RecordAt, StepOf, Taken, reading, say_line
from cagewright.job import record as book
from cagewright.job import record_files as files
from cagewright.job.record import Hand

record = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="The shop's record.")
record.add_typer(reading, name="reading")
record.add_typer(stock, name="stock")
record.add_typer(offcut, name="offcut")
JobName = Annotated[str, typer.Argument(metavar="JOB", help="The job's name.", show_default=False)]
Replace = Annotated[bool, typer.Option("--replace", help="Replace what is there.")]


def _told(answer: Answer, *, as_json: bool) -> None:
    if as_json:
        emit(plain(answer))
    else:
        out.print(answer.headline, markup=False)


@record.command("new-job")
def start_job(
    job: JobName,
    by: By,
    customer: Annotated[str, typer.Option(help="The customer, as the shop calls him.")] = "",
    reference: Annotated[str, typer.Option(help="The customer's own reference.")] = "",
    title: Annotated[str, typer.Option(help="What the work is.")] = "",
    units: Annotated[Literal["mm", "in"], typer.Option(help="What a bare number on the tape means.")] = "mm",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Enter a job; the record is made where there is none."""
    with speaking_plainly(as_json=as_json):
        made = book.start_job(
            where, job, by=by, customer=customer, reference=reference, title=title, units=units
        )
    _told(made, as_json=as_json)
    if not as_json:
        out.print(
            f"Keep its plan with it, to check ticks against: cagewright record plan {job} PLAN", markup=False
        )


@record.command("jobs")
def list_jobs(where: RecordAt = "record.sqlite", as_json: AsJson = False) -> None:
    """List the jobs."""
    with speaking_plainly(as_json=as_json):
        found = book.jobs_in(where)
    if as_json:
        emit(plain(found))
        return
    heads = ("job", "customer", "reference", "title", "entered")
    cells = tuple((j.name, j.customer, j.reference, j.title, j.entered) for j in found.jobs)
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=cells))


@record.command("show")
def show_job(
    job: JobName,
    whole: Annotated[bool, typer.Option("--all", help="Also lines that were corrected since.")] = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Show what is recorded of a job."""
    with speaking_plainly(as_json=as_json):
        found = book.history_of(where, job, whole=whole)
    if as_json:
        emit(plain(found))
        return
    heads = ("line", "taken", "by", "step", "what", "said", "used", "plan", "remarks")
    rows = tuple(
        (
            str(e.id), e.taken, e.by, e.step, line.what, line.said[:44], "yes" if e.used else "NO", line.plan,
            "; ".join(w for w in (e.why, e.note) if w),
        )
        for line in found.lines
        for e in (line.entry,)
    )  # fmt: skip
    show_table(Table(title=found.headline, columns=tuple(Column(head=h) for h in heads), rows=rows))
    for line in found.lines:
        if line.unchanged_since_signed is not None:
            after = (
                "stands as it was signed" if line.unchanged_since_signed else "is NOT what was signed here"
            )
            out.print(f"Line {line.entry.id}: what stood before it {after}.", markup=False)


@record.command("plan")
def keep_plan(
    job: JobName,
    plan: PlanPath,
    by: By,
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Keep a plan as it stands, with the files it is made of."""
    with speaking_plainly(as_json=as_json):
        kept = book.keep_plan(where, job, plan, by=by, note=note)
    if as_json:
        emit(plain(kept))
    else:
        out.print(f"Revision {kept.mark} is the job's plan now.", markup=False)


@record.command("tick")
def tick_off(
    job: JobName,
    what: Annotated[str, typer.Argument(metavar="WHAT", help="A joint, a member or a step.")],
    done: Annotated[
        Literal["tack", "check", "weld", "pull", "cut", "close", "paint"],
        typer.Argument(metavar="DONE", help="What was done."),
    ],
    by: By,
    step: StepOf = "",
    taken: Taken = "",
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Tick something off as tacked, checked, welded, pulled, cut, closed or painted."""
    hand = Hand(by=by, taken=taken, step=step, note=note)
    with speaking_plainly(as_json=as_json):
        kept = book.keep_tick(where, job, what, done, hand=hand)
    _told(kept, as_json=as_json)


@record.command("hold")
def hold_point(
    job: JobName,
    act: Annotated[
        Literal["leave-bench", "weld-solid", "push-up", "close", "paint"],
        typer.Argument(help="What is about to be done and cannot be taken back."),
    ],
    plan: PlanPath,
    why: Annotated[str, typer.Option("--regardless", help="Go on with lines open, for this reason.")] = "",
    by: Annotated[str, typer.Option("--by", envvar="CAGEWRIGHT_BY", help="Who goes on.")] = "",
    pdf: Annotated[
        Path | None, typer.Option("--pdf", metavar="FILE", help="Also write it as PDF, with boxes to tick.")
    ] = None,
    paper: Annotated[Paper, typer.Option(help="The printer's paper.")] = "a4",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Say what stands open before an act that cannot be taken back; exit code 1 where anything does."""
    from cagewright.job.hold import go_on, hold_of
    from cagewright.job.hold_paper import hold_sheet
    from cagewright.job.opening import open_job

    with speaking_plainly(as_json=as_json):
        found = hold_of(where, job, act, open_job(plan))
        went = go_on(where, job, found, why=why, hand=Hand(by=by)) if why and found.open else None
        if pdf:
            from cagewright.book.papers import sheets_paper  # the typesetter: only a PDF waits for it

            sheet = hold_sheet(found)
            write_atomically(
                pdf, sheets_paper((sheet,), title=found.title, revision=found.revision, paper=paper)
            )
    if as_json:
        emit(plain(found))
    else:
        for words in (*(line.words for line in found.open), *found.strange):
            out.print(f"open: {words}", markup=False)
        for words in found.unreached:
            out.print(f"no torch reaches it afterwards: {words}", markup=False)
        rest = (went.headline,) if went else ()
        out.print(f"{found.headline}; {found.against}.", *rest, *found.cautions, markup=False)
    if found.open and went is None:
        raise typer.Exit(1)


@record.command("photo")
def keep_photo(
    job: JobName,
    photo: Annotated[str, typer.Argument(metavar="PHOTO", help="A file's path, or an address.")],
    by: By,
    of: Annotated[str, typer.Option("--of", help="What it shows.")] = "",
    step: StepOf = "",
    taken: Taken = "",
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Refer to a photo; of a file its SHA-256 is kept too, the picture itself stays where it is."""
    hand = Hand(by=by, taken=taken, step=step, note=note)
    with speaking_plainly(as_json=as_json):
        kept = book.keep_photo(where, job, photo, of=of, hand=hand)
    _told(kept, as_json=as_json)


@record.command("note")
def keep_note(
    job: JobName,
    text: Annotated[str, typer.Argument(metavar="TEXT", help="The note.")],
    by: By,
    of: Annotated[str, typer.Option("--of", help="What it is about.")] = "",
    step: StepOf = "",
    taken: Taken = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Write a note into a job's history."""
    with speaking_plainly(as_json=as_json):
        kept = book.keep_note(where, job, text, of=of, hand=Hand(by=by, taken=taken, step=step))
    _told(kept, as_json=as_json)


@record.command("hours")
def keep_hours(
    job: JobName,
    said: Annotated[str, typer.Argument(metavar="HOURS", help="The time worked: 1.5, 1:30 or 45 min.")],
    by: By,
    of: Annotated[str, typer.Option("--of", help="What was worked at.")] = "",
    step: StepOf = "",
    taken: Taken = "",
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Enter hours that were worked."""
    hand = Hand(by=by, taken=taken, step=step, note=note)
    with speaking_plainly(as_json=as_json):
        kept = book.keep_hours(where, job, said, of=of, hand=hand)
    _told(kept, as_json=as_json)


@record.command("correct")
def correct_line(
    job: JobName,
    line: Annotated[int, typer.Argument(metavar="LINE", help="The number of the line that is wrong.")],
    by: By,
    why: Annotated[str, typer.Option("--why", help="What was wrong with it.")],
    value: Annotated[str | None, typer.Option("--value", help="What it should say.")] = None,
    unit: Annotated[str | None, typer.Option("--unit", help="Of a reading: its unit.")] = None,
    between: Between = None,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Correct a line by a new one that stands for it; without a new value the old line is withdrawn."""
    with speaking_plainly(as_json=as_json):
        kept = book.correct_line(
            where, job, line, hand=Hand(by=by), why=why, text=value, unit=unit, marks=between
        )
    say_line(kept, as_json=as_json)


@record.command("sign")
def sign_off(
    job: JobName,
    statement: Annotated[str, typer.Argument(metavar="STATEMENT", help="What is signed for.")],
    by: By,
    standing: Annotated[str, typer.Option("--as", help="As what, e.g. welder.")] = "",
    step: StepOf = "",
    taken: Taken = "",
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Sign for all that the record says of a job so far. This is the shop's own record, not a certificate."""
    hand = Hand(by=by, taken=taken, step=step, note=note)
    with speaking_plainly(as_json=as_json):
        kept = book.sign_off(where, job, statement, hand=hand, standing=standing)
    _told(kept, as_json=as_json)
    if not as_json:
        for head, lines in (("covers", kept.covers), ("does not cover", kept.leaves)):
            for words in lines:
                out.print(f"{head}: {words}", markup=False)


@record.command("backup")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The backup's file.")],
    over: Replace = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Back the record up into one file, while benches go on working."""
    with speaking_plainly(as_json=as_json):
        made = files.back_up_record(where, file, replace=over)
    _told(made, as_json=as_json)


@record.command("restore")
def restore_backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The backup's file.")],
    over: Replace = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Put a backup in the record's place; one that is there is replaced only if told so, and kept aside."""
    if "://" in where:
        raise typer.BadParameter("a backup is restored into a file; for a server use its own tools")
    with speaking_plainly(as_json=as_json):
        put_back = files.restore_record(where, file, replace=over)
    _told(put_back, as_json=as_json)


@record.command("export")
def export(
    job: JobName,
    file: Annotated[Path, typer.Argument(metavar="ZIP", help="The zip to write.")],
    papers: Annotated[
        Path | None, typer.Option("--papers", metavar="DIR", help="Put these papers in.")
    ] = None,
    over: Replace = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Write a job into one zip: its plans, readings as JSON lines, the rest of its history, papers."""
    with speaking_plainly(as_json=as_json):
        made = files.export_to(where, job, file, papers=papers, replace=over)
    _told(made, as_json=as_json)


@record.command("import")
def bring_in(
    file: Annotated[Path, typer.Argument(metavar="ZIP", help="The zip of a job.")],
    name: Annotated[str, typer.Option("--as", help="Call the job so here.")] = "",
    papers: Annotated[
        Path | None, typer.Option("--papers", metavar="DIR", help="Put its papers there.")
    ] = None,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Bring in a job that was exported elsewhere; lines that are here already stay as they are."""
    with speaking_plainly(as_json=as_json):
        got = files.import_from(where, file, name=name, papers=papers)
    _told(got, as_json=as_json)


@record.command("check")
def check_record(
    rescued: Annotated[
        Path | None, typer.Option("--rescue", metavar="FILE", help="Write what can be read as JSON lines.")
    ] = None,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Check the whole record; exit code 1 where anything is wrong with it."""
    if rescued is not None:
        with speaking_plainly(as_json=as_json):
            saved = files.rescued_to(where, rescued)
        _told(saved, as_json=as_json)
        return
    with speaking_plainly(as_json=as_json):
        found = files.health_of(where)
    _told(found, as_json=as_json)
    for fault in found.faults if not as_json else ():
        err.print(fault, markup=False)
    if found.faults:
        raise typer.Exit(1)


@record.command("link")
def link(
    job: JobName,
    step: Annotated[str, typer.Argument(metavar="STEP", help="A step of the build order.")],
    address: Annotated[str, typer.Option(help="The workbench's, as the tablet reaches it.")] = "",
    as_json: AsJson = False,
) -> None:
    """Print the text of the square code that leads to a job's step on a tablet."""
    if not job or not step:
        raise typer.BadParameter("a link needs a job and a step")
    text = book.step_target(job, step, address=address)
    if as_json:
        emit({"target": text})
    else:
        out.print(text, markup=False)
