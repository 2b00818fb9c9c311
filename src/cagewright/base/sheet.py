"""The Sheet: one paper as data, its tables, drawings and notes; the book lays it out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.drawing import Drawing

Paper = Literal["a4", "letter"]
PAPERS: dict[Paper, tuple[float, float]] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""Width and height upright, mm (ISO 216; ANSI/ASME Y14.1 size A)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A table column: heading, unit (empty where there is none) and where it aligns."""

    head: str
    unit: str = ""
    align: Literal["left", "right"] = "left"


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A table of ready-to-print cells; the numbers behind them are in the JSON of the sheet."""

    title: str
    columns: tuple[Column, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One paper: its tables, drawings and notes.

    Attributes:
        name: file-name-safe.
        title: as printed.
        kind: what paper it is.
        member: the member it is about, or None.
        tables: in print order.
        drawings: in print order.
        notes: sentences to print, cautions first.
    """

    name: str
    title: str
    kind: Literal[
        "summary",
        "cage",
        "cut list",
        "nesting",
        "bend sheet",
        "weld map",
        "strength",
        "findings",
        "every finding",
        "inspection",
        "fit-up",
        "sight",
        "trims",
        "offer",
        "costs",
    ]
    member: str | None = None
    tables: tuple[Table, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    notes: tuple[str, ...] = ()
