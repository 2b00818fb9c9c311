"""Commands on what the shop has: bought lengths, offcuts, what a cut list uses up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, emit, out, show_table, speaking_plainly
from cagewright.cli.readings import By, RecordAt
from cagewright.records.nouns import Move, Piece
from cagewright.records.opening import Record, opened
from cagewright.records.rack import cut_by, key_of, offcut_named, on_hand, put, say_piece, use_up

stock = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Bought lengths: list, add, cut.")
offcut = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Offcuts: list, add, use.")
Size = Annotated[str, typer.Option(help="A length such as 38 or '1 1/2 in'.", show_default=False)]
Steel = Annotated[str, typer.Option(help="The steel's name.", show_default=False)]
JobOf = Annotated[str, typer.Argument(metavar="JOB", help="The job's name.", show_default=False)]


def _show(pieces: Sequence[Piece], *, as_json: bool) -> None:
    if as_json:
        emit([asdict(piece) for piece in pieces])
        return
    heads = ("kind", "name", "od mm", "wall mm", "steel", "length mm", "count")
    rows = tuple(
        (p.kind, p.name, f"{p.od:g}", f"{p.wall:g}", p.steel, f"{p.length:g}", str(p.count)) for p in pieces
    )
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))


def _moved(moves: Sequence[Move], *, as_json: bool) -> None:
    if as_json:
        emit([asdict(move) for move in moves])
        return
    for move in moves:
        out.print(f"{move.piece.count:+d} {say_piece(move.piece)}", markup=False)


@stock.command("list")
def list_stock(where: RecordAt = "record.sqlite", as_json: AsJson = False) -> None:
    """List what is there: bought lengths and offcuts."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        pieces = on_hand(found)
    _show(pieces, as_json=as_json)


@stock.command("add")
def add_stock(
    od: Size, wall: Size, steel: Steel, length: Size, by: By,
    count: Annotated[int, typer.Option(help="How many.")] = 1,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Enter bought lengths that came."""
    from cagewright.cli.quick import length_option  # loads what bends and copes need

    piece = Piece(
        kind="stock", od=length_option(od), wall=length_option(wall), steel=steel,
        length=length_option(length), count=count,
    )  # fmt: skip
    with speaking_plainly(as_json=as_json), opened(where, create=True) as found:
        moves = put(found, [piece], by=by)
    _moved(moves, as_json=as_json)


@stock.command("cut")
def cut_stock(
    job: JobOf,
    plan: Annotated[Path, typer.Argument(metavar="PLAN", help="The plan file.")],
    by: By,
    bought: Annotated[
        bool, typer.Option("--bought", help="Enter bars that are not there as bought.")
    ] = False,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Use up what a plan's cut list takes, offcuts first; rests worth keeping go on the rack."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        taken, back = _cut(found, plan, job)
        if bought:
            lacking = _lacking(taken, on_hand(found))
            if lacking:
                put(found, lacking, by=by, why=f"bought for {job}")
        moves = use_up(found, job, taken, back, by=by, why=f"cut list of {plan.name}")
    _moved(moves, as_json=as_json)


def _cut(found: Record, plan: Path, job: str) -> tuple[tuple[Piece, ...], tuple[Piece, ...]]:
    """What the plan's cut list takes from the record's stock, and gives back."""
    from cagewright.job.opening import open_job
    from cagewright.make.nesting import nest_cage
    from cagewright.stock.shop import Offcut

    opened_job = open_job(plan)
    rack = tuple(
        Offcut(name=p.name, od=p.od, wall=p.wall, steel=p.steel, length=p.length)
        for p in on_hand(found)
        if p.kind == "offcut"
    )
    return cut_by(nest_cage(opened_job.cage, replace(opened_job.shop, offcuts=rack)), job)


def _lacking(taken: Sequence[Piece], there: Sequence[Piece]) -> list[Piece]:
    """Bars that are taken beyond what is there."""
    have = {key_of(p): p.count for p in there}
    lacking: list[Piece] = []
    for piece in taken:
        left = have.get(key_of(piece), 0)
        have[key_of(piece)] = left - piece.count
        if piece.kind == "stock" and left < piece.count:
            lacking.append(replace(piece, count=piece.count - max(left, 0)))
    return lacking


@offcut.command("list")
def list_offcuts(where: RecordAt = "record.sqlite", as_json: AsJson = False) -> None:
    """List the offcuts on the rack."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        pieces = [p for p in on_hand(found) if p.kind == "offcut"]
    _show(pieces, as_json=as_json)


@offcut.command("add")
def add_offcut(
    name: Annotated[str, typer.Argument(metavar="NAME", help="As written on the piece.")],
    od: Size, wall: Size, steel: Steel, length: Size, by: By,
    job: Annotated[str, typer.Option(help="The job that it is left over from.")] = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Put an offcut on the rack."""
    from cagewright.cli.quick import length_option

    piece = Piece(
        kind="offcut", name=name, od=length_option(od), wall=length_option(wall), steel=steel,
        length=length_option(length),
    )  # fmt: skip
    with speaking_plainly(as_json=as_json), opened(where, create=True) as found:
        moves = put(found, [piece], by=by, why="left over", job=job)
    _moved(moves, as_json=as_json)


@offcut.command("use")
def use_offcut(
    job: JobOf,
    name: Annotated[str, typer.Argument(metavar="NAME", help="As written on the piece.")],
    by: By,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:
    """Use up an offcut for a job."""
    with speaking_plainly(as_json=as_json), opened(where) as found:
        moves = use_up(found, job, [offcut_named(found, name)], by=by)
    _moved(moves, as_json=as_json)
