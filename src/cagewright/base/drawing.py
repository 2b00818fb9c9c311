"""The Drawing: strokes and labels in true millimetres; writers turn it into SVG, DXF and PDF."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]  # shape (n, 2), mm
Box = tuple[float, float, float, float]
"""(x0, y0, x1, y1), mm."""

Layer = Literal[
    "cut",
    "inside",
    "centre",
    "tube",
    "hidden",
    "dimension",
    "body",
    "mark",
    "text",
    "trim",
    "plate",
    "selected",
    "wrong",
    "area",
]
"""What a stroke means; never by colour alone. ``area`` has no line of its own."""

Fill = Literal["none", "paper", "tone", "ink"]
"""What closed strokes are filled with: nothing, the paper's colour, a light tone or the layer's ink."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """A polyline of points (n, 2), mm, y up; ``closed`` joins the last to the first.

    ``fade`` runs from 0 (full ink) to 1 (paper) for things further away. ``look`` stands in for the layer's
    where a curve or a colour scale needs its own.
    """

    points: Points
    layer: Layer
    closed: bool = False
    fill: Fill = "none"
    fade: float = 0.0
    look: Look | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Text whose baseline starts (or is centred, or ends) at ``at`` (x, y) mm.

    ``height`` is that of a capital letter, mm; ``angle`` is in degrees anticlockwise. ``strong`` is bold.
    """

    text: str
    at: tuple[float, float]
    height: float = 3.0
    anchor: Literal["left", "middle", "right"] = "left"
    angle: float = 0.0
    layer: Layer = "text"
    strong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing at a stated scale; strokes are painted in order, later ones over earlier ones.

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
    box: Box
    scale: float
    strokes: tuple[Stroke, ...]
    labels: tuple[Label, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """How a layer is drawn.

    Attributes:
        width: line width, mm; 0 draws no line.
        ink: colour, ``#rrggbb``.
        dash: on, off, ... mm; empty for a full line.
    """

    width: float
    ink: str
    dash: tuple[float, ...] = ()


INK = "#22262b"
STEEL = "#66717c"
PAPER = "#fbf8f1"
"""Warm paper white, for the screen; printed pages are left white."""
LOOKS: dict[Layer, Look] = {
    "cut": Look(width=0.35, ink="#000000"),
    "inside": Look(width=0.25, ink="#4a5058", dash=(2.0, 1.0)),
    "centre": Look(width=0.18, ink="#4a5058", dash=(6.0, 1.2, 0.8, 1.2)),
    "tube": Look(width=0.25, ink=INK),
    "hidden": Look(width=0.15, ink=STEEL, dash=(1.2, 0.9)),
    "dimension": Look(width=0.15, ink="#3a4048"),
    "body": Look(width=0.2, ink="#8a7f6c", dash=(3.0, 1.5)),
    "mark": Look(width=0.3, ink=INK),
    "text": Look(width=0.2, ink=INK),
    "trim": Look(width=0.2, ink="#000000", dash=(0.6, 0.6)),
    "plate": Look(width=0.25, ink=INK),
    "selected": Look(width=0.6, ink="#0b5cad"),
    "wrong": Look(width=0.6, ink="#b8321a", dash=(2.4, 0.8)),
    "area": Look(width=0.0, ink=STEEL),
}
"""The look of each layer: ink, line width and dash, so that no layer rests on colour alone."""

ADVANCE = 0.602 / 0.729
"""Width of one letter of the drawing letter (fixed pitch) over the height of a capital."""


def text_width(text: str, height: float) -> float:
    """Printed width of ``text``, mm, with capitals ``height`` mm high."""
    return len(text) * ADVANCE * height


def label_corners(label: Label) -> Points:
    """The four corners (4, 2) of the box round a label, mm, descenders and accents included."""
    wide = text_width(label.text, label.height)
    x0 = {"left": 0.0, "middle": -wide / 2.0, "right": -wide}[label.anchor]
    low, high = -0.32 * label.height, 1.12 * label.height
    corners = np.array([[x0, low], [x0 + wide, low], [x0 + wide, high], [x0, high]])
    a = np.radians(label.angle)
    turn = np.array([[np.cos(a), np.sin(a)], [-np.sin(a), np.cos(a)]])
    return corners @ turn + np.array(label.at)


def box_round(strokes: tuple[Stroke, ...], labels: tuple[Label, ...], *, margin: float = 0.0) -> Box:
    """The box that holds the strokes and labels with ``margin`` mm round them.

    Raises:
        ValueError: nothing to hold.
    """
    clouds = [s.points for s in strokes] + [label_corners(label) for label in labels]
    if not clouds:
        raise ValueError("an empty drawing has no box")
    cloud = np.concatenate(clouds)
    (x0, y0), (x1, y1) = cloud.min(axis=0), cloud.max(axis=0)
    return float(x0) - margin, float(y0) - margin, float(x1) + margin, float(y1) + margin


def moved_strokes(strokes: tuple[Stroke, ...], dx: float, dy: float) -> tuple[Stroke, ...]:
    """The strokes shifted by (dx, dy) mm."""
    shift = np.array([dx, dy])
    return tuple(replace(s, points=s.points + shift) for s in strokes)


def moved_labels(labels: tuple[Label, ...], dx: float, dy: float) -> tuple[Label, ...]:
    """The labels shifted by (dx, dy) mm."""
    return tuple(replace(label, at=(label.at[0] + dx, label.at[1] + dy)) for label in labels)


def moved(drawing: Drawing, dx: float, dy: float) -> Drawing:
    """The drawing shifted by (dx, dy) mm."""
    x0, y0, x1, y1 = drawing.box
    return replace(
        drawing,
        box=(x0 + dx, y0 + dy, x1 + dx, y1 + dy),
        strokes=moved_strokes(drawing.strokes, dx, dy),
        labels=moved_labels(drawing.labels, dx, dy),
    )
