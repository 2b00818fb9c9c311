"""What a survey says besides its readings, as fields: the car, the driver, what the builder wishes for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, cast

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit, QuantityError, parse
from cagewright.plan.survey import SurveyFile
from cagewright.plan.write import Document, set_value

Sort = Literal["text", "length", "mass", "count", "choice", "yes or no", "books"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing to fill in.

    Attributes:
        keys: where it stands in the file.
        label: what it is called on the page.
        sort: how it is typed.
        choices: value and words of each, for a choice.
        hint: what to know about it.
    """

    keys: tuple[str, ...]
    label: str
    sort: Sort
    choices: tuple[tuple[str, str], ...] = ()
    hint: str = ""

    @property
    def name(self) -> str:
        """Its name in requests."""
        return ".".join(self.keys)


CAR = (
    Field(keys=("title",), label="Title", sort="text", hint="of the plan to come"),
    Field(keys=("datum",), label="Measured from", sort="text", hint="what back and up are counted from"),
    Field(keys=("car", "mass"), label="Car's weight", sort="mass", hint="ready to race, without the driver"),
    Field(keys=("car", "body"), label="Kind of body", sort="text", hint="for example: two-door saloon"),
    Field(keys=("car", "rules"), label="Rule books", sort="books", hint="the cage answers to each of them"),
    Field(
        keys=("driver", "side"),
        label="Driver sits",
        sort="choice",
        choices=(("left", "on the left"), ("right", "on the right")),
    ),
    Field(keys=("driver", "stature"), label="Driver's height", sort="length"),
    Field(
        keys=("driver", "helmet"), label="Across the helmet", sort="length", hint="the circle all round it"
    ),
)
WISHES = (
    Field(
        keys=("wishes", "gap"),
        label="Gap between tube and body",
        sort="length",
        hint="along roof, pillars and sides",
    ),
    Field(
        keys=("wishes", "door"),
        label="Doors",
        sort="choice",
        choices=(("bars", "level bars"), ("X", "two that cross")),
    ),
    Field(keys=("wishes", "doorbars"), label="Doorbars a side", sort="count", hint="1 to 4"),
    Field(
        keys=("wishes", "roof"),
        label="Roof",
        sort="choice",
        choices=(("V", "a V, open to the front"), ("X", "two that cross"), ("diagonal", "one diagonal")),
    ),
    Field(
        keys=("wishes", "diagonals"),
        label="Diagonals in the main rollbar",
        sort="choice",
        choices=(("1", "one"), ("2", "two that cross")),
    ),
    Field(
        keys=("wishes", "rear"),
        label="Between the backstays",
        sort="choice",
        choices=(("diagonal", "a diagonal"), ("none", "nothing")),
    ),
    Field(keys=("wishes", "harness_bar"), label="Harness bar", sort="yes or no"),
    Field(keys=("wishes", "dash_bar"), label="Dash bar", sort="yes or no"),
    Field(keys=("wishes", "pillar_braces"), label="Braces beside the screen pillars", sort="yes or no"),
    Field(keys=("wishes", "gussets"), label="Gussets at the roof's corners", sort="yes or no"),
    Field(keys=("wishes", "plate"), label="Foot plates' thickness", sort="length"),
)
_ALL = {field.name: field for field in (*CAR, *WISHES)}


class BadField(ValueError):
    """What was typed is not what the field holds; its words say what was wanted."""


def fields_shown(file: SurveyFile, document: Document) -> dict[str, list[dict[str, Any]]]:
    """The fields with what they hold, JSON-ready: ``car`` and ``wishes``."""
    return {
        "car": [_shown(field, file, document) for field in CAR],
        "wishes": [_shown(field, file, document) for field in WISHES],
    }


def _shown(field: Field, file: SurveyFile, document: Document) -> dict[str, Any]:
    raw = _at(document.source.data, field.keys)
    value: Any = file
    for key in field.keys:
        value = getattr(value, key)
    return {
        "name": field.name,
        "label": field.label,
        "sort": field.sort,
        "hint": field.hint,
        "choices": [{"value": v, "words": w} for v, w in field.choices],
        "value": _said(field, value, raw, file.units),
    }


def _at(data: Any, keys: tuple[str, ...]) -> Any:
    for key in keys:
        data = cast("Mapping[str, Any]", data).get(key) if isinstance(data, Mapping) else None
    return data


def _said(field: Field, value: Any, raw: Any, units: LengthUnit) -> Any:
    if field.sort in ("yes or no", "count"):
        return value
    if field.sort == "books":
        return list(value)
    if field.sort == "length":
        if isinstance(raw, str):
            return raw.removesuffix(f" {units}")
        return f"{raw:g}" if isinstance(raw, int | float) else _default_length(value, units)
    if field.sort == "mass":
        return raw if isinstance(raw, str) else f"{value:g} kg"
    return str(value)


def _default_length(mm: float, units: LengthUnit) -> str:
    if units == "mm":
        return f"{mm:g}"
    return say_length(mm, "in").split('"')[0] + " in"


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
    return set_value(document, field.keys, _taken(field, typed, units, books))


def _taken(field: Field, typed: Any, units: LengthUnit, books: tuple[str, ...]) -> Any:
    match field.sort:
        case "yes or no":
            return _known(typed, (True, False), "yes or no")
        case "books":
            named = cast("list[Any]", typed) if isinstance(typed, list) else []
            return [_known(book, books, "a rule book of the list") for book in named]
        case "choice":
            chosen = _known(typed, tuple(v for v, _ in field.choices), "one of the list")
            return int(chosen) if chosen.isdigit() else chosen
        case "count":
            return _known(typed, (1, 2, 3, 4), "a number from 1 to 4")
        case "mass" | "length":
            return _quantity(field.sort, typed, units)
        case "text":
            return " ".join(str(typed).split())[:400]


def _known(typed: Any, known: tuple[Any, ...], wanted: str) -> Any:
    if typed not in known or isinstance(typed, bool) != isinstance(known[0] if known else typed, bool):
        raise BadField(f"wanted {wanted}")
    return typed


def _quantity(sort: Literal["mass", "length"], typed: Any, units: LengthUnit) -> str:
    text = " ".join(str(typed).replace(",", ".").split())[:60]
    unit = units if sort == "length" else "lb" if units == "in" else "kg"
    try:
        value = parse(text, sort, bare=unit)
    except QuantityError as wrong:
        raise BadField(str(wrong)) from None
    if value < 0.0 or (value == 0.0 and sort == "mass"):
        raise BadField("wanted more than 0")
    return f"{text} {unit}" if text[-1:].isdigit() else text
