from pathlib import Path

import pytest

from cagewright.check.findings import Finding, Spot
from cagewright.check.paper import MOST_PICTURES, findings_sheet, pictures, places_of, tubes_of
from cagewright.check.sight.paper import sight_sheet
from cagewright.job.opening import open_job

CAGE = open_job(Path(__file__).parents[3] / "examples" / "brackwater.yaml").cage


def finding(rule: str, verdict, **spot: tuple[str, ...]) -> Finding:
    return Finding(
        rule=rule,
        judge="by the book",
        book="book",
        edition="1",
        clause="1.1",
        title=f"asks {rule}",
        verdict=verdict,
        measured=None,
        limit="at least 3",
        where=Spot(**spot),
        known="read",
        advice="do this",
    )


FOUND = (
    finding("a", "fail", members=("header",)),
    finding("a", "fail", members=("main_hoop",)),
    finding("b", "looks broken", joints=("backstay_left.start",)),
    finding("c", "cannot tell", feet=("hoop_left",)),
    finding("d", "pass", members=("header",)),
)


def test_each_verdict_has_its_table_and_each_finding_one():
    sheet = findings_sheet(CAGE, FOUND)
    assert [t.title for t in sheet.tables] == [
        "Fails",
        "Looks broken, by figures from memory: read the book",
        "Cannot tell",
        "Passes",
    ]
    assert sheet.tables[0].rows == (("1.1 (book)", "asks a", "at least 3", "header, main_hoop", "do this"),)
    assert "2 fail" in sheet.title


def test_pictures_show_where_it_fails_or_looks_broken():
    drawn = pictures(CAGE, FOUND)
    assert [d.title for d in drawn] == ["fail: asks a", "looks broken: asks b"]
    assert all("wrong" in {s.layer for s in d.strokes} for d in drawn[:1])
    assert all("selected" in {s.layer for s in d.strokes} for d in drawn[1:])


def test_there_are_never_too_many_pictures():
    many = [finding(f"r{i}", "fail", members=("header",)) for i in range(20)]
    assert len(pictures(CAGE, many)) == MOST_PICTURES


def test_joints_and_feet_lead_to_tubes():
    assert tubes_of(CAGE, FOUND[2]) == ("backstay_left",)
    assert tubes_of(CAGE, FOUND[3]) == ("main_hoop",)
    assert tubes_of(CAGE, finding("x", "fail", members=("no_such_tube",))) == ()


@pytest.mark.parametrize(("fold", "said"), [(True, "a, b, c and 4 more"), (False, "a, b, c, d, e, f, g")])
def test_many_places_are_folded_on_paper_only(fold, said):
    assert places_of("abcdefg", fold=fold) == said


def test_the_sight_paper_names_what_stands_in_view():
    sheet = sight_sheet(CAGE)
    assert sheet is not None
    names = {row[0] for row in sheet.tables[0].rows}
    assert {"front_leg_left", "pillar_brace_left"} <= names
    assert all(row[3].endswith("°") for row in sheet.tables[0].rows)
