"""The survey file: written with every reading explained, read back the same, mistakes located."""

import pytest

from bodies import SALOON, survey
from cagewright.base.problems import ProblemsFound
from cagewright.plan.readings import level_points, nominal_points, parts_of, points_of, reading_rows
from cagewright.plan.survey import (
    point_names,
    read_survey_text,
    where_read,
)
from cagewright.plan.survey_text import blank_survey, survey_text

BLANK = survey_text(blank_survey("A car"))


def problem(text: str) -> tuple[str, int, str]:
    with pytest.raises(ProblemsFound) as caught:
        read_survey_text(text, file="a.yaml")
    (found,) = caught.value.problems
    return found.code, found.where.line, str(found)


def test_an_empty_survey_reads_back():
    assert read_survey_text(BLANK).file == blank_survey("A car")


def test_a_full_survey_reads_back():
    file = survey(SALOON)
    read = read_survey_text(survey_text(file)).file
    for name, parts in file.readings.items():
        for part, values in parts.items():
            # written to a hundredth of a millimetre or degree
            assert read.readings[name][part] == pytest.approx(values, abs=0.006)


def test_inches_are_understood():
    text = BLANK.replace("hoop_station: unread", "hoop_station: 63 in")
    assert read_survey_text(text).file.readings["hoop_station"][""] == (1600.2,)
    bare = BLANK.replace("title: A car", "title: A car\nunits: in").replace(
        "hoop_station: unread", "hoop_station: 63"
    )
    assert read_survey_text(bare).file.readings["hoop_station"][""] == (1600.2,)


@pytest.mark.parametrize(
    ("old", "new", "code", "hint"),
    [
        ("hoop_station:", "hoop_sttion:", "unknown-reading", "'hoop_station'"),
        ("hoop_station: unread", "hoop_station: [1, 2]", "wrong-count", "one back"),
        ("hoop_station: unread", "hoop_station: 16 oo", "bad-quantity", "or 'unread'"),
        ("  waist:\n    left:", "  waist:\n    lfet:", "unknown-part", "'left'"),
        ("  waist:\n    left: unread", "  waist:\n    left: 650", "wrong-count", "[half, up]"),
        ("  waist:\n    left: unread\n    right: unread", "  waist: 650", "wrong-type", "left: ..."),
    ],
)
def test_mistakes_are_located(old, new, code, hint):
    assert old in BLANK
    text = BLANK.replace(old, new, 1)
    found, line, words = problem(text)
    assert found == code
    assert hint in words
    key = new.split(":")[0].strip() if "waist" not in new else new.split("\n")[-1].split(":")[0].strip()
    assert text.splitlines()[line - 1].strip().startswith(key)


def test_a_distance_to_nowhere_is_a_mistake():
    text = BLANK.replace(
        "readings:", "distances: [{between: [waist_left, wast_right], distance: 900}]\nreadings:"
    )
    code, _, words = problem(text)
    assert code == "unknown-point"
    assert "'waist_right'" in words


def test_where_a_reading_stands():
    read = read_survey_text(BLANK, file="a.yaml")
    where = where_read(read, "waist", "left")
    assert BLANK.splitlines()[where.line - 1].strip() == "left: unread"


def test_rows_are_whole():
    rows = reading_rows()
    ids = {row.id for row in rows}
    assert len([row for row in rows if row.need != "check"]) <= 25
    for row in rows:
        assert row.hold.endswith(".")
        assert len(row.low) == len(row.high) == len(row.values)
        assert all(low < high for low, high in zip(row.low, row.high, strict=True))
        assert set(row.guard) <= ids
        assert len(row.between) in (0, len(row.parts))
        assert len(row.sums) in (0, len(row.parts))
        assert len(row.across) in (0, len(row.parts))
        assert {p for part in row.sums for p, _, _ in part} <= level_points() | {"hoop_station"}
        assert {n for pair in row.between for n in pair} <= set(point_names())
        where = {name for part in parts_of(row) for name in points_of(row, part)}
        assert where - level_points() <= set(nominal_points())


def test_every_reading_is_checked_by_another():
    for row in reading_rows():
        assert row.guard or row.need == "check", row.id
