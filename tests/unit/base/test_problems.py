import pytest

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word


def problem(line: int) -> Problem:
    return Problem(
        code="unknown-key", where=Where(file="a.yaml", line=line, col=3), found="'upp'", wanted="a known key"
    )


def test_problems_come_in_file_order_with_their_spot():
    raised = ProblemsFound([problem(9), problem(2)])
    assert [p.where.line for p in raised.problems] == [2, 9]
    assert str(raised).startswith("a.yaml:2:3: 'upp'; a known key. [unknown-key]")


def test_there_is_no_raising_without_a_problem():
    with pytest.raises(ValueError, match="at least one"):
        ProblemsFound([])


def test_the_nearest_word_is_offered_only_when_near():
    assert nearest_word("upp", ["up", "back", "across"]) == "up"
    assert nearest_word("Main_Hop", ["main_hoop", "header"]) == "main_hoop"
    assert nearest_word("zebra", ["up", "back"]) is None
