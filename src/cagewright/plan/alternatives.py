"""The alternatives file: named changes to a plan, and the pushes by which they are compared."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, PrivateAttr

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.plan.changes import ChangeEntry
from cagewright.plan.files import load
from cagewright.plan.places import Entry, Text
from cagewright.plan.quantities import Positive, StudyVersion
from cagewright.plan.read import read_plan
from cagewright.plan.report import near
from cagewright.plan.source import Keys, Sources, where_in
from cagewright.plan.text import Source, parse, say
from cagewright.plan.types import Plan
from cagewright.plan.wording import entry_of


class AlternativeEntry(Entry):
    """The plan with a stated change, or another plan as it is.

    The changes of the alternative that it is ``on_top_of`` are made first; ``plan`` is the file of another
    plan beside this one, to which the changes are made instead.
    """

    name: Text
    plan: Text | None = None
    on_top_of: Text | None = None
    changes: Annotated[tuple[ChangeEntry, ...], Field(max_length=100)] = ()
    note: Text = ""


class ModelEntry(Entry):
    """Which simplifications the study's strength model makes, where not the usual ones."""

    joints: Literal["both", "report", "yield"] = "both"
    feet: Literal["shell", "rigid"] = "shell"
    softened: Literal["steel", "cautious", "none"] = "steel"
    strength: Literal["least", "typical"] = "least"
    mesh: Positive = 40.0


class Alternatives(Entry):
    """A whole alternatives file.

    Version 1 had other words for a step along a member. Beside a plan in inches ``units`` has to be said;
    without pushes a front roof corner is pushed; ``travel`` is given where not each push's own;
    ``as_planned`` is what the plan itself is called in the table.
    """

    cagewright_alternatives: StudyVersion
    title: Text
    question: Text = ""
    units: Literal["mm", "in"] = "mm"
    pushes: Annotated[tuple[Text, ...], Field(max_length=20)] = ()
    travel: Positive | None = None
    as_planned: Text = "as planned"
    model: ModelEntry = Field(default_factory=ModelEntry)
    alternatives: Annotated[tuple[AlternativeEntry, ...], Field(min_length=1, max_length=200)]
    note: Text = ""
    _sources: Sources = PrivateAttr(default_factory=Sources)
    _plans: dict[str, Plan] = PrivateAttr(default_factory=dict[str, Plan])

    @property
    def plans(self) -> dict[str, Plan]:
        """The other plans that alternatives name, by file; none for those that were read from a text."""
        return self._plans

    def beside(self, plans: dict[str, Plan]) -> Self:
        """The same alternatives with the other plans that they name."""
        copy = self.model_copy()
        copy._sources, copy._plans = self._sources, plans
        return copy

    @property
    def sources(self) -> Sources:
        """The file it was read from; none for one made in code."""
        return self._sources

    def read_from(self, sources: Sources) -> Self:
        """The same alternatives, knowing the file they were read from."""
        copy = self.model_copy()
        copy._sources = sources
        return copy


def read_alternatives(path: Path | str) -> Alternatives:
    """The alternatives in the file.

    Raises:
        ProblemsFound: every problem of the file.
    """
    where = Path(path)
    entry = _alternatives(load(where, file=where.as_posix()))
    return entry.beside(_other_plans(entry, where.parent))


def _other_plans(entry: Alternatives, folder: Path) -> dict[str, Plan]:
    plans: dict[str, Plan] = {}
    for i, alternative in enumerate(entry.alternatives):
        name = alternative.plan
        if name is not None and not (folder / name).is_file():
            found, wanted = (
                f"there is no plan {say(name)} beside this file",
                "wanted the name of a plan's file",
            )
            where = place_in(entry, ("alternatives", i, "plan"))
            close = near(name, [p.name for p in sorted(folder.glob("*.yaml"))])
            raise ProblemsFound([
                Problem(code="no-plan", where=where, found=found, wanted=wanted, nearest=close)
            ])
        if name is not None:
            plans[name] = read_plan(folder / name)
    return plans


def read_alternatives_text(text: str, *, file: str = "alternatives") -> Alternatives:
    """The alternatives in the text; ``file`` is its name in problems.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _alternatives(parse(text, file=file))


def place_in(alternatives: Alternatives, keys: Keys) -> Where:
    """Where a value stands in the alternatives file, its keys from the top."""
    return where_in(alternatives.sources, keys)


def _alternatives(source: Source) -> Alternatives:
    entry = entry_of(source, Alternatives).read_from(Sources(main=source))
    if problems := _names_told_apart(entry):
        raise ProblemsFound(problems)
    return entry


def _names_told_apart(entry: Alternatives) -> list[Problem]:
    """Alternatives of one name, and ones on top of one that does not come before."""
    earlier: list[str] = [entry.as_planned]
    problems: list[Problem] = []
    for i, alternative in enumerate(entry.alternatives):
        keys: Keys = ("alternatives", i)
        if alternative.name in earlier:
            found = f"another alternative is called {say(alternative.name)}"
            problems.append(
                Problem(code="name-taken", where=place_in(entry, (*keys, "name")), found=found,
                        wanted="wanted a name of its own")
            )  # fmt: skip
        under = alternative.on_top_of
        if under is not None and alternative.plan is not None:
            found = f"{say(alternative.name)} is another plan and on top of an alternative as well"
            wanted = "wanted plan: or on_top_of:, not both"
            where = place_in(entry, (*keys, "on_top_of"))
            problems.append(Problem(code="two-starts", where=where, found=found, wanted=wanted))
        if under is not None and under not in earlier:
            problems.append(_not_before(entry, (*keys, "on_top_of"), under, earlier))
        earlier.append(alternative.name)
    return problems


def _not_before(entry: Alternatives, keys: Keys, under: str, earlier: list[str]) -> Problem:
    return Problem(
        code="unknown-alternative",
        where=place_in(entry, keys),
        found=f"no alternative before this one is called {say(under)}",
        wanted=f"wanted one of {', '.join(earlier)}",
        nearest=near(under, earlier),
    )
