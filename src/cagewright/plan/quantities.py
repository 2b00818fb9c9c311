"""Quantities as plan fields: text or number in the file, inside units (mm, rad, kg, N, MPa) in the model."""

from __future__ import annotations

import math
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BeforeValidator,
    Field,
    PlainSerializer,
    SerializationInfo,
    ValidationInfo,
    WithJsonSchema,
)
from pydantic_core import PydanticCustomError

from cagewright.base.dates import span_of
from cagewright.base.units import MM_PER_IN, Kind, QuantityError, parse

_FRACTION = r"[+-]?\s*(\d+(\s+|\s*-\s*))?\d+\s*/\s*(2|4|8|16|32|64)"
_VALUE = r"[+-]?(\d+(\.\d*)?|\.\d+)([eE][+-]?\d+)?"
_UNITS: dict[Kind, str] = {
    "length": r'(mm|cm|m|in|"|ft)?',
    "angle": "(deg|°|rad)?",
    "mass": "(kg|g|t|lb)?",
    "force": "(N|kN|daN|lbf)?",
    "stress": "(MPa|N/mm2|GPa|ksi)?",
    "area": "(mm2|cm2|in2)?",
    "energy": "(J|kJ)?",
    "speed": "(mm/s|m/s|km/h|mph)?",
    "time": "(min|h)",
    "share": "%",
    "number": "",
}


_UNIT_WRITTEN: dict[Kind, str] = {
    "mass": " kg", "force": " N", "stress": " MPa", "area": " mm2", "energy": " J", "time": " h",
    "share": " %",
}  # fmt: skip


def _bare(kind: Kind, units: str) -> str | None:
    if kind == "area":
        return {"mm": "mm2", "in": "in2"}[units]
    return units if kind == "length" else None


def _reader(kind: Kind) -> BeforeValidator:
    def read(value: Any, info: ValidationInfo) -> float:
        try:
            return parse(value, kind, bare=_bare(kind, (info.context or {}).get("units", "mm")))
        except QuantityError as wrong:
            raise PydanticCustomError("bad-quantity", "{wanted}", {"wanted": str(wrong)}) from None

    return BeforeValidator(read)


def _writer(kind: Kind) -> PlainSerializer:
    """Writes the value for a plan file where the context says ``written_in``; else leaves it as it is."""

    def write(value: float, info: SerializationInfo) -> float | str:
        units = (info.context or {}).get("written_in")
        return value if units is None else written(value, kind, units)

    return PlainSerializer(write, when_used="json")


def written(value: float, kind: Kind, units: str) -> float | str:
    """The value with the fewest digits that read back as the same value.

    The value is in inside units; a length is a bare number in the file's ``units``, or text in mm where
    shorter.
    """
    if kind == "angle":
        return _fewest(value, kind, " deg", math.pi / 180.0) or f"{value!r} rad"
    if kind != "length" or units == "mm":
        scale = 0.01 if kind == "share" else 1.0
        text = (
            _fewest(value, kind, _UNIT_WRITTEN.get(kind, ""), scale)
            or f"{value / scale!r}{_UNIT_WRITTEN.get(kind, '')}"
        )
        return text if kind in _UNIT_WRITTEN else float(text)
    inches, mm = _fewest(value, kind, " in", MM_PER_IN), _fewest(value, kind, " mm", 1.0) or f"{value!r} mm"
    return mm if inches is None or len(mm) < len(inches) else float(inches.removesuffix(" in"))


def _fewest(value: float, kind: Kind, unit: str, scale: float) -> str | None:
    texts = (f"{round(value / scale, places):.15g}{unit}" for places in range(13))
    return next((text for text in texts if parse(text, kind) == value), None)


def _schema(kind: Kind, *examples: str, **limits: float) -> WithJsonSchema:
    pattern = rf"^\s*({_VALUE}|{_FRACTION})\s*{_UNITS[kind]}\s*$"
    text = {"type": "string", "maxLength": 60, "pattern": pattern}
    return WithJsonSchema({"anyOf": [{"type": "number", **limits}, text], "examples": list(examples)})


def _text_schema(kind: Kind, *examples: str) -> WithJsonSchema:
    """Of a quantity that always has its unit, so that it is never a bare number."""
    pattern = rf"^\s*{_VALUE}\s*{_UNITS[kind]}\s*$"
    return WithJsonSchema({"type": "string", "maxLength": 60, "pattern": pattern, "examples": list(examples)})


def _no_flag(value: Any) -> Any:
    if isinstance(value, bool):
        raise PydanticCustomError("literal_error", "wanted 1", {"expected": "1"})
    return value


