"""One tube at the Cut & bend page: what to read, what it is, its changed ends on paper, taken over."""

import io
from pathlib import Path

import pdfplumber
import pytest

from bent import leg_lines
from cagewright.job.opening import open_job
from cagewright.plan.read import read_plan
from deskside import Bench

pytestmark = pytest.mark.usefixtures("kept_answers")

AT = "/api/plans/brackwater/cut/tubes/front_leg_left"
BRACKWATER = "/api/plans/brackwater"


@pytest.mark.slow
def test_from_readings_to_as_built_and_back(desk: Bench, shop: Path):
    wanted = desk.get(AT).json()
    assert (wanted["as_built"], len(wanted["readings"]) <= 15) == (False, True)
    readings = leg_lines(bend=[(2, -1.5)])
    assert [{**r, "says": ""} for r in readings] == [{**w["line"], "says": ""} for w in wanted["readings"]]
    found = desk.post(AT, {"readings": readings}).json()
    assert [n["what"] for n in found["numbers"] if n["clear"]] == ["bend 2"]
    assert found["picture"].count("<svg") == 1
    assert "cagewright-tube: 1" in found["file"]
    way = found["ways"][found["now"]]

    pdf = desk.post(f"{AT}/papers", {"readings": readings})
    assert pdf.status_code == 200, pdf.text
    with pdfplumber.open(io.BytesIO(pdf.content)) as papers:
        text = "".join(page.extract_text() for page in papers.pages)
    before = read_plan(shop / "brackwater.yaml").members["front_leg_left"].path
    assert desk.edit(way["change"], plan="brackwater").status_code == 200
    built = open_job(shop / "brackwater.yaml")
    assert built.cage.revision in text, "the papers carry the revision that it has once taken over"
    assert built.plan.members["front_leg_left"].planned == before
    assert desk.get(AT).json()["as_built"]
    assert desk.edit({"as_planned": "front_leg_left"}, plan="brackwater").status_code == 200
    assert read_plan(shop / "brackwater.yaml").members["front_leg_left"].path == before


@pytest.mark.slow
def test_only_the_ends_that_change_are_on_the_papers(desk: Bench):
    readings = leg_lines()
    found = desk.post(AT, {"readings": readings}).json()
    assert found["ways"][found["now"]]["papers"] == []
    assert desk.post(f"{AT}/papers", {"readings": readings}).status_code == 404


def test_what_cannot_be_a_reading_is_said(desk: Bench):
    assert desk.post(AT, {}).status_code == 400
    assert desk.post(AT, {"readings": ["start"]}).status_code == 400
    told = desk.post(AT, {"readings": [{"angle": 9, "says": "30 deg"}]})
    assert told.status_code == 422
    assert any("there is no bend 9" in p["found"] for p in told.json()["problems"])
    assert desk.get(f"{BRACKWATER}/cut/tubes/no_such").status_code == 422


@pytest.mark.slow
def test_its_bends_are_put_into_the_shop_file_when_asked(desk: Bench, shop: Path):
    before = sum(len(d.trials) for d in open_job(shop / "brackwater.yaml").shop.dies)
    told = desk.post(f"{AT}/learn", {"readings": leg_lines(bend=[(2, 1.0)])}).json()
    assert "trials written to brackwater.shop.yaml" in told["done"]
    assert sum(len(d.trials) for d in open_job(shop / "brackwater.yaml").shop.dies) > before
