"""The shop file, and a plan with its shop."""

import math
from pathlib import Path

import pytest
from plans import SOUND, broken, spot

from cagewright.base.problems import Problem, ProblemsFound
from cagewright.plan.shop import read_job, read_shop, read_shop_text
from cagewright.stock.benders import Trial
from cagewright.stock.shop import NO_SHOP, Offcut, StockLength

SHOP = """\
cagewright_shop: 1
name: Test shop
currency: EUR
kerf: 3
trim: 1/2 in
hole_saws: [38, 1 3/4 in]
other_steels: [Mill 7]
dies:
  big one: {od: 45, clr: 135, least_straight: 60, grip: 160, tail: 0, trials: [{set: 92, got: 90}]}
stock:
  - {od: 45, wall: 2.5, steel: E355+N, length: 6 m, price: 96}
  - {od: 38, wall: 2.5, steel: Mill 7, length: 20 ft}
offcuts: {A1: {od: 45, wall: 2.5, steel: E355+N, length: 1380}}
"""


def shop_problems(text: str) -> list[Problem]:
    with pytest.raises(ProblemsFound) as caught:
        read_shop_text(text, file="shop.yaml")
    return list(caught.value.problems)


def test_a_shop_is_read():
    shop = read_shop_text(SHOP)
    assert (shop.name, shop.currency, shop.kerf, shop.trim) == ("Test shop", "EUR", 3.0, 12.7)
    assert shop.hole_saws == (38.0, 44.45)
    (die,) = shop.dies
    assert (die.name, die.od, die.clr, die.least_straight, die.grip, die.tail) == (
        "big one",
        45,
        135,
        60,
        160,
        0,
    )
    assert die.trials == (Trial(set_angle=math.radians(92), got_angle=math.radians(90)),)
    assert shop.stock == (
        StockLength(od=45, wall=2.5, steel="E355+N", length=6000, price=96),
        StockLength(od=38, wall=2.5, steel="Mill 7", length=6096),
    )
    assert shop.offcuts == (Offcut(name="A1", od=45, wall=2.5, steel="E355+N", length=1380),)


def test_a_shop_in_inches():
    shop = read_shop_text("cagewright_shop: 1\nname: x\nunits: in\nkerf: 1/8\nhole_saws: [1.5, 38 mm]\n")
    assert (shop.kerf, shop.hole_saws) == (3.175, (38.1, 38.0))


@pytest.mark.parametrize(
    ("code", "old", "new", "mark"),
    [
        ("unknown-key", "currency: EUR", "curency: EUR", "curency"),
        ("missing-key", "name: Test shop\n", "", None),
        ("unknown-word", "cagewright_shop: 1", "cagewright_shop: 3", "3"),
        ("out-of-range", "kerf: 3", "kerf: -3", "-3"),
        ("out-of-range", "price: 96", "price: -96", "-96"),
        ("clr-too-small", "clr: 135", "clr: 13.5", "13.5"),
        ("wall-too-thick", "{A1: {od: 45, wall: 2.5", "{A1: {od: 45, wall: 25", "25, steel"),
        ("unknown-steel", "steel: Mill 7", "steel: Mill 8", "Mill 8"),
        ("trial-swapped", "{set: 92, got: 90}", "{set: 90, got: 92}", "{set: 90"),
        ("trial-swapped", "{set: 92, got: 90}", "{set: 92, got: 0}", "{set: 92"),
        ("trial-swapped", "{set: 92, got: 90}", "{set: 190, got: 90}", "{set: 190"),
        ("duplicate-key", "kerf: 3", "kerf: 3\nname: again", "name: again"),
        ("empty", "currency: EUR", "currency:", "currency:"),
        ("syntax", "hole_saws: [38,", "hole_saws: ]38,", "]38"),
        ("bad-quantity", "length: 20 ft", "length: 20 yd", "20 yd"),
    ],
)
def test_a_mistake_in_the_shop_is_located(code: str, old: str, new: str, mark: str | None):
    text = broken(old, new, SHOP)
    (problem,) = shop_problems(text)
    assert problem.code == code
    assert (problem.where.line, problem.where.col) == (spot(text, mark) if mark else (0, 0))


def test_every_problem_of_the_shop_in_one_pass():
    text = broken("clr: 135", "clr: 13.5", broken("kerf: 3", "kerf: x", broken("Mill 7,", "Mill 8,", SHOP)))
    assert [p.code for p in shop_problems(text)] == ["bad-quantity", "clr-too-small", "unknown-steel"]


def test_a_plan_without_a_shop(tmp_path: Path):
    (tmp_path / "plan.yaml").write_text(SOUND)
    assert read_job(tmp_path / "plan.yaml")[1] is NO_SHOP


def test_a_plan_with_a_shop_beside_or_above_it(tmp_path: Path):
    (tmp_path / "job").mkdir()
    (tmp_path / "shop.yaml").write_text(SHOP)
    (tmp_path / "job" / "plan.yaml").write_text(SOUND + "shop: ../shop.yaml\n")
    plan, shop = read_job(tmp_path / "job" / "plan.yaml")
    assert (plan.title, shop) == ("Test cage", read_shop(tmp_path / "shop.yaml"))


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("none.yaml", "no-file"),
        ("/none.yaml", "outside"),
        ("sub", "no-file"),
        ("x" * 400, "no-file"),
        ('"a\\0b"', "outside"),
    ],
)
def test_a_missing_shop_is_the_mistake_of_the_plans_line(tmp_path: Path, name: str, code: str):
    (tmp_path / "sub").mkdir()
    text = SOUND + f"shop: {name}\n"
    (tmp_path / "plan.yaml").write_text(text)
    with pytest.raises(ProblemsFound) as caught:
        read_job(tmp_path / "plan.yaml")
    (problem,) = caught.value.problems
    assert problem.code == code
    assert (problem.where.line, problem.where.col) == spot(text, name)


def test_problems_of_plan_and_shop_come_together(tmp_path: Path):
    (tmp_path / "shop.yaml").write_text(broken("kerf: 3", "kerf: x", SHOP))
    (tmp_path / "plan.yaml").write_text(broken("od: 45", "od: x", SOUND) + "shop: shop.yaml\n")
    with pytest.raises(ProblemsFound) as caught:
        read_job(tmp_path / "plan.yaml")
    assert [Path(p.where.file).name for p in caught.value.problems] == ["plan.yaml", "shop.yaml"]
