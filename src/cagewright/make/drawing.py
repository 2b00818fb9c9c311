"""The Drawing: strokes and labels in true millimetres; writers turn it into SVG, DXF and PDF."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Layer = Literal["cut", "inside", "centre", "tube", "hidden", "dimension", "body", "mark", "text", "trim"]
"""What a stroke means; each writer has one look per layer, never colour alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A polyline of points (n, 2), mm, y up; ``closed`` joins the last to the first."""

    points: NDArray[np.float64]
    layer: Layer
    closed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Text at ``at`` (x, y) mm, ``height`` mm, turned ``angle`` degrees anticlockwise."""

    text: str
    at: tuple[float, float]
    height: float = 3.0
    anchor: Literal["left", "middle", "right"] = "left"
    angle: float = 0.0
    layer: Layer = "text"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing at a stated scale.

    Attributes:
        name: file-name-safe.
        title: as printed.
        box: (x0, y0, x1, y1) that holds everything, mm on the drawing.
        scale: drawing mm per true mm; 1.0 for templates.
        strokes: lines.
        labels: texts.
    """

    name: str
    title: str
    box: tuple[float, float, float, float]
    scale: float
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]


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
    kind: Literal["summary", "cut list", "nesting", "bend sheet", "wrap", "weld map", "findings"]
    member: str | None = None
    tables: tuple[Table, ...] = ()
    drawings: tuple[Drawing, ...] = ()
    notes: tuple[str, ...] = ()
