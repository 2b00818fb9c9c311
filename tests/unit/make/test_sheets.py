import json
import math
import re
from dataclasses import replace

import pytest

import handmade
from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import shown
from cagewright.make.numbers import numbers
from cagewright.make.sheets import sheets
from cagewright.make.work import to_see_to, work_out
from cagewright.stock.shop import NO_SHOP
from shopmade import SHOP


@pytest.fixture(scope="module")
def work():
    return work_out(handmade.cage(), SHOP)


@pytest.fixture(scope="module")
def papers(work):
    return {s.name: s for s in sheets(work)}


@pytest.fixture(scope="module")
def inch_papers():
    return {s.name: s for s in sheets(work_out(handmade.cage(units="in"), SHOP))}


@pytest.fixture(scope="module")
def bare_work():
    return work_out(handmade.cage(), NO_SHOP)


def table(sheet, title):
    return next(t for t in sheet.tables if title in t.title)


def cell(sheet, title, row, head):
    """The cell of the row that starts with ``row`` under ``head``."""
    found = table(sheet, title)
    column = [c.head for c in found.columns].index(head)
    return next(r for r in found.rows if r[0] == row)[column]


def test_a_paper_for_each_purpose(papers):
    assert list(papers)[:3] == ["summary", "cut_list", "nesting"]
    assert list(papers)[-1] == "weld_map"
    bent = [s.member for s in papers.values() if s.kind == "bend sheet"]
    assert bent == ["main_hoop", "front_leg_left", "front_leg_right"]


def test_every_paper_carries_cautions_title_and_revision(papers):
    for sheet in papers.values():
        assert sheet.notes[: len(CAUTIONS)] == CAUTIONS
        assert sheet.notes[len(CAUTIONS)] == "Brackwater two-door, gravel hill-climb, revision 3f9a01c2d4."


def test_cautions_say_the_four_things():
    said = " ".join(CAUTIONS).lower()
    for words in ("not a certificate", "rule book", "qualified welder", "engineer or scrutineer decide"):
        assert words in said


def test_every_row_has_a_cell_for_every_column(papers, inch_papers):
    for sheet in (*papers.values(), *inch_papers.values()):
        for found in sheet.tables:
            assert {len(r) for r in found.rows} <= {len(found.columns)}, (sheet.name, found.title)


def test_no_cell_prints_a_number_that_is_not_one(papers, inch_papers):
    for sheet in (*papers.values(), *inch_papers.values()):
        text = " ".join(c for t in sheet.tables for r in t.rows for c in r)
        assert "nan" not in text.split()
        assert "None" not in text
    for sheet in papers.values():
        assert not any(c in {"-0.0", "-0.0°"} for t in sheet.tables for r in t.rows for c in r)


def test_summary_tells_what_is_built(work, papers):
    facts = {r[0]: r[1] for r in table(papers["summary"], "built").rows}
    assert facts["members"] == "9"
    assert facts["weight"] == f"{work.weights.mass:.2f} kg"
    assert facts["revision"] == "3f9a01c2d4"


def test_summary_totals_the_tube_and_its_cost(work, papers):
    last = table(papers["summary"], "buy").rows[-1]
    cost = sum(n.cost or 0.0 for n in work.nests)
    assert last[3] == f"{cost:.2f} EUR"
    assert last[2] == f"{sum(n.bought for n in work.nests):.1f}"


def test_summary_lists_what_is_to_be_seen_to(bare_work):
    first = sheets(bare_work)[0]
    open_points = table(first, "seen to")
    assert len(open_points.rows) == len(to_see_to(bare_work)) > 0
    assert any("no die" in r[1] for r in open_points.rows)
    assert table(first, "buy").rows[-1][3] == "–"


def test_cut_list_has_each_member_and_its_lengths(work, papers):
    rows = table(papers["cut_list"], "Members").rows
    assert [r[0] for r in rows] == [shown(m.name) for m in work.cage.members]
    assert (
        cell(papers["cut_list"], "Members", "main hoop", "finished") == f"{work.cage.members[0].length:.1f}"
    )


def test_inch_papers_are_in_inches_alone(inch_papers):
    said = cell(inch_papers["cut_list"], "Members", "main hoop", "finished")
    assert re.fullmatch(r"\d+( \d+/(2|4|8|16|32))?", said)
    columns = table(inch_papers["cut_list"], "Members").columns
    assert {c.unit for c in columns} == {"", "in"}
    words = [cell for s in inch_papers.values() for t in s.tables for row in t.rows for cell in row]
    words += [c.unit for s in inch_papers.values() for t in s.tables for c in t.columns]
    words += [note for s in inch_papers.values() for note in s.notes]
    assert not [w for w in words if re.search(r"\bmm\b|\bkg\b", w)]