Version = Annotated[Literal[1], BeforeValidator(_no_flag)]
"""The number of a file kind's form; ``true`` is no number, though Python holds it equal to 1."""
StudyVersion = Annotated[Literal[1, 2], BeforeValidator(_no_flag)]
"""The number of the alternatives file's form."""
_Mm = Annotated[float, _reader("length"), _writer("length")]
Length = Annotated[_Mm, _schema("length", "45 mm", "1 3/4 in")]
"""A length or coordinate; mm in the model."""
Positive = Annotated[_Mm, Field(gt=0.0), _schema("length", "45 mm", "1 3/4 in", exclusiveMinimum=0)]
"""A length more than 0; mm in the model."""
NotNegative = Annotated[_Mm, Field(ge=0.0), _schema("length", "2 mm", "1/16 in", minimum=0)]
"""A length of 0 or more; mm in the model."""
Angle = Annotated[float, _reader("angle"), _writer("angle"), _schema("angle", "22 deg")]
"""An angle; rad in the model."""
_OverNothing = Annotated[float, Field(gt=0.0)]
Mass = Annotated[
    _OverNothing, _reader("mass"), _writer("mass"), _schema("mass", "1080 kg", "2400 lb", exclusiveMinimum=0)
]
"""A mass; kg in the model."""
Force = Annotated[float, _reader("force"), _writer("force"), _schema("force", "30 kN", "3000 lbf")]
"""A force; N in the model."""
Stress = Annotated[
    _OverNothing, _reader("stress"), _writer("stress"),
    _schema("stress", "355 MPa", "50 ksi", exclusiveMinimum=0),
]  # fmt: skip
"""A stress; MPa in the model."""
Area = Annotated[
    _OverNothing, _reader("area"), _writer("area"), _schema("area", "120 cm2", "9 in2", exclusiveMinimum=0)
]
"""An area; mm2 in the model, a bare number in mm2 or, under ``units: in``, in square inches."""
Time = Annotated[_OverNothing, _reader("time"), _writer("time"), _text_schema("time", "25 min", "1.5 h")]
"""A time to work, always with its unit; h in the model."""
Share = Annotated[
    float, Field(ge=0.0, le=10.0), _reader("share"), _writer("share"), _text_schema("share", "15 %")
]
"""A part of something, always in per cent; 0.15 in the model."""
_Plain = Annotated[float, _reader("number"), _writer("number")]
Part = Annotated[_Plain, Field(ge=0.0, le=1.0), _schema("number", "0.5", minimum=0, maximum=1)]
"""A share from 0 to 1."""
Number = Annotated[_Plain, _schema("number", "1.5")]
"""A plain number."""
_Over = Annotated[_Plain, Field(gt=0.0), _schema("number", "430", exclusiveMinimum=0)]
Inertia3 = tuple[_Over, _Over, _Over]
"""About the back, across and up axes (roll, pitch, yaw), kg m2 whatever the plan's units."""
Place3 = tuple[Length, Length, Length]
"""Back, across, up; mm in the model."""


def _whole(value: Any) -> Any:
    if isinstance(value, bool) or not isinstance(value, int | float) or value != value // 1:
        raise PydanticCustomError("bad-quantity", "{wanted}", {"wanted": "wanted a whole number"})
    return value


Count = Annotated[
    int,
    Field(ge=0, le=1000),
    BeforeValidator(_whole),
    WithJsonSchema({"type": "integer", "minimum": 0, "maximum": 1000}),
]
"""How many."""


def _yes(value: Any) -> bool:
    answer = (
        value
        if isinstance(value, bool)
        else {"yes": True, "no": False}.get(value if isinstance(value, str) else "")
    )
    if answer is None:
        raise PydanticCustomError("wrong-type", "{wanted}", {"wanted": "wanted true or false"})
    return answer


YesNo = Annotated[
    bool, BeforeValidator(_yes), WithJsonSchema({"anyOf": [{"type": "boolean"}, {"enum": ["yes", "no"]}]})
]
"""true or false; the words yes and no do as well."""


def _dated(value: Any) -> str:
    try:
        return span_of(value).text
    except ValueError as wrong:
        raise PydanticCustomError("bad-date", "{wanted}", {"wanted": str(wrong)}) from None


Dated = Annotated[
    str,
    BeforeValidator(_dated),
    WithJsonSchema({
        "anyOf": [
            {"type": "integer", "minimum": 1000, "maximum": 9999},
            {"type": "string", "pattern": r"^\d{4}(-\d{2}(-\d{2})?)?$"},
        ],
        "examples": ["2026-05"],
    }),
]
"""A year, a month or a day, as it is written: ``base/dates.py`` says which days it can mean."""


def _has_length(value: tuple[float, float, float]) -> tuple[float, float, float]:
    if not any(value):
        raise PydanticCustomError(
            "no-direction", "{wanted}", {"wanted": "wanted a direction such as [0, 0, 1]"}
        )
    return value


Direction = Annotated[tuple[Number, Number, Number], AfterValidator(_has_length)]
"""A direction (back, across, up); any length but 0."""
