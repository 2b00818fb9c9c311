"""DXF read back and audited with ezdxf."""

import io
import math
from datetime import datetime

import ezdxf
import numpy as np
import pytest

import handmade
from cagewright.base.drawing import Drawing, Label, Stroke
from cagewright.make.dxf import to_dxf
from cagewright.make.views import cage_view
from cagewright.make.wrapdraw import wrap_drawing
from cagewright.make.wraps import wraps_of

WRAPS = wraps_of(handmade.cage())


def read(made):
    return ezdxf.read(io.StringIO(made.decode("utf-8")))


def small(*labels):
    return Drawing(
        name="a", title="a", box=(0.0, 0.0, 10.0, 10.0), scale=1.0,
        strokes=(Stroke(points=np.array([[0.0, 0.0], [3.0, 4.0]]), layer="hidden"),), labels=labels,
    )  # fmt: skip


@pytest.mark.parametrize(
    "drawing", [wrap_drawing(WRAPS[0]), wrap_drawing(WRAPS[1]), cage_view(handmade.cage(), "side")],
    ids=lambda d: d.name,
)  # fmt: skip
def test_audits_clean_in_mm(drawing):
    doc = read(to_dxf(drawing))
    audit = doc.audit()
    assert audit.errors == []
    assert audit.fixes == []
    assert doc.header["$INSUNITS"] == 4


def test_the_cut_is_one_polyline_as_long_as_the_tube_is_round():
    """pi D = 119.381 mm for 38 mm."""
    doc = read(to_dxf(wrap_drawing(WRAPS[1])))
    cuts = [e for e in doc.modelspace().query("LWPOLYLINE[layer=='CUT']") if len(e) > 100]
    (cut,) = cuts
    xy = np.array(cut.get_points("xy"))
    assert np.ptp(xy[:, 0]) == pytest.approx(38.0 * math.pi, abs=1e-9)
    assert xy[:, 1] == pytest.approx(WRAPS[1].outside)


def test_each_meaning_has_its_layer_and_dashes():
    doc = read(to_dxf(wrap_drawing(WRAPS[1])))
    names = {layer.dxf.name for layer in doc.layers}
    assert {"CUT", "INSIDE", "CENTRE", "MARK", "TEXT", "TRIM"} <= names
    assert doc.layers.get("INSIDE").dxf.linetype != doc.layers.get("CUT").dxf.linetype


def test_text_keeps_its_height_place_and_turn():
    label = Label(text="Ø45 up", at=(3.0, 4.0), height=2.5, angle=30.0, anchor="middle")
    (text,) = read(to_dxf(small(label))).modelspace().query("TEXT")
    assert text.dxf.text == "Ø45 up"
    assert (text.dxf.height, text.dxf.rotation) == (2.5, 30.0)
    assert tuple(text.get_placement()[1])[:2] == (3.0, 4.0)


@pytest.mark.parametrize(
    "text", ["a\nb", "%%U underlined", "\x00", "", "\ud800", "{\\fArial|b1;x}", "0\n LINE\n"]
)
def test_no_text_breaks_the_file(text):
    doc = read(to_dxf(small(Label(text=text, at=(0.0, 0.0)))))
    assert doc.audit().errors == []
    assert len(doc.modelspace().query("TEXT")) == 1
    assert len(doc.modelspace().query("LINE")) == 0


class Later(datetime):
    @classmethod
    def now(cls, tz=None):
        return datetime(2031, 5, 6, 7, 8, 9, tzinfo=tz)


def test_same_drawing_same_bytes_at_another_hour(monkeypatch):
    first = to_dxf(small())
    monkeypatch.setattr(ezdxf.document, "datetime", Later)
    assert to_dxf(small()) == first
    assert b"2031" not in first
