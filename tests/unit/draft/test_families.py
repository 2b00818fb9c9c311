"""Every base structure from the same surveys, wishes and dies: drafted, built up as its word says, judged."""

from functools import cache
from pathlib import Path
from typing import get_args

import numpy as np
import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.check.judge import check_books
from cagewright.check.library import built_in
from cagewright.check.limits_asked import limits_of
from cagewright.draft.families.every import FAMILIES
from cagewright.draft.layout import Drafted, draft
from cagewright.draft.written import drafted_text
from cagewright.job.draft import judged
from cagewright.job.wishes import STRUCTURES
from cagewright.make.bending import bend_sheet
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import BaseStructure, WishesEntry, read_survey, read_survey_text
from cagewright.plan.survey_text import survey_text
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage, member_named

FOLDER = Path(__file__).parents[3] / "examples" / "surveys"
PAGE = (FOLDER.parents[1] / "docs" / "survey.md").read_text(encoding="utf-8")
SHOP = read_shop(FOLDER.parent / "brackwater.shop.yaml")
FIA, OVAL, TRIALS = "fia-253-2009", "us-short-oval-2020s", "scca-time-trials-2026"
BOOKS = {
    "main rollbar and lateral half-rollbars": FIA, "main and front rollbar": FIA, "lateral rollbars": FIA,
    "rear rollbar with roof loop": OVAL, "four-point roll bar": TRIALS, "six-point roll bar": TRIALS,
}  # fmt: skip
"""The book that each base structure is drafted to and judged by."""
JUDGED = {FIA: 26, OVAL: 7, TRIALS: 2}
"""Least rows of each book that judge a draft."""
SURVEYS = [
    "saloon",
    *(
        pytest.param(name, marks=pytest.mark.slow)
        for name in ("hatchback", "coupe", "slip", "uneven", "rally")
    ),
]
"""Every example survey from which a whole cage can be drafted; rally wishes for every X."""


@cache
def drafted(family: str, name: str = "saloon") -> Drafted:
    file = read_survey(FOLDER / f"{name}.yaml").file
    wishes = file.wishes.model_copy(update={"base_structure": family})
    return draft(file.model_copy(update={"wishes": wishes}), limits_of([built_in(BOOKS[family])]), SHOP)


@cache
def cage_of(family: str, name: str = "saloon") -> Cage:
    return resolve(drafted(family, name).plan)


def test_every_base_structure_has_its_family_its_words_its_book_and_its_line_on_the_page():
    every = set(get_args(BaseStructure))
    assert set(FAMILIES) == set(STRUCTURES) == set(BOOKS) == every
    assert all(f"| `{word}` |" in PAGE for word in every)
    assert all(
        f"`{BOOKS[word]}`" in line
        for line in PAGE.splitlines()
        for word in every
        if line.startswith(f"| `{word}` | ")
    )


@pytest.mark.parametrize("name", SURVEYS)
@pytest.mark.parametrize("family", BOOKS)
def test_no_row_of_its_book_fails_or_looks_broken(family, name):
    book = built_in(BOOKS[family])
    found = check_books(cage_of(family, name), [book])
    braces = {"pillar-count", "pillar-lower-end"}  # rows from memory that the page names
    if (
        family == "rear rollbar with roof loop" and name == "rally"
    ):  # its wish of an X breaks rows, and is told
        braces |= {"doorbar-posts", "doorbar-gussets", "doorbars"}
        assert any("the rule book asks 3 level ones" in said for said in drafted(family, name).said)
    broken = [(f.rule, str(f.where)) for f in found if f.verdict in ("fail", "looks broken")]
    assert [b for b in broken if b[0] not in braces] == []
    told = judged(cage_of(family, name), book)
    rows = int(told.words.split("judged by ")[1].split()[0])
    assert rows >= JUDGED[book.id], told.words
    assert f"of its {len(book.rules)} rows" in told.words


@pytest.mark.parametrize("name", SURVEYS)
@pytest.mark.parametrize("family", BOOKS)
def test_the_shop_can_bend_it(family, name):
    assert [p for m in cage_of(family, name).members for p in bend_sheet(m, SHOP).problems] == []


@pytest.mark.parametrize("family", [f for f, book in BOOKS.items() if book == FIA])
def test_it_is_built_up_as_the_regulation_says(family):
    """Article 253-8.3.1 as the book's row restates it: how many tubes of each role make the structure."""
    wanted = {
        "main rollbar and lateral half-rollbars": {"main rollbar": 1, "lateral half-rollbar": 2},
        "main and front rollbar": {"main rollbar": 1, "front rollbar": 1, "longitudinal member": 2},
        "lateral rollbars": {"lateral rollbar": 2, "transverse member": 2},
    }[family]
    roles = [m.role for m in cage_of(family).members]
    bent = {"main rollbar", "front rollbar", "lateral rollbar", "lateral half-rollbar", "longitudinal member"}
    assert {role: roles.count(role) for role in wanted} == wanted
    assert {role for role in roles if role in bent} <= set(wanted)
    assert roles.count("backstay") == 2