def test_saw_table_gives_setting_or_reason(papers):
    rows = table(papers["cut_list"], "Copes").rows
    assert len(rows) == 12
    leg = next(r for r in rows if r[0] == "front leg left")
    assert leg[-2] == "needs the wrap: main hoop is bent there"
    assert leg[-1] == "heel in line with the inside of the nearest bend"


def test_nesting_has_every_member_on_a_bar(work, papers):
    pieces = [r[2] for t in papers["nesting"].tables if "bar by bar" in t.title for r in t.rows]
    assert sorted(p for p in pieces if p != "rest") == sorted(shown(m.name) for m in work.cage.members)


def test_nesting_tells_what_each_tube_comes_to(work, papers):
    rows = table(papers["nesting"], "Each tube").rows
    assert [r[0] for r in rows] == ["45 x 2.5 mm E355+N", "38 x 2.5 mm E355+N"]
    for row, plan in zip(rows, work.nests, strict=True):
        assert int(row[1]) + int(row[2]) == len(plan.bars)
        assert row[4] == f"{plan.cost:.2f} EUR"


def test_bend_sheet_tables_and_sketch(papers):
    sheet = papers["bend_main_hoop"]
    assert len(table(sheet, "order").rows) == 4
    assert len(sheet.drawings) == 2
    assert cell(sheet, "order", "1", "set to") != "–"
    assert cell(sheet, "order", "1", "lies to the bend before") == "first"
    # the made-up hoop's legs lean in at the foot, so its lower bends are a little out of plane
    assert cell(sheet, "order", "3", "lies to the bend before") == "same way"


def test_mirrored_legs_turn_opposite_ways(papers):
    left = cell(papers["bend_front_leg_left"], "order", "2", "lies to the bend before")
    right = cell(papers["bend_front_leg_right"], "order", "2", "lies to the bend before")
    swapped = {"clockwise": "anticlockwise", "anticlockwise": "clockwise"}
    turned, way = left.split()
    assert right == f"{turned} {swapped[way]}"


def test_what_an_angle_rests_on_is_said(papers):
    assert any("common practice that has no source" in n for n in papers["bend_front_leg_left"].notes)
    assert any("trial bends" in n for n in papers["bend_main_hoop"].notes)


def test_bend_problems_stand_on_the_bend_sheet(bare_work):
    sheet = next(s for s in sheets(bare_work) if s.name == "bend_main_hoop")
    assert any(n.startswith("To be seen to: member main hoop, bend 1") for n in sheet.notes)
    assert cell(sheet, "order", "1", "die") == "none fits"


def test_weld_map_has_every_weld(work, papers):
    assert len(table(papers["weld_map"], "Welds").rows) == len(work.welds.welds)


def test_an_unproved_nesting_states_its_bound(work):
    plan = replace(work.nests[0], proved=False, bound=90.0, gap=0.0625)
    first = sheets(replace(work, nests=(plan, *work.nests[1:])))[0]
    assert table(first, "buy").rows[0][4] == "at most 6.2 % above the least (no less than 90.00)"


# --- numbers


def test_numbers_are_plain_json(work):
    text = json.dumps(numbers(work), allow_nan=False)
    assert json.loads(text)["revision"] == "3f9a01c2d4"


def test_numbers_without_a_shop_are_plain_json(bare_work):
    data = numbers(bare_work)
    json.dumps(data, allow_nan=False)
    assert {p["code"] for p in data["problems"]} == {"no-die", "no-stock-length"}


def test_numbers_agree_with_the_work(work):
    data = numbers(work)
    assert [m["name"] for m in data["members"]] == [m.name for m in work.cage.members]
    assert data["members"][0]["finished_mm"] == pytest.approx(work.cage.members[0].length, abs=5e-4)
    step = data["bends"][0]["steps"][1]
    assert step["angle_deg"] == pytest.approx(math.degrees(work.bends[0].steps[1].angle), abs=5e-5)
    assert data["weights"]["mass_kg"] == pytest.approx(work.weights.mass, abs=5e-5)
    cope = data["members"][1]["ends"][1]
    assert len(cope["phi_deg"]) == len(cope["cut_mm"]) == len(cope["inside_mm"]) == 144


def test_numbers_carry_the_cautions(work):
    assert numbers(work)["cautions"] == list(CAUTIONS)
