"""The quote against a sum made by hand from the shop file's own text and the shop's published numbers."""

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from ruamel.yaml import YAML

from cagewright.cli.app import command_line
from cagewright.job.cutting import numbers_of
from cagewright.job.hours import Recorded, hours_of
from cagewright.job.opening import open_job
from cagewright.job.quote import quote_of
from cagewright.job.quote_paper import costs_sheet, offer_sheet
from cagewright.job.summary import summary_of
from cagewright.plan.shop import read_shop_text
from cagewright.stock.rates import Prices, Times
from kept import KEPT

EXAMPLES = Path(__file__).parents[3] / "examples"


def demo():
    return open_job(EXAMPLES / "brackwater.yaml", KEPT)


def small():
    """A roll bar with a gusset: each kind of work, and nested in no time."""
    job = open_job(EXAMPLES / "roll-bar.yaml", KEPT)
    gusset = replace(demo().cage.gussets[0], between=("main_hoop", "backstay_left"))
    return replace(job, cage=replace(job.cage, gussets=(gusset,)))


def minutes(said: str) -> float:
    number, unit = said.split()
    return float(number) * {"min": 1.0, "h": 60.0}[unit]


def by_hand() -> tuple[dict[str, float], float]:
    """Hours of each kind and the price, from the shop file as ruamel.yaml reads it and from numbers.json."""
    shop = YAML(typ="safe").load((EXAMPLES / "brackwater.shop.yaml").read_text())
    told, times, prices = numbers_of(demo()), shop["times"], shop["prices"]
    ends = [e for m in told["members"] for e in m["ends"]]
    weld = told["welds"]["length_mm"] / 1000.0
    counts = {
        "cut": len(told["members"]) + sum("tilt_deg" in e for e in ends),
        "cope": sum("mains" in e for e in ends),
        "bend": sum(len(b["steps"]) for b in told["bends"]),
        "tack": len(told["members"]),
        "foot": sum(w["kind"] == "foot plate to shell" for w in told["welds"]["lines"]),
        "plate": sum(p["kind"] in {"plate", "gusset"} for p in told["weights"]["parts"]),
    }
    hours = {act: count * minutes(times[act]) / 60.0 for act, count in counts.items()}
    hours["weld"] = weld * minutes(times["weld"]["time"]) / 60.0
    lines = [round(h * prices["hour"], 2) for h in hours.values()]
    for what, time in times["each_job"].items():
        hours[what] = minutes(time) / 60.0
        lines.append(round(hours[what] * prices["hour"], 2))
    lines += [sum(n["cost"] for n in told["nesting"])]
    lines += [round(told["welds"]["filler_kg"] * prices["filler"]["times"] * prices["filler"]["price"], 2)]
    lines += [round(weld * prices[what]["price"], 2) for what in ("gas", "discs")]
    lines += list(prices["each_job"].values())
    margin, tax = (1.0 + float(prices[k].removesuffix(" %")) / 100.0 for k in ("margin", "tax"))
    return hours, sum(lines) * margin * tax


def test_hours_and_price_are_those_made_by_hand():
    quote, (hours, paid) = quote_of(demo()), by_hand()
    assert {row.act or row.what: row.hours.value for row in quote.hours.rows} == pytest.approx(hours)
    assert quote.hours.total.value == pytest.approx(sum(hours.values()))
    assert quote.price.value == pytest.approx(paid, abs=0.10)  # a tenth: a hundredth a line, margin and tax
    assert not quote.blanks
    assert summary_of(demo()).rows[-1].value == quote.hours.total


def test_the_printed_lines_add_up():
    quote = quote_of(demo())
    lines = [float(row[3].split()[0]) for row in costs_sheet(quote).tables[0].rows]
    sums = dict(costs_sheet(quote).tables[1].rows)
    assert f"{sum(lines):.2f} EUR" == sums["sum"]
    parts = [float(sums[k].split()[0]) for k in ("sum", "margin", "tax")]
    assert f"{sum(parts):.2f} EUR" == sums["price"]


def test_what_is_not_priced_is_told_on_the_offer():
    cage = demo().cage
    parts = len(cage.feet) + len(cage.plates) + len(cage.gussets)
    told = next(words for words in quote_of(demo()).leaves_out if words.startswith("Sheet"))
    assert told.startswith(f"Sheet for {parts} parts (feet, plates, gussets, couplings), bolts")
    assert told in offer_sheet(quote_of(demo()), customer="").notes


