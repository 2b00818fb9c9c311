"""Drawings as SVG that prints at true scale: width and height in mm, one user unit to the millimetre."""

from __future__ import annotations

import re
from xml.sax.saxutils import escape, quoteattr

import numpy as np

from cagewright.base.drawing import LOOKS, Drawing, Label, Look, Stroke

LETTER = "DejaVu Sans Mono, Menlo, Consolas, monospace"
"""Fixed-pitch letters of one width, so that a label's size is known before it is printed."""
CAPITAL = 0.729
"""Height of a capital over the font size of the drawing letter."""
_ANCHOR = {"left": "start", "middle": "middle", "right": "end"}
_BAD = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""What XML 1.0 section 2.2 does not allow in a document."""


def to_svg(drawing: Drawing, *, paper: str | None = None) -> str:
    """The drawing as an SVG document.

    Args:
        drawing: what to write.
        paper: colour behind the drawing, ``#rrggbb``; None leaves it clear (white where it must cover).
    """
    x0, y0, x1, y1 = drawing.box
    wide, high = _num(x1 - x0), _num(y1 - y0)
    ground = [f'<rect width="{wide}" height="{high}" fill="{paper}"/>'] if paper else []
    strokes = [_stroke(s, x0, y1, paper or "#ffffff") for s in drawing.strokes]
    labels = [_label(label, x0, y1) for label in drawing.labels]
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}" stroke-linejoin="round" font-family="{LETTER}">'
    )
    return "\n".join([
        head,
        f"<title>{_text(drawing.title)}</title>",
        *ground,
        *strokes,
        *labels,
        "</svg>",
        "",
    ])


def _num(value: float) -> str:
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _text(text: str) -> str:
    return escape(_BAD.sub("\ufffd", text))


def _stroke(stroke: Stroke, x0: float, y1: float, paper: str) -> str:
    xy = np.column_stack([stroke.points[:, 0] - x0, y1 - stroke.points[:, 1]])
    points = " ".join(f"{_num(x)},{_num(y)}" for x, y in xy.tolist())
    kind = "polygon" if stroke.closed else "polyline"
    look = stroke.look or LOOKS[stroke.layer]
    return f'<{kind} points="{points}" {_fill(stroke, look.ink, paper)} {_line(look, stroke.fade)}/>'


def _fill(stroke: Stroke, ink: str, paper: str) -> str:
    match stroke.fill:
        case "none":
            return 'fill="none"'
        case "paper":
            return f'fill="{paper}"'
        case "tone":
            return f'fill="{_blend(ink, 0.55 + 0.35 * stroke.fade)}"'
        case "ink":
            return f'fill="{_blend(ink, stroke.fade)}"'


def _line(look: Look, fade: float) -> str:
    if look.width == 0.0:
        return 'stroke="none"'
    dash = f' stroke-dasharray="{" ".join(_num(d) for d in look.dash)}"' if look.dash else ""
    return f'stroke="{_blend(look.ink, 0.7 * fade)}" stroke-width="{_num(look.width)}"{dash}'


def _blend(ink: str, part: float) -> str:
    """The ink let down with white: part 0 is full ink, 1 is white."""
    channels = (int(ink[i : i + 2], 16) for i in (1, 3, 5))
    return "#" + "".join(f"{round(c + (255 - c) * part):02x}" for c in channels)


def _label(label: Label, x0: float, y1: float) -> str:
    x, y = _num(label.at[0] - x0), _num(y1 - label.at[1])
    turn = f" transform={quoteattr(f'rotate({_num(-label.angle)} {x} {y})')}" if label.angle else ""
    bold = ' font-weight="bold"' if label.strong else ""
    return (
        f'<text x="{x}" y="{y}" font-size="{_num(label.height / CAPITAL)}" fill="{LOOKS[label.layer].ink}" '
        f'text-anchor="{_ANCHOR[label.anchor]}" xml:space="preserve"{bold}{turn}>{_text(label.text)}</text>'
    )
