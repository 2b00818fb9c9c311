"""The printed survey sheet: every reading on it once, inside the page, with a sketch and room to write."""

import numpy as np
import pytest

from cagewright.base.drawing import box_round
from cagewright.base.sheet import PAPERS
from cagewright.make.survey_sheet import SKETCH, sketch_of, survey_pages
from cagewright.plan.readings import reading_rows


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_reading_is_on_a_page_once_and_inside_it(paper):
    pages = survey_pages(paper)
    titles = [label.text for page in pages for label in page.labels if label.strong]
    for number, row in enumerate(reading_rows(), start=1):
        assert titles.count(f"{number}  {row.title}") == 1
    wide, high = PAPERS[paper]
    for page in pages:
        x0, y0, x1, y1 = box_round(page.strokes, page.labels)
        assert x0 >= 5.0
        assert y0 >= 20.0  # the foot of the page says the cautions
        assert x1 <= wide - 5.0
        assert y1 <= high - 5.0


@pytest.mark.parametrize("row", reading_rows(), ids=lambda row: row.id)
def test_every_sketch_marks_its_places_inside_its_frame(row):
    ink = sketch_of(row, (0.0, 0.0))
    marks = [s for s in ink.strokes if s.layer == "selected"]
    assert marks, row.id
    cloud = np.concatenate([s.points for s in marks])
    assert cloud.min() >= -2.0
    assert cloud[:, 0].max() <= SKETCH[0] + 2.0
    assert cloud[:, 1].max() <= SKETCH[1] + 2.0
