"""The readings file of one tube on the bench: what a tape, a gauge and the bench say of it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import (
    Field,
    ValidationInfo,
    WithJsonSchema,
    field_validator,
    model_validator,
)
from pydantic_core import PydanticCustomError

from cagewright.base.problems import Where
from cagewright.base.units import QuantityError, parse
from cagewright.plan.files import load
from cagewright.plan.places import Entry, Text
from cagewright.plan.quantities import Angle, Count, Length, Positive, Version
from cagewright.plan.source import where_at
from cagewright.plan.survey import UNREAD
from cagewright.plan.text import Source
from cagewright.plan.text import parse as tree_of
from cagewright.plan.wording import entry_of

SAYS = WithJsonSchema({"anyOf": [{"type": "number"}, {"type": "string", "maxLength": 60}]})
"""A length or an angle by what it is of; or ``unread``."""
LINE_KINDS = ("chord", "straight", "angle", "height")


class TubeLine(Entry):
    """One reading: what of, and what it says; lengths in mm, angles in rad, None where not taken yet.

    Attributes:
        chord: two marks of the tube: ``start``, ``end``, ``bend1`` and so on.
        straight: number of a straight, from 1 at the start.
        angle: number of a bend.
        height: a mark.
        flat: of a height, the bend on whose two straights the tube lies.
        says: what the tape, gauge or rule says.
        size: its standard deviation, where not the usual one.
        note: the builder's.
    """

    chord: tuple[Text, Text] | None = None
    straight: Count | None = None
    angle: Count | None = None
    height: Text | None = None
    flat: Count | None = None
    says: Annotated[float | None, SAYS]
    size: Annotated[float | None, Field(gt=0.0), SAYS] = None
    note: Text = ""

    @field_validator("says", "size", mode="before")
    @classmethod
    def _quantity(cls, value: Any, info: ValidationInfo) -> float | None:
        if value == UNREAD and info.field_name == "says":
            return None
        try:
            if info.data.get("angle"):
                return parse(value, "angle")
            return parse(value, "length", bare=(info.context or {}).get("units", "mm"))
        except QuantityError as wrong:
            raise PydanticCustomError("bad-quantity", "{wanted}", {"wanted": str(wrong)}) from None

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        kinds = [kind for kind in LINE_KINDS if getattr(self, kind) is not None]
        if len(kinds) != 1:
            told = {"found": f"is {' and '.join(kinds) or 'none of them'}"}
            told["wanted"] = f"wanted one of {', '.join(LINE_KINDS)}"
            raise PydanticCustomError("one-of", "{wanted}", told)
        if (self.flat is not None) != (self.height is not None):
            told = {"found": "has flat: without height:" if self.flat else "does not say how the tube lies"}
            told["wanted"] = (
                "wanted flat: with the number of the bend on whose straights it lies, and height:"
            )
            raise PydanticCustomError("one-of", "{wanted}", told)
        return self


class TubeFile(Entry):
    """One tube's readings.

    Attributes:
        plan: revision mark that they were taken against; empty where not said.
        member: of the plan; empty where the command says it.
        units: of bare numbers.
        set: what the bender was set to for each bend, in order from the start; the bend sheet's where not
            said.
        xyz: instead of readings, where its ends are and where its straights would meet, from the start, in
            any place.
        xyz_size: standard deviation of each of them, where not the usual one.
        note: the builder's.
    """

    version: Annotated[Version, Field(alias="cagewright-tube")] = 1
    plan: Text = ""
    member: Text = ""
    units: Literal["mm", "in"] = "mm"
    set: Annotated[tuple[Angle, ...], Field(max_length=40)] = ()
    readings: Annotated[tuple[TubeLine, ...], Field(max_length=200)] = ()
    xyz: Annotated[tuple[tuple[Length, Length, Length], ...], Field(max_length=42)] = ()
    xyz_size: Annotated[Positive | None, Field()] = None
    note: Text = ""


class ReadTubeFile:
    """A readings file that was read, and where its values stand."""

    def __init__(self, file: TubeFile, source: Source) -> None:
        """What the file says, and its text."""
        self.file, self._source = file, source

    def where(self, *keys: str | int) -> Where:
        """Where that value stands."""
        return where_at(self._source, keys)


def read_tube_file(path: Path) -> ReadTubeFile:
    """The readings in the file.

    Raises:
        ProblemsFound: every problem of the file.
    """
    return _read(load(path, file=path.as_posix()))


def read_tube_text(text: str, *, file: str = "readings") -> ReadTubeFile:
    """The readings in the text; ``file`` is its name in problems.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _read(tree_of(text, file=file))


def _read(source: Source) -> ReadTubeFile:
    return ReadTubeFile(entry_of(source, TubeFile), source)
