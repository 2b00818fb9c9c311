"""Stock and offcuts: what came, what cut lists used up, what went back on the rack, what is there now."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

from sqlalchemy import Connection

from cagewright.base.problems import Problem, ProblemsFound, nearest_word
from cagewright.records.jobs import job_row
from cagewright.records.opening import Record, reading, writing
from cagewright.records.rows import append, fields_or_problems, rows_of, to_move
from cagewright.records.tables import moves
from cagewright.records.troubles import problem
from cagewright.records.types import StockMove, StockPiece

Key = tuple[str, str, float, float, str, float]


def key_of(piece: StockPiece) -> Key:
    """What makes two pieces the same kind: sort, name, size and length to 0.1 mm (wall to 0.01 mm), steel."""
    steel = piece.steel.strip().lower()
    return (piece.kind, piece.name, round(piece.od, 1), round(piece.wall, 2), steel, round(piece.length, 1))


def on_hand(record: Record) -> tuple[StockPiece, ...]:
    """What is there now: bought lengths, then offcuts, each by size.

    Raises:
        ProblemsFound: the database refused.
    """
    with reading(record) as connection:
        return _on_hand(connection)


def _on_hand(connection: Connection) -> tuple[StockPiece, ...]:
    count: dict[Key, StockPiece] = {}
    for move in map(to_move, rows_of(connection, moves)):
        key = key_of(move.piece)
        so_far = count[key].count if key in count else 0
        count[key] = replace(move.piece, count=so_far + move.piece.count)
    order = sorted(count, key=lambda k: (k[0] != "stock", *k))
    return tuple(count[key] for key in order if count[key].count)


def ledger(record: Record) -> tuple[StockMove, ...]:
    """Every line of the stock's ledger, in the order it was entered.

    Raises:
        ProblemsFound: the database refused.
    """
    with reading(record) as connection:
        return tuple(map(to_move, rows_of(connection, moves)))


def put(
    record: Record, pieces: Sequence[StockPiece], *, by: str, why: str = "delivered", job: str = ""
) -> tuple[StockMove, ...]:
    """The lines of the ledger for pieces that came; an offcut's name must be free.

    Args:
        record: open.
        pieces: what came; counts above 0.
        by: who enters it.
        why: in words.
        job: that it came from; empty for a delivery.

    Raises:
        ProblemsFound: an impossible size, a name in use, or no such job.
    """
    return _move(record, (), pieces, by=by, why=why, job=job)


def use_up(
    record: Record, job: str, taken: Sequence[StockPiece], back: Sequence[StockPiece] = (), *, by: str,
    why: str = "cut",
) -> tuple[StockMove, ...]:  # fmt: skip
    """The lines of the ledger for pieces used up by a job and the rests it gave back: all, or none.

    Args:
        record: open.
        job: its name.
        taken: what is used up.
        back: what goes on the rack.
        by: who enters it.
        why: in words.

    Raises:
        ProblemsFound: more is taken than there is, an impossible size, a name in use, or no such job.
    """
    return _move(record, taken, back, by=by, why=why, job=job)


def _move(
    record: Record, taken: Sequence[StockPiece], back: Sequence[StockPiece], *, by: str, why: str, job: str
) -> tuple[StockMove, ...]:
    words = fields_or_problems(record.name, {"by": by, "why": why}, must=("by",))
    _possible(record.name, (*taken, *back))
    with writing(record) as connection:
        uid = job_row(connection, record.name, job)["uid"] if job else None
        there = _on_hand(connection)
        wrong = [*_missing(record.name, taken, there), *_names_in_use(record.name, taken, back, there)]
        if wrong:
            raise ProblemsFound(wrong)
        signed = (*(replace(p, count=-p.count) for p in taken), *back)
        return tuple(to_move(append(connection, moves, {**_row(p), **words, "job_uid": uid})) for p in signed)


def _row(piece: StockPiece) -> dict[str, Any]:
    return {
        "kind": piece.kind, "name": piece.name, "od": float(piece.od), "wall": float(piece.wall),
        "steel": piece.steel, "length": float(piece.length), "count": piece.count,
    }  # fmt: skip


def _possible(record: str, pieces: Iterable[StockPiece]) -> None:
    """Refuse pieces that cannot be.

    Raises:
        ProblemsFound: one of them cannot.
    """
    wrong: list[Problem] = []
    for piece in pieces:
        sizes = (piece.od, piece.wall, piece.length)
        said = say_piece(piece)
        if not all(math.isfinite(v) and v > 0.0 for v in sizes) or piece.wall > piece.od / 2.0:
            wrong.append(
                problem("no-tube", record, f"{said} cannot be", "wanted a diameter, a wall and a length")
            )
        if piece.count < 1 or (piece.kind == "offcut" and piece.count != 1):
            wrong.append(
                problem(
                    "no-count", record, f"{piece.count} of {said}", "wanted one offcut, or bars from 1 up"
                )
            )
        if (piece.kind == "offcut") != bool(piece.name.strip()):
            wrong.append(
                problem("no-name", record, f"{said} is named '{piece.name}'", "wanted a name on offcuts only")
            )
        fields_or_problems(record, {"name": piece.name, "steel": piece.steel}, must=("steel",))
    if wrong:
        raise ProblemsFound(wrong)


def _missing(record: str, taken: Sequence[StockPiece], there: Sequence[StockPiece]) -> list[Problem]:
    have = {key_of(p): p.count for p in there}
    want: dict[Key, int] = {}
    for piece in taken:
        want[key_of(piece)] = want.get(key_of(piece), 0) + piece.count
    wrong: list[Problem] = []
    for piece in {key_of(p): p for p in taken}.values():
        key = key_of(piece)
        if want[key] > have.get(key, 0):
            near = nearest_word(piece.name, [p.name for p in there if p.name]) if piece.name else None
            found = f"{want[key]} of {say_piece(piece)} wanted, {have.get(key, 0)} there"
            wrong.append(
                problem("not-there", record, found, "wanted it delivered first (record stock add)", near)
            )
    return wrong


def _names_in_use(
    record: str, taken: Sequence[StockPiece], back: Sequence[StockPiece], there: Sequence[StockPiece]
) -> list[Problem]:
    gone = {p.name for p in taken}
    used = {p.name for p in there if p.kind == "offcut"} - gone
    wrong: list[Problem] = []
    for piece in back:
        if piece.kind == "offcut" and piece.name in used:
            found = f"an offcut '{piece.name}' is on the rack already"
            wrong.append(problem("name-in-use", record, found, "wanted another name"))
        used.add(piece.name)
    return wrong


def lacking_bars(taken: Sequence[StockPiece], there: Sequence[StockPiece]) -> tuple[StockPiece, ...]:
    """Bars that are taken beyond what is there."""
    have = {key_of(p): p.count for p in there}
    lacking: list[StockPiece] = []
    for piece in taken:
        left = have.get(key_of(piece), 0)
        have[key_of(piece)] = left - piece.count
        if piece.kind == "stock" and left < piece.count:
            lacking.append(replace(piece, count=piece.count - max(left, 0)))
    return tuple(lacking)


def say_piece(piece: StockPiece) -> str:
    """The piece in words, sizes in mm."""
    size = f"{piece.od:g} x {piece.wall:g} {piece.steel}, {piece.length:g} mm"
    return f"offcut {piece.name} ({size})" if piece.kind == "offcut" else f"bar {size}"


def offcut_named(record: Record, name: str) -> StockPiece:
    """The offcut of that name on the rack.

    Raises:
        ProblemsFound: there is none.
    """
    rack = [p for p in on_hand(record) if p.kind == "offcut"]
    for piece in rack:
        if piece.name == name:
            return piece
    wanted = "wanted one that is on the rack: see record offcut list"
    near = nearest_word(name, [p.name for p in rack])
    raise ProblemsFound([
        problem("not-there", record.name, f"there is no offcut '{name}' on the rack", wanted, near)
    ])