@pytest.mark.parametrize(("family", "feet"), [(f, 4 if f.startswith("four") else 6) for f in BOOKS])
def test_it_stands_on_as_many_points_as_it_is_called_for(family, feet):
    assert len(cage_of(family).feet) == feet


def test_the_legs_of_a_roof_loop_land_on_its_corners_and_the_loop_on_the_rear_rollbar():
    cage = cage_of("rear rollbar with roof loop")
    ends = {j.branch: j.mains for j in cage.joints if j.branch.startswith("front_leg")}
    assert ends == {"front_leg_left": ("roof_loop",), "front_leg_right": ("roof_loop",)}
    assert [j.mains for j in cage.joints if j.branch == "roof_loop"] == [("main_hoop",), ("main_hoop",)]
    doorbars = [m for m in cage.members if m.role == "doorbar" and m.name.endswith("left")]
    assert len(doorbars) == 3  # the book's row asks for three at the driver's door
    posts = {round(float(m.path.pieces[0].start[0])) for m in cage.members if m.role == "doorbar post"}
    assert len(posts) == 2  # two uprights, not one in two pieces
    gussets = {g.name for g in cage.gussets if g.name.startswith("doorbar_")}
    assert len(gussets) == 12


@pytest.mark.parametrize("family", BOOKS)
def test_left_and_right_are_alike_and_no_tube_crosses_the_drivers_helmet(family):
    cage = cage_of(family)
    head = np.array(cage.people[0].body.head)
    reach = cage.people[0].body.helmet / 2.0
    for member in cage.members:
        if member.mirror_of:
            one, two = member.path, member_named(cage, member.mirror_of).path
            assert one.length == pytest.approx(two.length, abs=1e-6)
        points = np.array([
            p for piece in member.path.pieces for p in np.linspace(piece.start, piece.stop, 40)
        ])
        assert np.linalg.norm(points - head, axis=1).min() > reach + member.tube.od / 2.0, member.name


def test_a_wish_that_a_base_structure_has_no_place_for_is_said_and_one_not_made_is_not():
    file = read_survey(FOLDER / "saloon.yaml").file
    assert drafted("four-point roll bar").said == ()
    wishes = WishesEntry(base_structure="four-point roll bar", roof="X", dash_bar=False, doorbars=3)
    said = draft(file.model_copy(update={"wishes": wishes}), limits_of([built_in(TRIALS)]), SHOP).said
    assert said == (
        "doorbars is wished for: with a four-point roll bar there is no place for it",
        "roof is wished for: with a four-point roll bar there is no place for it",
    )


def test_an_unknown_base_structure_gets_its_line_and_the_nearest_word():
    text = survey_text(read_survey(FOLDER / "saloon.yaml").file)
    text = text.replace("\nreadings:", "\nwishes: {base_structure: lateral rolbar}\n\nreadings:")
    with pytest.raises(ProblemsFound) as caught:
        read_survey_text(text, file="mine.yaml")
    (problem,) = caught.value.problems
    assert problem.where.line == text[: text.index("lateral rolbar")].count("\n") + 1
    assert problem.nearest == "lateral rollbars"


def test_a_book_that_judges_nothing_is_not_judged():
    cage = cage_of("four-point roll bar")
    book = built_in("us-short-oval-2020s")
    doors = book.model_copy(update={"rule": tuple(r for r in book.rules if r.id == "inspection-hole")})
    assert (
        judged(cage, doors).words
        == "us-short-oval-2020s: not judged: none of its 1 rows can be told of this cage."
    )


def test_a_draft_for_an_inch_tape_has_every_length_to_the_32nd_and_no_plate_smaller():
    file = read_survey(FOLDER / "saloon.yaml").file.model_copy(update={"units": "in"})
    limits = limits_of([built_in(FIA)])
    inch, metric = (draft(f, limits, SHOP).plan for f in (file, read_survey(FOLDER / "saloon.yaml").file))
    for name, point in inch.points.items():
        for value, was in zip(point.at, metric.points[name].at, strict=True):
            assert value / 25.4 * 32.0 == pytest.approx(round(value / 25.4 * 32.0), abs=1e-6)
            assert value == pytest.approx(was, abs=25.4 / 64.0 + 1e-6)
    for name, foot in inch.feet.items():
        assert foot.plate is not None
        assert all(a >= b for a, b in zip(foot.plate, metric.feet[name].plate or (), strict=True))
        assert foot.normal == metric.feet[name].normal
    assert "gap to the marks" in drafted_text(draft(file, limits, SHOP), "saloon.yaml")
