"""A new plan or survey from a few plain choices, so that nobody starts from an empty page."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any, TypeVar

from cagewright.base.files import write_atomically
from cagewright.base.units import LengthUnit
from cagewright.check.library import book_ids
from cagewright.plan.emit import flow, plan_text
from cagewright.plan.read import read_plan_text
from cagewright.plan.survey import Survey, SurveyFile, blank_survey, read_survey_text, survey_text
from cagewright.plan.write import document, set_value
from cagewright.workbench.pages.shell_draft import drafted
from cagewright.workbench.shopfolder.desk import Desk, slug

T = TypeVar("T")
SHOP = "my-shop.yaml"
"""The shop file that a folder without one is given, of usual figures to be replaced."""


class BadChoice(ValueError):
    """A choice is none of those offered; its words say what was wanted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """What a new plan shall be.

    Attributes:
        start: a roll bar, a whole cage, or a survey to be read at the car.
        title: its title.
        units: of the builder's tape.
        book: the rule book it answers to; empty for none.
        side: where the driver sits.
        door: level doorbars or two that cross.
        roof: how the roof is braced.
    """

    start: str
    title: str
    units: LengthUnit
    book: str
    side: str
    door: str
    roof: str


KNOWN: dict[str, tuple[str, ...]] = {
    "start": ("roll bar", "cage", "survey"),
    "units": ("mm", "in"),
    "side": ("left", "right"),
    "door": ("bars", "X"),
    "roof": ("V", "X", "diagonal"),
}


def choices_in(asked: dict[str, Any]) -> Choices:
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
    return Choices(title=title or "New plan", book=book, **said)


def made_new(desk: Desk, choices: Choices) -> dict[str, Any]:
    """What was made and where it is: an address to go to next.

    Raises:
        ProblemsFound: a file cannot be written.
    """
    shop = _shop(desk)
    if choices.start == "survey":
        return {"address": f"/surveys/{_survey(desk, choices, shop)}"}
    text = _roll_bar(choices, shop) if choices.start == "roll bar" else _cage(desk, choices, shop)
    id = desk.add(choices.title, text.encode())
    return {"id": id, "address": f"/plans/{id}/cage"}


def _start(name: str) -> str:
    return files("cagewright.workbench").joinpath("starts", name).read_text(encoding="utf-8")


def _shop(desk: Desk) -> str:
    """The name of the folder's shop file, made where there is none."""
    found = sorted(p.name for p in desk.folder.glob("*shop*.yaml") if p.is_file())
    if found:
        return found[0]
    write_atomically(desk.folder / SHOP, _start("shop.yaml").encode())
    return SHOP


def _roll_bar(choices: Choices, shop: str) -> str:
    text = document(_start("roll-bar.yaml"))
    text = set_value(text, ("title",), choices.title)
    text = set_value(text, ("shop",), shop)
    text = set_value(text, ("car", "rules"), [choices.book] if choices.book else [])
    if choices.units == "mm":
        return text.text
    return plan_text(read_plan_text(text.text).model_copy(update={"units": "in"}))


def _start_survey(choices: Choices, shop: str) -> SurveyFile:
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


def _cage(desk: Desk, choices: Choices, shop: str) -> str:
    survey = Survey(file=_start_survey(choices, shop))
    _, text = drafted(survey, desk.folder, name="readings of an invented saloon")
    return f"shop: {flow(shop)}\n{text}" if "\nshop:" not in text else text


def _survey(desk: Desk, choices: Choices, shop: str) -> str:
    """The id of a new survey with nothing read yet."""
    from cagewright.workbench.shopfolder.surveys import surveys_of

    blank = blank_survey(choices.title)
    like = _start_survey(choices, shop)
    file = blank.model_copy(
        update={
            "units": choices.units, "shop": shop, "wishes": like.wishes, "driver": like.driver,
            "car": blank.car.model_copy(update={"rules": like.car.rules}),
        }
    )  # fmt: skip
    stem, n = f"{slug(choices.title)}-survey", 2
    path = desk.folder / f"{stem}.yaml"
    while path.exists():
        path, n = desk.folder / f"{stem}-{n}.yaml", n + 1
    write_atomically(path, survey_text(file).encode())
    return next(id for id, where in surveys_of(desk).items() if where == path)
