"""Where in a book file each key stands: the standard TOML reader gives values without their lines."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

_HEADER = re.compile(r"^\s*\[\[?\s*([A-Za-z0-9_.-]+)\s*\]\]?")
_KEY = re.compile(r"^\s*(\"[^\"]*\"|'[^']*'|[A-Za-z0-9_-]+)\s*[.=]")
_QUOTED = re.compile(r"\"(?:\\.|[^\"\\])*\"|'[^']*'")

Spot = tuple[str, int, str]
"""Table (``book`` or ``rule``), its count from 0, and key ('' for the table's own heading)."""


@dataclass(slots=True)
class _Scan:
    """How far a reading of the file has come."""

    table: str = ""
    count: dict[str, int] = field(default_factory=dict[str, int])
    fence: str = ""
    depth: int = 0
    lines: dict[Spot, int] = field(default_factory=dict[Spot, int])


def lines_of(text: str) -> dict[Spot, int]:
    """The line, from 1, of every table and key in the file."""
    scan = _Scan()
    for number, line in enumerate(text.splitlines(), start=1):
        if not scan.fence and scan.depth == 0:
            _note(scan, line, number)
        _follow(scan, line)
    return scan.lines


def _note(scan: _Scan, line: str, number: int) -> None:
    header = _HEADER.match(line)
    if header:
        table, _, inner = header[1].partition(".")
        if not inner:
            scan.count[table] = scan.count.get(table, -1) + 1
        scan.table = header[1]
        scan.lines.setdefault((table, scan.count.get(table, 0), inner), number)
        return
    key = _KEY.match(line)
    if key and "." not in scan.table:
        scan.lines.setdefault((scan.table, scan.count.get(scan.table, 0), key[1].strip("\"'")), number)


def _follow(scan: _Scan, line: str) -> None:
    """Keep track of texts and lists that run over several lines."""
    rest = line
    if scan.fence:
        _, closed, rest = line.partition(scan.fence)
        if not closed:
            return
        scan.fence = ""
    for fence in ('"""', "'''"):
        if rest.count(fence) % 2:
            scan.fence = fence
            return
    bare = _QUOTED.sub("", rest).partition("#")[0]
    if scan.depth or not _HEADER.match(bare):
        scan.depth = max(
            0, scan.depth + bare.count("[") + bare.count("{") - bare.count("]") - bare.count("}")
        )


def line_of(lines: dict[Spot, int], table: str, count: int, key: str) -> int:
    """The key's line, or its table's, or 0 where neither is known."""
    return lines.get((table, count, key), lines.get((table, count, ""), 0))