@pytest.mark.parametrize("act", ["cut", "cope", "bend", "tack", "weld", "foot", "plate"])
def test_a_time_that_is_not_given_is_a_blank_and_no_offer(act: str):
    job = small()
    shop = replace(job.shop, times=replace(job.shop.times, **{act: None}))
    quote, whole = quote_of(replace(job, shop=shop)), quote_of(job)
    (blank,) = quote.blanks
    assert blank.words == f"The shop file gives no time for '{act}'."
    assert offer_sheet(quote) is None
    assert quote.headline.startswith("no quote yet: the shop has not given 1 figure")
    assert quote.price.bound == quote.hours.total.bound == "at least"
    mine = next(row.hours.value for row in whole.hours.rows if row.act == act)
    assert quote.hours.total.value == pytest.approx(whole.hours.total.value - mine)


@pytest.mark.parametrize("key", ["hour", "filler", "gas", "discs", "margin", "tax"])
def test_a_price_that_is_not_given_is_a_blank_and_no_offer(key: str):
    job = small()
    quote = quote_of(replace(job, shop=replace(job.shop, prices=replace(job.shop.prices, **{key: None}))))
    (blank,) = quote.blanks
    assert ("price of an hour" if key == "hour" else key) in blank.words
    assert quote.price.bound == "at least"
    assert offer_sheet(quote) is None


def test_a_shop_that_says_nothing_has_no_hours_and_no_price():
    job = small()
    quote = quote_of(replace(job, shop=replace(job.shop, times=Times(), prices=Prices(), stock=())))
    assert quote.hours.total.value is None
    assert quote.hours.total.why == "the shop file gives no times"
    assert quote.price.value is None
    assert quote.level == "cannot tell"


def test_recorded_hours_count_where_the_shop_file_has_none_and_stand_beside_where_it_has():
    job = small()
    read = (Recorded(act="cope", hours=30.0, count=60.0, jobs=2),)
    beside = next(r for r in hours_of(job, read).rows if r.act == "cope")
    assert beside.basis == "shop file; record: 30 min (30.0 h on 60, 2 jobs)"
    bare = replace(job, shop=replace(job.shop, times=replace(job.shop.times, cope=None)))
    alone = next(r for r in hours_of(bare, read).rows if r.act == "cope")
    assert alone.hours.value == pytest.approx(0.5 * alone.count.value)
    assert alone.each.rests_on == "measured"


SHOP = "cagewright_shop: 1\nname: x\n"


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("times: {cope: 25}\n", 3, "it has no unit; wanted a time such as '25 min' or '1.5 h'"),
        ("times: {cope: 25 mm}\n", 3, "'mm' is no unit of time"),
        ("times: {cope: 0 min}\n", 3, "times.cope"),
        ("times:\n  cops: 25 min\n", 4, "cope"),
        ("times: {weld: {run: 0, time: 1 h}}\n", 3, "times.weld.run"),
        ("prices: {margin: 15}\n", 3, "a share such as '15 %'"),
        ("prices: {hour: -4}\n", 3, "prices.hour"),
        ("prices:\n  filler: {price: 9, times: 0.5}\n", 4, "prices.filler.times"),
        ("prices: {filler: {price: 9}}\n", 3, "times"),
    ],
)
def test_a_mistake_is_told_where_it_stands(text: str, line: int, said: str):
    from cagewright.base.problems import ProblemsFound

    with pytest.raises(ProblemsFound) as caught:
        read_shop_text(SHOP + text, file="shop.yaml")
    (problem,) = caught.value.problems
    assert problem.where.line == line
    assert said in str(problem)


@pytest.mark.usefixtures("kept_answers")
@pytest.mark.slow
def test_the_command_writes_the_offer_and_the_costs(tmp_path: Path):
    import pdfplumber
    from typer.testing import CliRunner

    asked = ["quote", str(EXAMPLES / "brackwater.yaml"), "-o", str(tmp_path / "q"), "--customer", "A. Bell"]
    ran = CliRunner().invoke(command_line(["quote"]), asked)
    assert ran.exit_code == 0, ran.output
    quote = quote_of(demo())
    with pdfplumber.open(tmp_path / "q/offer.pdf") as offer:
        assert len(offer.pages) == 1
        said = offer.pages[0].extract_text()
    assert quote.price.said in said
    assert "A. Bell" in said
    rows = list(csv.reader(io.StringIO((tmp_path / "q/costs.csv").read_text("utf-8-sig"))))
    assert len(rows) == 1 + len(quote.rows)


@pytest.mark.usefixtures("kept_answers")
@pytest.mark.slow
def test_the_command_tells_blanks_and_writes_no_offer(tmp_path: Path):
    from typer.testing import CliRunner

    asked = ["quote", str(EXAMPLES / "pellworth.yaml"), "-o", str(tmp_path / "q")]
    ran = CliRunner().invoke(command_line(["quote"]), asked)
    assert ran.exit_code == 1
    assert "The shop file gives no times." in ran.output
    assert not (tmp_path / "q/offer.pdf").exists()
    assert (tmp_path / "q/costs.pdf").exists()
