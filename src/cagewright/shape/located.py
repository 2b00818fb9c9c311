"""Where a value of the plan stands, and how one refused value is passed up to be collected."""

from __future__ import annotations

from collections.abc import Callable

from cagewright.base.problems import Problem, Where

Path = tuple[str | int, ...]
"""Keys from the top of the plan to a value, e.g. ``("members", "main_hoop", "path", 2)``."""
Locate = Callable[[Path], Where]


def in_plan(path: Path) -> Where:
    """The default place of every value: somewhere in the plan."""
    return Where(file="plan")


class Refused(Exception):
    """One value that cannot be resolved; caught and collected with the rest."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        super().__init__(str(problem))


class AlreadyRefused(Exception):
    """A value that rests on one already refused: nothing new to tell the builder."""
