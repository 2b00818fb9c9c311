"""Commands on what the shop has: bought lengths, offcuts, what a cut list uses up."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from cagewright.base.plain import plain
from cagewright.base.sheet import Column, Table
from cagewright.cli.output import AsJson, emit, out, show_table, speaking_plainly
from cagewright.cli.quantities import TUBE_LENGTH
from cagewright.cli.readings import By, RecordAt
from cagewright.job import rack
from cagewright.job.rack import StockAnswer, StockPiece

stock = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Bought lengths: list, add, cut.")
offcut = typer.Typer(no_args_is_help=True, rich_markup_mode=None, help="Offcuts: list, add, use.")
Size = Annotated[
    float,
    typer.Option(
        parser=TUBE_LENGTH, metavar="LENGTH", help="A length such as 38 or '1 1/2 in'.", show_default=False
    ),
]
Steel = Annotated[str, typer.Option(help="The steel's name.", show_default=False)]
JobOf = Annotated[str, typer.Argument(metavar="JOB", help="The job's name.", show_default=False)]


def _show(found: StockAnswer, *, as_json: bool) -> None:
    if as_json:
        emit(plain(found))
        return
    heads = ("kind", "name", "od mm", "wall mm", "steel", "length mm", "count")
    rows = tuple(
        (p.kind, p.name, f"{p.od:g}", f"{p.wall:g}", p.steel, f"{p.length:g}", str(p.count))
        for p in found.pieces
    )
    show_table(Table(title="", columns=tuple(Column(head=h) for h in heads), rows=rows))


def _moved(moves: StockAnswer, *, as_json: bool) -> None:
    if as_json:
        emit(plain(moves))
        return
    for words in moves.words:
        out.print(words, markup=False)


@stock.command("list")
def list_stock(where: RecordAt = "record.sqlite", as_json: AsJson = False) -> None:
    """List what is there: bought lengths and offcuts."""
    with speaking_plainly(as_json=as_json):
        found = rack.stock_of(where)
    _show(found, as_json=as_json)


@stock.command("add")
def add_stock(
    od: Size, wall: Size, steel: Steel, length: Size, by: By,
    count: Annotated[int, typer.Option(help="How many.")] = 1,
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Enter bought lengths that came."""
    piece = StockPiece(
        kind="stock", od=od, wall=wall, steel=steel, length=length, count=count,
    )  # fmt: skip
    with speaking_plainly(as_json=as_json):
        moves = rack.stock_came(where, piece, by=by)
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
    with speaking_plainly(as_json=as_json):
        moves = rack.stock_cut(where, job, plan, by=by, bought=bought)
    _moved(moves, as_json=as_json)


@offcut.command("list")
def list_offcuts(where: RecordAt = "record.sqlite", as_json: AsJson = False) -> None:
    """List the offcuts on the rack."""
    with speaking_plainly(as_json=as_json):
        found = rack.stock_of(where, offcuts=True)
    _show(found, as_json=as_json)


@offcut.command("add")
def add_offcut(
    name: Annotated[str, typer.Argument(metavar="NAME", help="As written on the piece.")],
    od: Size, wall: Size, steel: Steel, length: Size, by: By,
    job: Annotated[str, typer.Option(help="The job that it is left over from.")] = "",
    where: RecordAt = "record.sqlite",
    as_json: AsJson = False,
) -> None:  # fmt: skip
    """Put an offcut on the rack."""
    piece = StockPiece(
        kind="offcut", name=name, od=od, wall=wall, steel=steel, length=length,
    )  # fmt: skip
    with speaking_plainly(as_json=as_json):
        moves = rack.stock_came(where, piece, by=by, job=job)
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
    with speaking_plainly(as_json=as_json):
        moves = rack.offcut_used(where, job, name, by=by)
    _moved(moves, as_json=as_json)
