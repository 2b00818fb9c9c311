"""Commands on the shop's record: jobs, their history, stock; backup, restore, export, import, check.

Exit code 1 is for what is refused, for a reading that was kept and cannot be used, and for a record that is
not sound.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, PlanPath, emit, err, out, show_table, speaking_plainly
from cagewright.cli.rack import offcut, stock
from cagewright.cli.readings import Between, By, Note, RecordAt, StepOf, Taken, reading, say_kept
from cagewright.records.backup import back_up, restore
from cagewright.records.bring import import_job
from cagewright.records.entries import Hand, add_note, add_photo, correct, sign, still_as_signed, tick
from cagewright.records.fitting import says
from cagewright.records.integrity import health
from cagewright.records.jobs import add_revision, all_jobs, history, new_job
from cagewright.records.links import step_target
from cagewright.records.nouns import Entry, History, PlanText, Revision
from cagewright.records.opening import opened
from cagewright.records.pack import export_job
from cagewright.records.rescuing import rescue, write_rescued

record = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="The shop's record.")
record.add_typer(reading, name="reading")
record.add_typer(stock, name="stock")
record.add_typer(offcut, name="offcut")
JobName = Annotated[str, typer.Argument(metavar="JOB", help="The job's name.", show_default=False)]
Replace = Annotated[bool, typer.Option("--replace", help="Replace what is there.")]


def _told(data: Any, sentence: str, *, as_json: bool) -> None:
    if as_json:
        emit(data)
    else:
        out.print(sentence, markup=False)


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
    with speaking_plainly(as_json=as_json), opened(where, create=True) as found:
        made = new_job(found, job, by=by, customer=customer, reference=reference, title=title, units=units)
    _told(asdict(made), f"Job {made.name} is entered.", as_json=as_json)


@record.command("jobs")
def list_jobs(where: RecordAt = "record.sqlite", as_json: AsJson = False) -> None:
    """List the jobs."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        rows = all_jobs(found)
    if as_json:
        emit([asdict(row) for row in rows])
        return
    heads = ("job", "customer", "reference", "title", "entered")
    cells = tuple((j.name, j.customer, j.reference, j.title, j.entered) for j in rows)
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=cells))


