"""Every plan in examples/mistakes has exactly the problems that its first lines say, and where."""

import re
from functools import partial
from pathlib import Path

import pytest

from cagewright.base.problems import ProblemsFound
from cagewright.plan.shop import read_job
from cagewright.plan.types import where_of
from cagewright.shape.resolve import resolve
from cagewright.shape.types import Cage

FOLDER = Path(__file__).parents[2] / "examples" / "mistakes"
PLANS = sorted(FOLDER.glob("*.yaml"))
EXPECTS = re.compile(r"# expects: (?P<code>[a-z-]+) (?P<line>\d+)(?: in (?P<file>\S+))?")


def expected(path: Path) -> list[tuple[str, int, str]]:
    """The problems that the plan says it has: code, line, file."""
    lines = path.read_text(encoding="utf-8").splitlines()
    hits = [EXPECTS.fullmatch(line) for line in lines if line.startswith("# expects:")]
    assert all(hits), "an expects line is not '# expects: code line'"
    return sorted((h["code"], int(h["line"]), h["file"] or path.name) for h in hits if h)


def made(path: Path) -> Cage:
    """The cage that the plan would be."""
    plan, _ = read_job(path)
    return resolve(plan, partial(where_of, plan))


def met(path: Path) -> list[tuple[str, int, str]]:
    """The problems that are found: code, line, file."""
    with pytest.raises(ProblemsFound) as caught:
        made(path)
    return sorted(
        (p.code, p.where.line, Path(p.where.file).relative_to(FOLDER).as_posix())
        for p in caught.value.problems
    )


@pytest.mark.parametrize("path", PLANS, ids=[p.stem for p in PLANS])
def test_a_mistake_is_found_where_it_is(path: Path):
    assert path.read_text(encoding="utf-8").startswith("# ")
    assert expected(path)
    assert met(path) == expected(path)


def test_there_is_a_plan_for_each_kind_of_mistake():
    assert len(PLANS) >= 20
    assert len({code for path in PLANS for code, _, _ in expected(path)}) >= 20
