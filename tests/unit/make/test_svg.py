"""SVG read back with the standard library's XML parser, which knows nothing of how it was written."""

import xml.etree.ElementTree as ET

import numpy as np
import pytest

from cagewright.base.drawing import PAPER, Drawing, Label, Stroke
from cagewright.make.svg import to_svg

NS = "{http://www.w3.org/2000/svg}"


def drawing(strokes=(), labels=()):
    return Drawing(
        name="a",
        title='5 < 6 & "so"',
        box=(-10.0, -5.0, 90.0, 45.0),
        scale=1.0,
        strokes=strokes,
        labels=labels,
    )


def stroke(*points, **more):
    return Stroke(points=np.array(points, dtype=float), layer="cut", **more)


def test_size_is_in_mm_and_one_unit_is_one_mm():
    root = ET.fromstring(to_svg(drawing()))
    assert (root.get("width"), root.get("height")) == ("100mm", "50mm")
    assert root.get("viewBox") == "0 0 100 50"


def test_up_the_paper_is_up():
    root = ET.fromstring(to_svg(drawing((stroke((0, 0), (10, 20)),))))
    points = [tuple(map(float, p.split(","))) for p in root.find(f"{NS}polyline").get("points").split()]
    assert points == [(10.0, 45.0), (20.0, 25.0)]


def test_closed_strokes_are_polygons():
    root = ET.fromstring(to_svg(drawing((stroke((0, 0), (10, 20), (5, 5), closed=True),))))
    assert root.find(f"{NS}polygon") is not None
    assert root.find(f"{NS}polyline") is None


@pytest.mark.parametrize(
    "text", ["a < b & c > d", "\"quoted\" 'too'", "</text><script>", "Ø45 ½ °", "two  spaces"]
)
def test_text_is_text(text):
    root = ET.fromstring(to_svg(drawing(labels=(Label(text=text, at=(0.0, 0.0)),))))
    assert root.find(f"{NS}text").text == text
    assert root.find(f"{NS}script") is None
    assert root.find(f"{NS}title").text == '5 < 6 & "so"'


def test_what_xml_forbids_is_replaced():
    root = ET.fromstring(to_svg(drawing(labels=(Label(text="a\x00b\x1b\ud800\ufffe", at=(0.0, 0.0)),))))
    assert root.find(f"{NS}text").text == "a\ufffdb\ufffd\ufffd\ufffd"


def test_turned_text_turns_about_its_own_place():
    root = ET.fromstring(to_svg(drawing(labels=(Label(text="a", at=(0.0, 0.0), angle=30.0),))))
    assert root.find(f"{NS}text").get("transform") == "rotate(-30 10 45)"


def test_paper_is_only_painted_when_asked():
    patch = stroke((0, 0), (1, 0), (1, 1), closed=True, fill="paper")
    bare = ET.fromstring(to_svg(drawing((patch,))))
    warm = ET.fromstring(to_svg(drawing((patch,)), paper=PAPER))
    assert bare.find(f"{NS}rect") is None
    assert bare.find(f"{NS}polygon").get("fill") == "#ffffff"
    assert warm.find(f"{NS}rect").get("fill") == warm.find(f"{NS}polygon").get("fill") == PAPER


def test_far_things_are_paler():
    near, far = (
        ET
        .fromstring(to_svg(drawing((stroke((0, 0), (1, 1), fade=fade),))))
        .find(f"{NS}polyline")
        .get("stroke")
        for fade in (0.0, 1.0)
    )
    assert int(far[1:3], 16) > int(near[1:3], 16)