@record.command("show")
def show_job(
    job: JobName,
    whole: Annotated[bool, typer.Option("--all", help="Also lines that were corrected since.")] = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Show what is recorded of a job."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        told = history(found, job)
        signed = {e.id: still_as_signed(found, e) for e in told.current if e.kind == "sign-off" and e.used}
    shown = told.entries if whole else told.current
    if as_json:
        emit({
            "job": asdict(told.job),
            "revisions": [_revision(r) for r in told.revisions],
            "entries": [{**asdict(e), "unchanged_since_signed": signed.get(e.id)} for e in shown],
        })
        return
    show_table(_history_table(told, shown))
    for number, unchanged in signed.items():
        after = "stands as it was signed" if unchanged else "is NOT what was signed here"
        out.print(f"Line {number}: what stood before it {after}.", markup=False)


def _revision(revision: Revision) -> dict[str, Any]:
    row = asdict(revision)
    return {key: row[key] for key in ("uid", "mark", "file", "note", "by", "entered")}


def _history_table(told: History, shown: Sequence[Entry]) -> Table:
    marks = {r.uid: r.mark for r in told.revisions}
    heads = ("line", "taken", "by", "step", "what", "said", "used", "plan", "remarks")
    rows = tuple(
        (
            str(e.id), e.taken, e.by, e.step, _what(e), says(e)[:44] if e.kind == "reading" else e.text[:44],
            "yes" if e.used else "NO", marks.get(e.revision_uid or "", ""),
            "; ".join(w for w in (e.why, e.note) if w),
        )
        for e in shown
    )  # fmt: skip
    title = f"{told.job.name}, {len(told.revisions)} plan revisions"
    return Table(title=title, columns=tuple(Column(head=h) for h in heads), rows=rows)


def _what(entry: Entry) -> str:
    ends = (
        " to ".join(w for w in (entry.subject, entry.other) if w)
        if entry.kind == "reading"
        else entry.subject
    )
    return " ".join(w for w in (entry.sort or entry.kind, ends, entry.axis) if w)


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
    from cagewright.job.opening import open_job  # what works plans out takes a second to load

    with speaking_plainly(as_json=as_json), opened(where) as found:
        mark = open_job(plan).cage.revision
        main, others = _texts(plan)
        kept = add_revision(
            found, job, mark=mark, file=main.path, text=main.text, by=by, others=others, note=note
        )
    _told(_revision(kept), f"Revision {kept.mark} is the job's plan now.", as_json=as_json)


def _texts(plan: Path) -> tuple[PlanText, tuple[PlanText, ...]]:
    """The plan's text, and those of the files it includes and its shop file."""
    from cagewright.plan.files import gather, load
    from cagewright.plan.read import reading_of

    main = load(plan, file=plan.name)
    read = gather(main, plan.parent).sources
    others = [PlanText(path=source.file, text=source.text) for source in read if source.file != main.file]
    shop = reading_of(plan).sections.shop
    if shop:
        others.append(PlanText(path=shop, text=(plan.parent / shop).read_text(encoding="utf-8")))
    return PlanText(path=plan.name, text=main.text), tuple(others)


@record.command("tick")
def tick_off(
    job: JobName,
    what: Annotated[str, typer.Argument(metavar="WHAT", help="A joint, a member or a step.")],
    done: Annotated[Literal["tack", "check", "weld"], typer.Argument(help="What was done.")],
    by: By,
    step: StepOf = "",
    taken: Taken = "",
    note: Note = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Tick something off as tacked, checked or welded."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        kept = tick(found, job, what, done, hand=Hand(by=by, taken=taken, step=step, note=note))
    _told(asdict(kept), f"Line {kept.id}: {done} {what}.", as_json=as_json)


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
    with speaking_plainly(as_json=as_json), opened(where) as found:
        kept = add_photo(
            found, job, photo, of=of, sha256=_sum(photo), hand=Hand(by=by, taken=taken, step=step, note=note)
        )
    _told(asdict(kept), f"Line {kept.id}: photo {photo}.", as_json=as_json)


def _sum(photo: str) -> str:
    path = Path(photo)
    if "://" in photo or not path.is_file():
        return ""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


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
    with speaking_plainly(as_json=as_json), opened(where) as found:
        kept = add_note(found, job, text, of=of, hand=Hand(by=by, taken=taken, step=step))
    _told(asdict(kept), f"Line {kept.id}: noted.", as_json=as_json)


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
    with speaking_plainly(as_json=as_json), opened(where) as found:
        kept = correct(found, job, line, hand=Hand(by=by), why=why, text=value, unit=unit, marks=between)
    say_kept(kept, as_json=as_json)


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
    with speaking_plainly(as_json=as_json), opened(where) as found:
        hand = Hand(by=by, taken=taken, step=step, note=note)
        kept = sign(found, job, statement, hand=hand, standing=standing)
    _told(asdict(kept), f"Line {kept.id}: signed by {kept.by}.", as_json=as_json)


@record.command("backup")
def backup(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The backup's file.")],
    over: Replace = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Back the record up into one file, while benches go on working."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        made = back_up(found, file, replace=over)
    _told({"backup": made.as_posix()}, f"{made.as_posix()} holds all that was recorded.", as_json=as_json)


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
        aside = restore(file, Path(where), replace=over)
    kept = f" What stood there is kept as {aside.as_posix()}." if aside else ""
    _told(
        {"record": where, "kept": aside.as_posix() if aside else None},
        f"{where} is restored.{kept}",
        as_json=as_json,
    )


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
    with speaking_plainly(as_json=as_json), opened(where) as found:
        names = export_job(found, job, file, papers=papers, replace=over)
    _told(
        {"file": file.as_posix(), "files": list(names)},
        f"{len(names)} files in {file.as_posix()}.",
        as_json=as_json,
    )


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
    with speaking_plainly(as_json=as_json), opened(where, create=True) as found:
        got = import_job(found, file, name=name, papers_to=papers)
    added = ", ".join(f"{count} {table}" for table, count in got.added.items())
    _told(asdict(got), f"Job {got.job.name}: {added} new.", as_json=as_json)


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
        _rescue(Path(where), rescued, as_json=as_json)
        return
    with speaking_plainly(as_json=as_json), opened(where) as found:
        told = health(found)
    rows = ", ".join(f"{count} {table}" for table, count in told.rows.items())
    _told(asdict(told), f"{told.record}, version {told.version}: {rows}.", as_json=as_json)
    for fault in told.faults if not as_json else ():
        err.print(fault, markup=False)
    if told.faults:
        raise typer.Exit(1)


def _rescue(path: Path, target: Path, *, as_json: bool) -> None:
    """Write the rows that can be read; the record itself is not touched."""
    with speaking_plainly(as_json=as_json):
        path.stat()
        found = rescue(path)
        write_rescued(found, target)
    counts = {table: len(rows) for table, rows in found.rows.items()}
    data = {"file": target.as_posix(), "read": counts, "sealed": found.sealed, "known_lost": found.lost}
    read = ", ".join(f"{count} {table}" for table, count in counts.items())
    lost = sum(found.lost.values())
    tail = f" {lost} rows are known to be lost." if lost else ""
    _told(data, f"{target.as_posix()}: {read} could be read.{tail}", as_json=as_json)


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
    text = step_target(job, step, address=address)
    _told({"target": text}, text, as_json=as_json)
