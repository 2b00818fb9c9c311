"""Tables as CSV that a spreadsheet opens safely."""

from __future__ import annotations

import csv
import io
import re

from cagewright.base.sheet import Table

_NUMBER = re.compile(r"^[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?$")
_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet take a cell for a formula."""


def to_csv(table: Table) -> bytes:
    """The table as CSV (RFC 4180: CRLF, quotes doubled) in UTF-8 with a byte order mark.

    The mark tells spreadsheets the encoding, without which degrees come out garbled. A cell that would be
    taken for a formula and is no number gets an apostrophe before it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow([_safe(f"{c.head} ({c.unit})" if c.unit else c.head) for c in table.columns])
    writer.writerows([_safe(cell) for cell in row] for row in table.rows)
    return out.getvalue().encode("utf-8-sig", "replace")


def _safe(cell: str) -> str:
    risky = cell.startswith(_STARTS) and not _NUMBER.match(cell)
    return f"'{cell}" if risky else cell
