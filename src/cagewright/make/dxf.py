"""Drawings as DXF in millimetres, one layer for each meaning, for a plotter, laser or CAD program."""

from __future__ import annotations

import io
import re

from ezdxf.document import Drawing as Document
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Modelspace

from cagewright.base.drawing import LOOKS, Drawing, Label, Layer, Look, Stroke

_ALIGN = {
    "left": TextEntityAlignment.LEFT,
    "middle": TextEntityAlignment.CENTER,
    "right": TextEntityAlignment.RIGHT,
}
_COLOURS: dict[Layer, int] = {
    "cut": 7,
    "inside": 4,
    "centre": 1,
    "hidden": 8,
    "dimension": 3,
    "selected": 5,
    "wrong": 1,
}
"""DXF colour index of each layer, 7 (black or white) where none is given; layers differ by dash too."""
_WEIGHTS = (13, 15, 18, 20, 25, 30, 35, 40, 50, 60)
"""Line weights DXF knows, 1/100 mm."""
_DATE = re.compile(r"(\$TD(?:CREATE|UCREATE|UPDATE|UUPDATE)\n *40\n)[^\n]*")
_GUID = re.compile(r"(\$(?:FINGERPRINTGUID|VERSIONGUID)\n *2\n)[^\n]*")
_WRITTEN = re.compile(r"(\n\d[\w.]* @ )\d{4}-\d\d-\d\dT[^\n]*")
_CONTROL = re.compile(r"[\x00-\x1f\x7f\ud800-\udfff]")


def to_dxf(drawing: Drawing) -> bytes:
    """The drawing as DXF (R2010, UTF-8), $INSUNITS millimetres; the same drawing makes the same bytes.

    Fills are left out but for arrowheads; far lines are not faded.
    """
    doc = _document(drawing)
    space = doc.modelspace()
    for stroke in drawing.strokes:
        _add_stroke(space, stroke)
    for label in drawing.labels:
        _add_label(space, label)
    out = io.StringIO()
    doc.write(out)
    return _undated(out.getvalue()).encode("utf-8", "replace")


def _document(drawing: Drawing) -> Document:
    doc = Document.new("AC1024")
    doc.header["$INSUNITS"] = 4
    doc.header["$MEASUREMENT"] = 1
    doc.header["$EXTMIN"] = (*drawing.box[:2], 0.0)
    doc.header["$EXTMAX"] = (*drawing.box[2:], 0.0)
    used = {s.layer for s in drawing.strokes if _drawn(s)} | {t.layer for t in drawing.labels}
    for layer, look in LOOKS.items():
        if layer in used:
            _add_layer(doc, layer, look)
    return doc


def _add_layer(doc: Document, layer: Layer, look: Look) -> None:
    linetype = f"CW_{layer.upper()}" if look.dash else "CONTINUOUS"
    if look.dash:
        signed = [d if i % 2 == 0 else -d for i, d in enumerate(look.dash)]
        doc.linetypes.add(linetype, [sum(look.dash), *signed], description=layer)
    weight = min(_WEIGHTS, key=lambda w: abs(w - 100.0 * look.width))
    doc.layers.add(layer.upper(), color=_COLOURS.get(layer, 7), linetype=linetype, lineweight=weight)


def _drawn(stroke: Stroke) -> bool:
    return LOOKS[stroke.layer].width > 0.0


def _add_stroke(space: Modelspace, stroke: Stroke) -> None:
    if not _drawn(stroke):
        return
    layer = {"layer": stroke.layer.upper()}
    corners = [(float(x), float(y)) for x, y in stroke.points]
    if stroke.fill == "ink" and len(corners) in (3, 4):
        order = corners if len(corners) == 3 else [corners[i] for i in (0, 1, 3, 2)]
        space.add_solid(order, dxfattribs=layer)
    else:
        space.add_lwpolyline(corners, close=stroke.closed, dxfattribs=layer)


def _add_label(space: Modelspace, label: Label) -> None:
    words = _CONTROL.sub(" ", label.text).replace("%%", "% %") or " "
    text = space.add_text(
        words, height=label.height, rotation=label.angle, dxfattribs={"layer": label.layer.upper()}
    )
    text.set_placement(label.at, align=_ALIGN[label.anchor])


def _undated(text: str) -> str:
    """The file without the hour and the random marks it was written with."""
    text = _DATE.sub(r"\g<1>2451544.5", text)
    text = _GUID.sub(r"\g<1>{00000000-0000-0000-0000-000000000000}", text)
    return _WRITTEN.sub(r"\g<1>2000-01-01T00:00:00+00:00", text)
