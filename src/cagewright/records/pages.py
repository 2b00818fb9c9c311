"""Rows read straight from the pages of an SQLite file that the database itself cannot open any more.

Follows the file format as published (sqlite.org, "Database File Format", sections 1.5, 1.6 and 2.1; from
memory, held to files that SQLite itself writes). Only rows that lie on table leaf pages are looked for; what
table a row belongs to is told by how many columns it has and by what its first columns hold.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import get_args

from cagewright.records.tables import TABLES
from cagewright.records.types import EntryKind

_LEAF = 13
_SIZES = (0, 1, 2, 3, 4, 6, 8)
_MOST = 500_000_000
"""Files larger than this are not read whole, bytes; a shop's record is a few megabytes."""
Value = int | float | str | bytes | None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pages:
    """The file's bytes and the size of its pages."""

    data: bytes
    size: int


def rows_in(path: Path) -> Iterator[tuple[str, dict[str, object]]]:
    """Each row found on the pages, with the table it belongs to.

    Args:
        path: an SQLite file, damaged anywhere, also in its first page.
    """
    if not path.is_file() or path.stat().st_size > _MOST:
        return
    data = _with_log(path.read_bytes(), path.with_name(f"{path.name}-wal"))
    pages = _Pages(data=data, size=_page_size(data))
    for start in range(0, len(data) - pages.size + 1, pages.size):
        for number, values in _leaf(pages, start):
            named = _table_of(number, values)
            if named:
                yield named


def _with_log(data: bytes, log: Path) -> bytes:
    """The file with the pages committed to its write-ahead log put in their places (section 4.1)."""
    raw = log.read_bytes() if log.is_file() and log.stat().st_size < _MOST else b""
    if len(raw) < 32:
        return data
    size, salts = int.from_bytes(raw[8:12], "big"), raw[16:24]
    if size not in {512, 1024, 2048, 4096, 8192, 16384, 32768}:
        return data
    whole, waiting = bytearray(data), list[tuple[int, bytes]]()
    for at in range(32, len(raw) - size - 23, size + 24):
        number, ends = struct.unpack(">II", raw[at : at + 8])
        if raw[at + 8 : at + 16] != salts or not 0 < number < _MOST // size:
            break
        waiting.append((number, raw[at + 24 : at + 24 + size]))
        if ends:  # the last page of a change says how long the file is now
            for page, content in waiting:
                whole.extend(bytes(max(0, page * size - len(whole))))
                whole[(page - 1) * size : page * size] = content
            waiting.clear()
    return bytes(whole)


def _page_size(data: bytes) -> int:
    """As the header says, or SQLite's usual 4096 where the header is gone."""
    said = int.from_bytes(data[16:18], "big") if data.startswith(b"SQLite format 3\0") else 0
    return said if said in {512, 1024, 2048, 4096, 8192, 16384, 32768} else 4096


def _leaf(pages: _Pages, start: int) -> Iterator[tuple[int, list[Value]]]:
    """The cells of one page, if it is a table's leaf."""
    head = start + (100 if start == 0 else 0)
    if pages.data[head] != _LEAF:
        return
    cells = int.from_bytes(pages.data[head + 3 : head + 5], "big")
    for i in range(min(cells, pages.size // 4)):
        spot = head + 8 + 2 * i
        at = start + int.from_bytes(pages.data[spot : spot + 2], "big")
        try:
            number, values = _cell(pages, at)
        except (IndexError, ValueError, struct.error):
            continue
        yield number, values


def _cell(pages: _Pages, at: int) -> tuple[int, list[Value]]:
    size, at = _varint(pages.data, at)
    number, at = _varint(pages.data, at)
    return number, _record(_payload(pages, at, size))


def _payload(pages: _Pages, at: int, size: int) -> bytes:
    """The cell's content, gathered from overflow pages where it is long (file format 1.6).

    Raises:
        ValueError: it cannot be whole.
    """
    if size > len(pages.data):
        raise ValueError("longer than the file")
    most = pages.size - 35
    if size <= most:
        return pages.data[at : at + size]
    least = (pages.size - 12) * 32 // 255 - 23
    here = least + (size - least) % (pages.size - 4)
    here = here if here <= most else least
    whole = [pages.data[at : at + here]]
    after, left = int.from_bytes(pages.data[at + here : at + here + 4], "big"), size - here
    while left > 0:
        if not after or after * pages.size > len(pages.data):
            raise ValueError("an overflow page is missing")
        start = (after - 1) * pages.size
        part = pages.data[start + 4 : start + min(4 + left, pages.size)]
        whole.append(part)
        left -= len(part)
        after = int.from_bytes(pages.data[start : start + 4], "big")
    return b"".join(whole)


def _record(payload: bytes) -> list[Value]:
    """The values of one record (file format 2.1).

    Raises:
        ValueError: it is no record.
    """
    end, at = _varint(payload, 0)
    kinds: list[int] = []
    while at < end:
        kind, at = _varint(payload, at)
        kinds.append(kind)
    values: list[Value] = []
    for kind in kinds:
        value, at = _value(payload, at, kind)
        values.append(value)
    if at != len(payload):
        raise ValueError("the record does not end where its cell does")
    return values


def _value(payload: bytes, at: int, kind: int) -> tuple[Value, int]:
    if kind == 0:
        return None, at
    if kind in {8, 9}:
        return kind - 8, at
    if kind == 7:
        return struct.unpack(">d", payload[at : at + 8])[0], at + 8
    if kind < 7:
        size = _SIZES[kind]
        return int.from_bytes(payload[at : at + size], "big", signed=True), at + size
    size = (kind - 12) // 2
    raw = payload[at : at + size]
    if kind < 12 or len(raw) != size:
        raise ValueError("no such value")
    return (raw.decode("utf-8") if kind % 2 else raw), at + size


def _varint(data: bytes, at: int) -> tuple[int, int]:
    value = 0
    for _ in range(8):
        byte = data[at]
        at += 1
        value = value << 7 | byte & 0x7F
        if byte < 0x80:
            return value, at
    return value << 8 | data[at], at + 1


def _table_of(number: int, values: list[Value]) -> tuple[str, dict[str, object]] | None:
    """The table whose rows look like this one, and the row by column; None where it is none of ours.

    The number of a row stands in place of its first column, which SQLite keeps empty.
    """
    if len(values) < 3 or values[0] is not None or not _uid(values[1]):
        return None
    for name, table in TABLES.items():
        columns = [c.name for c in table.columns]
        # a row written before a column was added is shorter by it
        if len(values) in {len(columns), len(columns) - 1} and _fits(name, values):
            row: dict[str, object] = dict.fromkeys(columns, "")
            row.update(zip(columns, values, strict=False))
            for real in (c.name for c in table.columns if str(c.type).startswith("DOUBLE")):
                kept = row[real]
                # SQLite keeps a whole number of a real column as an integer
                row[real] = float(kept) if isinstance(kept, int) else kept
            return name, row | {"id": number}
    return None


def _fits(table: str, values: list[Value]) -> bool:
    if table == "jobs":
        return isinstance(values[2], str)
    if table == "revisions":
        return (
            _uid(values[2])
            and isinstance(values[3], str)
            and isinstance(values[5], str)
            and len(values) <= 11
        )
    if table == "entries":
        return _uid(values[2]) and values[5] in get_args(EntryKind)
    return values[3] in {"stock", "offcut"}


def _uid(value: Value) -> bool:
    return isinstance(value, str) and len(value) == 32 and all(c in "0123456789abcdef" for c in value)
