"""What a survey says besides its readings, as fields: the car, the driver, what the builder wishes for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, cast

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit, QuantityError, parse
from cagewright.plan.survey import SurveyFile
from cagewright.plan.write import Document, remove, set_value

Sort = Literal["text", "length", "mass", "angle", "place", "count", "choice", "yes or no", "books", "lengths"]


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldChoice:
    """One thing that can be chosen: what the file says for it, and its words."""

    value: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SurveyField:
    """One thing to fill in.

    Attributes:
        name: its keys in the file, with dots between.
        label: what it is called.
        sort: how it is typed.
        hint: what to know about it.
        unit: of a length, place or angle without one; empty for the rest.
        value: what the file has: a text, a count, yes or no, or names of books.
    """

    name: str
    label: str
    sort: Sort
    choices: tuple[FieldChoice, ...] = ()
    hint: str = ""
    unit: str = ""
    value: str | int | bool | tuple[str, ...] = ""


def _choices(**said: str) -> tuple[FieldChoice, ...]:
    return tuple(FieldChoice(value=value, words=words) for value, words in said.items())


CAR = (
    SurveyField(name="title", label="Title", sort="text", hint="of the plan to come"),
    SurveyField(name="datum", label="Measured from", sort="text", hint="what back and up are counted from"),
    SurveyField(name="car.mass", label="Car's weight", sort="mass", hint="ready to race, without the driver"),
    SurveyField(name="car.body", label="Kind of body", sort="text", hint="for example: two-door saloon"),
    SurveyField(name="car.rules", label="Rule books", sort="books", hint="the cage answers to each of them"),
    SurveyField(
        name="driver.side",
        label="Driver sits",
        sort="choice",
        choices=_choices(left="on the left", right="on the right"),
    ),
    SurveyField(name="driver.stature", label="Driver's height", sort="length"),
    SurveyField(
        name="driver.helmet", label="Across the helmet", sort="length", hint="the circle all round it"
    ),
)
BESIDE = SurveyField(
    name="codriver.hip",
    label="Codriver's hip",
    sort="place",
    hint="back, from the string, up; empty where nobody sits beside the driver",
)
"""With it somebody sits beside the driver; the other fields of theirs come with it."""
CODRIVER = (
    SurveyField(
        name="codriver.head", label="Middle of the codriver's helmet", sort="place", hint="likewise, or empty"
    ),
    SurveyField(
        name="codriver.back_angle", label="Lean of the codriver's seat", sort="angle", hint="from upright"
    ),
    SurveyField(name="codriver.stature", label="Codriver's height", sort="length"),
    SurveyField(name="codriver.helmet", label="Across the codriver's helmet", sort="length"),
)
GOES: Mapping[str, tuple[str, ...]] = {
    "codriver.hip": ("codriver",), "codriver.head": ("codriver", "head"),
    "codriver.back_angle": ("codriver", "back_angle"),
    "wishes.doorbar_heights": ("wishes", "doorbar_heights"), "wishes.post_back": ("wishes", "post_back"),
}  # fmt: skip
"""What goes out of the file where a field is left empty; the other fields cannot be."""
STRUCTURES = {
    "main rollbar and lateral half-rollbars": "a hoop behind the seats, a bent leg on each side up to it",
    "main and front rollbar": "a hoop behind the seats, one round the screen, a bar along each roof rail",
    "lateral rollbars": "a bent tube on each side from the front foot to the rear one, bars across between",
    "rear rollbar with roof loop": "a hoop behind the seats, a loop round the roof, legs up to the loop",
    "four-point roll bar": "a hoop behind the seats on its backstays",
    "six-point roll bar": "a hoop behind the seats on its backstays and a brace forward on each side",
}
"""Each base structure in plain words."""
WISHES = (
    SurveyField(
        name="wishes.base_structure",
        label="Built up from",
        sort="choice",
        choices=_choices(**{word: f"{word}: {plain}" for word, plain in STRUCTURES.items()}),
    ),
    SurveyField(
        name="wishes.gap",
        label="Gap between tube and body",
        sort="length",
        hint="along roof, pillars and sides",
    ),
    SurveyField(
        name="wishes.door",
        label="Doors",
        sort="choice",
        choices=_choices(bars="level bars", X="two that cross"),
    ),
    SurveyField(name="wishes.doorbars", label="Doorbars a side", sort="count", hint="1 to 4"),
    SurveyField(
        name="wishes.doorbar_heights",
        label="Heights of the doorbars",
        sort="lengths",
        hint="at the hoop, over the level line, commas between; empty: as usual",
    ),
    SurveyField(
        name="wishes.doorbar_spacing",
        label="Between the doorbars",
        sort="choice",
        choices=_choices(usual="as usual", even="the same from the sill up"),
    ),
    SurveyField(
        name="wishes.doorbar_slope",
        label="Doorbars follow the sill",
        sort="choice",
        choices=_choices(level="not at all, level", half="half its slope", sill="its whole slope"),
    ),
    SurveyField(
        name="wishes.post_back",
        label="Posts between the doorbars",
        sort="length",
        hint="distance back; empty: in line with the foot of the pillar brace",
    ),
    SurveyField(
        name="wishes.roof",
        label="Roof",
        sort="choice",
        choices=_choices(V="a V, open to the front", X="two that cross", diagonal="one diagonal"),
    ),
    SurveyField(
        name="wishes.diagonals",
        label="Diagonals in the main rollbar",
        sort="choice",
        choices=_choices(**{"1": "one", "2": "two that cross"}),
    ),
    SurveyField(
        name="wishes.rear",
        label="Between the backstays",
        sort="choice",
        choices=_choices(diagonal="a diagonal", none="nothing"),
    ),
    SurveyField(name="wishes.harness_bar", label="Harness bar", sort="yes or no"),
    SurveyField(name="wishes.dash_bar", label="Dash bar", sort="yes or no"),
    SurveyField(name="wishes.pillar_braces", label="Braces beside the screen pillars", sort="yes or no"),
    SurveyField(name="wishes.gussets", label="Gussets at the roof's corners", sort="yes or no"),
    SurveyField(name="wishes.plate", label="Foot plates' thickness", sort="length"),
)
_ALL = {field.name: field for field in (*CAR, BESIDE, *CODRIVER, *WISHES)}


class BadField(ValueError):
    """What was typed is not what the field holds; its words say what was wanted."""


def fields_of(
    file: SurveyFile, document: Document
) -> tuple[tuple[SurveyField, ...], tuple[SurveyField, ...]]:
    """The fields of the car and of the wishes with what the file has for each."""
    who = (*CAR, BESIDE, *(CODRIVER if file.codriver else ()))
    car, wishes = (tuple(_filled(field, file, document) for field in fields) for fields in (who, WISHES))
    return car, wishes


def _filled(field: SurveyField, file: SurveyFile, document: Document) -> SurveyField:
    raw: Any = document.source.data
    value: Any = file
    for key in field.name.split("."):
        raw = cast("Mapping[str, Any]", raw).get(key) if isinstance(raw, Mapping) else None
        value = getattr(value, key, None)
    long = field.sort in ("length", "lengths", "place")
    unit = file.units if long else "deg" if field.sort == "angle" else ""
    return replace(field, unit=unit, value=_said(field, value, raw, file.units))


def _said(field: SurveyField, value: Any, raw: Any, units: LengthUnit) -> Any:
    if value is None:
        return ""
    if field.sort in ("yes or no", "count"):
        return value
    if field.sort == "books":
        return tuple(value)
    if field.sort in ("place", "lengths"):
        if not isinstance(raw, list):
            return ""
        return ", ".join(_typed(part, units) for part in cast("list[Any]", raw))
    if field.sort == "angle":
        return _typed(raw, "deg")
    if field.sort == "length":
        if isinstance(raw, int | float | str):
            return _typed(raw, units)
        return f"{value:g}" if units == "mm" else say_length(value, "in").removesuffix('"') + " in"
    if field.sort == "mass":
        return raw if isinstance(raw, str) else f"{value:g} kg"
    return str(value)


def field_words(name: str, typed: Any) -> str:
    """What setting a field is called where it can be taken back.

    Raises:
        KeyError: there is no such field.
    """
    many = cast("list[Any]", typed) if isinstance(typed, list) else [typed]
    said = ", ".join({True: "yes", False: "no", None: ""}.get(v, str(v)) for v in many)
    return f"{_ALL[name].label}: {said[:60] or 'empty'}"


def _typed(raw: Any, unit: str) -> str:
    """A quantity as the file has it, without the unit that its box is in."""
    return raw.removesuffix(f" {unit}") if isinstance(raw, str) else f"{raw:g}"


def with_field(
    document: Document, name: str, typed: Any, units: LengthUnit, books: tuple[str, ...]
) -> Document:
    """The survey's text with one field set.

    Args:
        document: the text.
        name: of the field.
        typed: what was typed or chosen.
        units: of a length without a unit.
        books: those that may be named.

    Raises:
        BadField: it is not what the field holds.
        KeyError: there is no such field.
        ProblemsFound: the text cannot be edited there.
    """
    field = _ALL[name]
    if name in GOES and not str(typed).strip():
        return remove(document, GOES[name]) if _has(document.source.data, GOES[name]) else document
    return set_value(document, tuple(name.split(".")), _taken(field, typed, units, books))


def _has(data: Any, keys: tuple[str, ...]) -> bool:
    for key in keys:
        data = cast("Mapping[str, Any]", data).get(key) if isinstance(data, Mapping) else None
    return data is not None


def _taken(field: SurveyField, typed: Any, units: LengthUnit, books: tuple[str, ...]) -> Any:
    match field.sort:
        case "yes or no":
            return _known(typed, (True, False), "yes or no")
        case "books":
            named = cast("list[Any]", typed) if isinstance(typed, list) else []
            return [_known(book, books, "a rule book of the list") for book in named]
        case "choice":
            chosen = _known(typed, tuple(choice.value for choice in field.choices), "one of the list")
            return int(chosen) if chosen.isdigit() else chosen
        case "count":
            return _known(typed, (1, 2, 3, 4), "a number from 1 to 4")
        case "mass" | "length" | "angle":
            return _quantity(field.sort, typed, units)
        case "place":
            return _place(typed, units)
        case "lengths":
            parts = _parts(typed)
            if len(parts) > 4:
                raise BadField("wanted four lengths at most")
            return [_quantity("length", part, units) for part in parts]
        case "text":
            return " ".join(str(typed).split())[:400]


def _known(typed: Any, known: tuple[Any, ...], wanted: str) -> Any:
    if typed not in known or isinstance(typed, bool) != isinstance(known[0] if known else typed, bool):
        raise BadField(f"wanted {wanted}")
    return typed


def _parts(typed: Any) -> list[str]:
    """What stands between semicolons or, where there are none, commas."""
    said = str(typed)[:200]
    return said.split(";" if ";" in said else ",")


def _place(typed: Any, units: LengthUnit) -> list[str]:
    parts = _parts(typed)
    if len(parts) != 3:
        raise BadField("wanted three lengths with commas between: back, from the string, up")
    return [_quantity("length", part, units, signed=True) for part in parts]


def _quantity(
    sort: Literal["mass", "length", "angle"], typed: Any, units: LengthUnit, *, signed: bool = False
) -> str:
    text = " ".join(str(typed).replace(",", ".").split())[:60]
    unit = units if sort == "length" else "deg" if sort == "angle" else "lb" if units == "in" else "kg"
    try:
        value = parse(text, sort, bare=unit)
    except QuantityError as wrong:
        raise BadField(str(wrong)) from None
    if (value < 0.0 and not signed) or (value == 0.0 and sort == "mass"):
        raise BadField("wanted more than 0")
    return f"{text} {unit}" if text[-1:].isdigit() else text
