"""Quantities as plan fields: text or number in the file, inside units (mm, rad, kg, N, MPa) in the model."""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field, ValidationInfo, WithJsonSchema
from pydantic_core import PydanticCustomError

from cagewright.base.units import Kind, QuantityError, parse


def _reader(kind: Kind) -> BeforeValidator:
    def read(value: Any, info: ValidationInfo) -> float:
        bare = (info.context or {}).get("units", "mm") if kind == "length" else None
        try:
            return parse(value, kind, bare=bare)
        except QuantityError as wrong:
            raise PydanticCustomError("quantity", "{wanted}", {"wanted": str(wrong)}) from None

    return BeforeValidator(read)


def _schema(examples: list[str]) -> WithJsonSchema:
    return WithJsonSchema({"anyOf": [{"type": "number"}, {"type": "string"}], "examples": examples})


Length = Annotated[float, _reader("length"), _schema(["45 mm", "1 3/4 in"])]
"""A length or coordinate; mm in the model."""
Positive = Annotated[float, Field(gt=0.0), _reader("length"), _schema(["45 mm", "1 3/4 in"])]
"""A length more than 0; mm in the model."""
Angle = Annotated[float, _reader("angle"), _schema(["22 deg"])]
"""An angle; rad in the model."""
Mass = Annotated[float, Field(gt=0.0), _reader("mass"), _schema(["1080 kg", "2400 lb"])]
"""A mass; kg in the model."""
Force = Annotated[float, _reader("force"), _schema(["30 kN", "3000 lbf"])]
"""A force; N in the model."""
Stress = Annotated[float, Field(gt=0.0), _reader("stress"), _schema(["355 MPa", "50 ksi"])]
"""A stress; MPa in the model."""
Part = Annotated[float, Field(ge=0.0, le=1.0), _reader("number"), _schema(["0.5"])]
"""A share from 0 to 1."""
Number = Annotated[float, _reader("number"), _schema(["1.5"])]
"""A plain number."""
Count = Annotated[int, Field(ge=0, le=1000)]
"""How many."""
Place3 = tuple[Length, Length, Length]
"""Back, across, up; mm in the model."""
