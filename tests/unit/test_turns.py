"""Every slow file has its turn in three commits running, each once."""

from turns import TURNS, has_its_turn

FILES = [f"tests/{folder}/test_{n}.py" for folder in ("golden", "property", "unit/plan") for n in range(20)]


def test_in_three_commits_running_every_file_runs_once():
    for first in (0, 1234):
        ran = [f for turn in range(first, first + TURNS) for f in FILES if has_its_turn(f, str(turn))]
        assert sorted(ran) == sorted(FILES)


def test_no_turn_is_empty_and_all_is_all():
    assert all(any(has_its_turn(f, str(turn)) for f in FILES) for turn in range(TURNS))
    assert all(has_its_turn(f, "all") for f in FILES)
