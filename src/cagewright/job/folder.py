"""The plans of a folder without opening them, and new plans and surveys from a few plain choices."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, TypeVar

from cagewright.base.answers import Answer
from cagewright.base.files import write_atomically
from cagewright.base.problems import ProblemsFound
from cagewright.base.units import LengthUnit, parse
from cagewright.check.library import book_ids
from cagewright.job.base_structure import SIZES, base_structure, wrong_size
from cagewright.job.draft import drafted
from cagewright.job.opening import open_job
from cagewright.make.svg import to_svg
from cagewright.make.views import cage_view
from cagewright.plan.emit import flow, plan_text
from cagewright.plan.read import read_plan_text
from cagewright.plan.survey import Survey, SurveyFile, read_survey_text
from cagewright.plan.survey_text import blank_survey, survey_text
from cagewright.plan.write import Document, document, set_value

T = TypeVar("T")
PICTURE = (120.0, 80.0)
"""Width and height of a plan's picture, mm on paper."""
SHOP = "my-shop.yaml"
"""The shop file that a folder without one is given, of usual figures to be replaced."""


class BadChoice(ValueError):
    """A choice is none of those offered; its words say what was wanted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanCard(Answer):
    """A plan without opening it.

    Attributes:
        revision: its mark; empty where its text has problems.
        problems: how many its text has.
    """

    revision: str = ""
    members: int = 0
    problems: int = 0


def card_of(path: Path) -> tuple[PlanCard, str]:
    """The card of the plan in that file, and a small picture of its cage as SVG; none with problems."""
    try:
        cage = open_job(path).cage
    except ProblemsFound as found:
        count = len(found.problems)
        words = f"{count} problem{'' if count == 1 else 's'} in its text"
        return PlanCard(headline=words, level="fail", problems=count), ""
    view = cage_view(cage, "three-quarter", box=PICTURE, numbers=False, sizes=False, caption=False)
    words = f"{len(cage.members)} members, revision {cage.revision}"
    return PlanCard(headline=words, revision=cage.revision, members=len(cage.members)), to_svg(view)


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPlanChoices:
    """What a new plan shall be.

    Attributes:
        start: a roll bar, a whole cage, a base structure by sizes, or a survey to be read at the car.
        units: of the builder's tape.
        book: the rule book it answers to; empty for none.
        side: where the driver sits.
        door: level doorbars or two that cross.
        roof: how the roof is braced.
        sizes: of the base structure, mm.
    """

    start: str
    title: str
    units: LengthUnit
    book: str
    side: str
    door: str
    roof: str
    sizes: Mapping[str, float]


KNOWN: dict[str, tuple[str, ...]] = {
    "start": ("roll bar", "cage", "sizes", "survey"),
    "units": ("mm", "in"),
    "side": ("left", "right"),
    "door": ("bars", "X"),
    "roof": ("V", "X", "diagonal"),
}


def choices_in(asked: dict[str, Any]) -> NewPlanChoices:
    """The choices of a request; the first of each where it says nothing.

    Raises:
        BadChoice: one is none of those offered.
    """
    said: dict[str, Any] = {name: asked.get(name) or known[0] for name, known in KNOWN.items()}
    for name, known in KNOWN.items():
        if said[name] not in known:
            raise BadChoice(f"choose {', '.join(known)} for {name}")
    book = asked.get("book", "fia-253-2009")
    if book and book not in book_ids():
        raise BadChoice("choose a rule book of the list")
    title = " ".join(str(asked.get("title") or "").split())[:200]
    sizes = _sizes_in(asked, said["units"]) if said["start"] == "sizes" else {}
    return NewPlanChoices(title=title or "New plan", book=book, sizes=sizes, **said)


def _sizes_in(asked: dict[str, Any], units: LengthUnit) -> dict[str, float]:
    """The sizes of a request, mm.

    Raises:
        BadChoice: one is no length, or they cannot be together.
    """
    sizes: dict[str, float] = {}
    for key, (words, _) in SIZES.items():
        try:
            sizes[key] = parse(str(asked.get(key) or ""), "length", bare=units)
        except ValueError:
            raise BadChoice(f"give a length for ‘{words}’") from None
    wrong = wrong_size(sizes)
    if wrong:
        raise BadChoice(wrong)
    return sizes


def new_plan(folder: Path, choices: NewPlanChoices) -> str:
    """The text of a new plan: a roll bar, or a whole cage laid out in an invented saloon.

    Raises:
        ProblemsFound: the shop's file cannot be used.
    """
    shop = _shop(folder)
    if choices.start == "roll bar":
        return _started(_start("roll-bar.yaml"), choices, shop)
    if choices.start == "sizes":
        return _started(base_structure(choices.sizes, choices.units), choices, shop)
    survey = Survey(file=_start_survey(choices, shop))
    _, text = drafted(survey, folder, name="readings of an invented saloon")
    return f"shop: {flow(shop)}\n{text}" if "\nshop:" not in text else text


def new_survey(folder: Path, choices: NewPlanChoices) -> str:
    """The text of a new survey with nothing read yet."""
    shop = _shop(folder)
    blank, like = blank_survey(choices.title), _start_survey(choices, shop)
    new = {
        "units": choices.units, "shop": shop, "wishes": like.wishes, "driver": like.driver,
        "car": blank.car.model_copy(update={"rules": like.car.rules}),
    }  # fmt: skip
    return survey_text(blank.model_copy(update=new))


def _start(name: str) -> str:
    return files("cagewright.job").joinpath("starts", name).read_text(encoding="utf-8")


def _shop(folder: Path) -> str:
    """The name of the folder's shop file, made where there is none."""
    found = sorted(p.name for p in folder.glob("*shop*.yaml") if p.is_file())
    if found:
        return found[0]
    write_atomically(folder / SHOP, _start("shop.yaml").encode())
    return SHOP


def copied(text: Document, title: str) -> str:
    """The text of a plan under another title, for one that starts as its copy."""
    return set_value(text, ("title",), title).text


def _started(start: str, choices: NewPlanChoices, shop: str) -> str:
    text = document(start)
    text = set_value(text, ("title",), choices.title)
    text = set_value(text, ("shop",), shop)
    text = set_value(text, ("car", "rules"), [choices.book] if choices.book else [])
    if choices.units == "mm":
        return text.text
    return plan_text(read_plan_text(text.text).model_copy(update={"units": "in"}))


def _start_survey(choices: NewPlanChoices, shop: str) -> SurveyFile:
    file = read_survey_text(_start("saloon.yaml")).file
    car = file.car.model_copy(update={"rules": (choices.book,) if choices.book else ()})
    wishes = file.wishes.model_copy(update={"door": choices.door, "roof": choices.roof})
    driver = file.driver.model_copy(update={"side": choices.side})
    new: dict[str, Any] = {
        "title": choices.title,
        "units": choices.units,
        "car": car,
        "wishes": wishes,
        "driver": driver,
    }
    if choices.side == "right":
        new["readings"] = {name: _mirrored(parts) for name, parts in file.readings.items()}
    return file.model_copy(update=new | {"shop": shop})


def _mirrored(parts: Mapping[str, T]) -> dict[str, T]:
    """The readings of the mirrored car: what was left is right, where both were read."""
    return {part: parts.get(_twin(part), value) for part, value in parts.items()}


def _twin(part: str) -> str:
    swapped = {"left": "right", "right": "left"}
    start, joint, side = part.rpartition("_")
    return f"{start}{joint}{swapped.get(side, side)}"
