"""How every run of the tests behaves: one thread of linear algebra, how many random cases, no silent skip.

Profiles of random cases (``--hypothesis-profile``): ``small`` for ``make test``, ``deep`` for ``make deep``,
``desk`` else. Where CI is set they are the same cases every time: what is new is found at the desk, not by
whoever comes next. A test that names its number writes ``settings(max_examples=cases(200))``.
"""

import os
from collections.abc import Generator
from typing import Any

import pytest
from hypothesis import settings

import cagewright  # noqa: F401  # holds the linear algebra to one thread
from kept import KEPT
from skips import refuse_skip
from turns import has_its_turn

for profile, share in (("small", 20), ("deep", 100), ("desk", 100)):
    settings.register_profile(
        profile, deadline=None, derandomize=bool(os.environ.get("CI")), max_examples=share
    )
settings.load_profile("desk")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, Any, Any]:
    return refuse_skip((yield))


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Generator[None, Any, Any]:
    return refuse_skip((yield))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--turn", default="all", help="a commit's number: only the third of the files whose turn it is"
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    if (turn := config.getoption("--turn")) == "all":
        return
    waits = [i for i in items if not has_its_turn(i.path.relative_to(config.rootpath).as_posix(), turn)]
    if waits:
        config.hook.pytest_deselected(items=waits)
        items[:] = [i for i in items if i not in waits]


def pytest_itemcollected(item: pytest.Item) -> None:
    if getattr(getattr(item, "obj", None), "is_hypothesis_test", False):
        item.add_marker("property")


@pytest.fixture(scope="module")
def kept_answers() -> Generator[None]:
    """What command, page and paper ask of the same plan is worked out once, for the modules that say so.

    Only where the plans' files do not change: the examples.
    """
    with pytest.MonkeyPatch.context() as patch:
        for where in ("cagewright.job.opening", "cagewright.job.history.open_plan"):
            patch.setattr(f"{where}.Cache", lambda most=0: KEPT)
        yield
