"""What to do, first: findings that ask for the same are one thing to do, and nothing broken is left out."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from cagewright.base.names import paired
from cagewright.check.body.near_driver import PADDED
from cagewright.check.findings import Finding, Judge, Location, Verdict
from cagewright.check.hand import hands
from cagewright.check.vocabulary import MEASURES
from cagewright.cli.books import SCREEN, entries, screen
from cagewright.job.actions import ACTED_ON, MOST_NAMES, Action
from cagewright.job.findings import FindingsAnswer, findings, one_book
from cagewright.job.findings import _answer as answer_of
from cagewright.job.findings_paper import findings_tables
from cagewright.job.opening import open_job
from commands import typed
from kept import KEPT

EXAMPLES = Path(__file__).parents[3] / "examples"
pytestmark = pytest.mark.usefixtures("kept_answers")
DEMOS = ("brackwater.yaml", "brackwater-inch.yaml", "roll-bar.yaml")
JOB = open_job(EXAMPLES / "brackwater.yaml", KEPT)


def finding(member: str, advice: str, verdict: Verdict = "fail", rule: str = "a", **more: object) -> Finding:
    base = Finding(
        rule=rule, judge="by the book", book="b", clause="1", title="asks it", verdict=verdict,
        limit="at least 3", where=Location(members=(member,) if member else ()), known="read", advice=advice,
    )  # fmt: skip
    return replace(base, **more)  # type: ignore[arg-type]


def actions(*found: Finding) -> tuple[Action, ...]:
    return answer_of(JOB, found).actions


def words(*found: Finding) -> list[str]:
    return [action.words for action in actions(*found)]


def test_both_sides_of_one_thing_are_one():
    assert paired(["doorbar_top_left", "doorbar_top_right", "header"]) == [
        "doorbar top left and right",
        "header",
    ]
    assert paired(["front_leg_left"]) == ["front leg left"]
    assert paired(["left_lower_bar", "right_lower_bar"]) == ["left and right lower bar"]


def test_the_same_advice_for_both_sides_is_one_thing_to_do():
    assert words(
        finding("pillar_brace_left", "move pillar_brace_left nearer by 61.0 mm"),
        finding("pillar_brace_right", "move pillar_brace_right nearer by 61.0 mm"),
    ) == ["Move pillar brace left and right nearer by 61.0 mm"]


def test_figures_that_differ_are_said_from_the_least_to_the_greatest():
    assert words(
        finding("front_leg_left", "move front_leg_left out by 12.0 mm"),
        finding("front_leg_right", "move front_leg_right out by 9.5 mm"),
    ) == ["Move front leg left and right out by 9.5 to 12.0 mm"]
    assert words(
        finding("front_leg_left", 'move it 1 3/4" closer to the roof'),
        finding("front_leg_right", 'move it 5/32" closer to the roof'),
    ) == ['Front leg left and right: move each 5/32 to 1 3/4" closer to the roof']


def test_padding_is_one_thing_to_do_however_many_stretches_a_tube_has():
    found = [
        finding("header", "pad header from 0 mm to 90 mm", "look at", PADDED, judge="own check"),
        finding("dash_bar", "pad dash_bar from 0 mm to 9 mm and from 20 mm to 30 mm", "look at", PADDED,
                judge="own check"),
    ]  # fmt: skip
    assert words(*found) == ["Pad header and dash bar: the padding list says from where to where"]


def test_what_differs_in_more_than_names_and_figures_stays_apart():
    assert words(finding("header", "move header up"), finding("header", "use a larger tube")) == [
        "Move header up",
        "Header: use a larger tube",
    ]


def test_a_figure_inside_a_name_is_no_figure():
    """Steels, clauses and editions hold digits: merged as figures they would come out as spans."""
    found = words(
        finding("header", "make header from E355+N, not 1020", rule="x"),
        finding("dash_bar", "make dash_bar from E235+N, not 1020", rule="x"),
    )
    assert found == ["Make header from E355+N, not 1020", "Make dash bar from E235+N, not 1020"]


def test_many_different_things_of_one_rule_are_one_line():
    found = [
        finding(m, f"do {w}")
        for m, w in zip(("header", "dash_bar", "main_hoop", "roof_left"), "abcd", strict=True)
    ]
    assert words(*found) == ["Asks it: header, dash bar, main hoop and roof left, each in its own way"]


def test_of_many_tubes_the_number_is_said():
    names = [m.name for m in JOB.cage.members][: MOST_NAMES * 3]
    (one,) = actions(finding("", "cut them all", where=Location(members=tuple(names))))
    assert one.words == f"{len(names)} tubes: cut them all"
    assert one.tubes == tuple(names)


def test_the_mill_sheet_is_asked_for_once():
    found = [
        finding(m, f"measure the {q}", "cannot tell", rule=q, measure=q)
        for q in ("carbon", "manganese")
        for m in ("main_hoop", "header", "dash_bar")
    ]
    (one,) = actions(*found)
    assert one.words == "Mill sheet for 45 x 2.5 mm E355+N and 38 x 2.5 mm E355+N: carbon and manganese"
    assert len(one.findings) == 6


def test_the_costliest_comes_first_and_the_books_before_own_checks():
    verdicts: list[tuple[Verdict, Judge]] = [
        (v, j) for v in reversed(ACTED_ON) for j in ("own check", "by the book")
    ]
    found = [finding("header", f"do {n}", v, rule=str(n), judge=j) for n, (v, j) in enumerate(verdicts)]
    told = [(a.verdict, a.judge) for a in actions(*found)]
    assert told == list(reversed(verdicts))


def test_an_own_check_has_problems_and_fails_nothing():
    (one,) = actions(finding("header", "move header", judge="own check"))
    assert (one.said, one.head) == ("problem", "Problems, own checks")
    answer = answer_of(JOB, (finding("header", "move header", judge="own check"),))
    assert answer.headline == "rule books: none checked; own checks: 1 problem"


@pytest.mark.slow
@pytest.mark.parametrize("demo", DEMOS)
def test_every_finding_that_asks_for_something_is_in_one_thing_to_do(demo: str):
    answer = findings(open_job(EXAMPLES / demo))
    asked = [row.id for row in answer.rows if row.verdict in ACTED_ON]
    told = [name for action in answer.actions for name in action.findings]
    assert sorted(told) == sorted(asked)
    assert len(answer.actions) <= len(asked) / 2 or demo == "roll-bar.yaml"
    assert not [a.words for a in answer.actions if "_" in a.words.replace("back_angle", "")]


@pytest.mark.parametrize("demo", DEMOS)
def test_a_screen_holds_what_to_do_with_nothing_broken_below_it(demo: str):
    answer = findings(open_job(EXAMPLES / demo))
    lines = screen(answer)
    assert len(lines) <= SCREEN[1]
    assert max(map(len, lines)) <= SCREEN[0]
    bare = re.sub(r"\s+", " ", " ".join(lines))
    for action in answer.actions:
        if action.verdict in {"fail", "looks broken"}:
            assert action.words in bare
    assert answer.headline in bare
    assert all(caution in bare for caution in answer.cautions)


def many() -> FindingsAnswer:
    """A cage with something to do on each of forty rules."""
    names = [m.name for m in JOB.cage.members]
    return answer_of(JOB, tuple(
        finding(names[n % len(names)], f"do the thing {'x' * (n + 1)} at length, twice over", rule=str(n))
        for n in range(40)
    ))  # fmt: skip


def test_where_the_screen_is_full_reasons_go_first_and_what_is_left_is_counted():
    lines = screen(many())
    assert len(lines) == SCREEN[1]
    assert any(re.fullmatch(r"and \d+ lines more: .*", line) for line in lines)
    assert not any("(b): asks it, wanted at least 3" in line for line in lines)


def test_where_the_screen_holds_only_some_reasons_it_shows_those_and_every_action():
    """Twenty-five things leave room for some of their reasons: nothing is counted as left over."""
    some = replace(many(), actions=many().actions[:25])
    lines = screen(some)
    assert len(lines) <= SCREEN[1]
    assert not any("lines more" in line for line in lines)
    reasons = sum("asks it, wanted at least 3" in line for line in lines)
    assert 0 < reasons < 25


def test_a_bare_figure_says_what_it_is_of():
    (one,) = actions(finding("header", "add one", limit="at least 2"))
    assert one.why == "1 (b): asks it, wanted at least 2"
    (line,) = actions(finding("header", "bring it inside", limit="at least 0 mm"))
    assert line.why == "1 (b): asks it"
    (words,) = actions(finding("header", "brace it", limit="a reinforcement over 200 mm"))
    assert words.why == "1 (b): wanted a reinforcement over 200 mm"


def test_a_figure_of_our_own_is_not_said_to_be_remembered():
    own = finding(
        "header", "move it", "look at", judge="own check", known="remembered", clause="a",
        why="the wanted gap is common practice, no source",
    )  # fmt: skip
    answer = answer_of(JOB, (own,))
    assert answer.actions[0].why.startswith("own check, common practice, no source: asks it")
    assert answer.rows[0].how_known == "common practice, no source"


def test_rows_that_wait_for_one_date_are_one_thing_to_do():
    (one,) = [a for a in findings(JOB).actions if "car: built" in a.words and a.judge == "by the book"]
    assert one.words == "Say car: built"
    assert len(one.findings) == 2
    assert "The main rollbar has two diagonals" in one.why


def test_the_terminal_lists_every_clause_with_its_readings():
    answer = findings(JOB)
    table = next(t for t in findings_tables(answer, fold=True) if t.title == "Passes (rule books)")
    lines = entries(table)
    assert max(map(len, lines)) <= SCREEN[0]
    bare = re.sub(r"\s+", " ", " ".join(lines))
    assert "Backstays are straight. - backstay left and right: straight" in bare
    assert all(row[1] in bare for row in table.rows)


@pytest.mark.slow
def test_one_book_is_asked_alone_and_another_is_refused():
    assert {row.book for row in one_book(JOB, "fia-253-2009").rows} == {"fia-253-2009"}
    ended = typed("check", JOB.path, "--book", "fia-253-2008")
    assert ended.returncode == 1
    assert "brackwater.yaml:7:" in ended.stderr
    assert "fia-253-2009" in ended.stderr


@pytest.mark.slow
def test_everything_is_there_when_asked_for():
    short, whole = (typed("check", JOB.path, *more).stdout for more in ((), ("--all",)))
    assert whole.startswith(short)
    assert "Passes (rule books)" in whole
    assert "Passes" not in short


def test_every_measure_says_how_a_hand_takes_it():
    """A rule that cannot be looked at on a finished car would leave a hole in an inspection."""
    assert set(hands()) == set(MEASURES)
    for name, hand in hands().items():
        measure = MEASURES[name]
        assert hand.what
        assert (hand.within > 0.0) <= (measure.sort is not None or measure.own_limit), name
        assert (hand.tool in {"papers", "test"}) == bool(hand.paper), name
        if measure.sort == "angle":
            assert hand.tool == "protractor", name
        if measure.sort == "count":
            assert (hand.tool, hand.within) == ("count", 0.0), name
