"""Names, and the ways to say where something is: numbers, points, feet and places on members."""

from __future__ import annotations

import re
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    SerializationInfo,
    SerializerFunctionWrapHandler,
    StringConstraints,
    Tag,
    TypeAdapter,
    WithJsonSchema,
    model_serializer,
    model_validator,
)
from pydantic.config import JsonDict
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError

from cagewright.base.names import typed
from cagewright.plan.quantities import Length, Part, Place3, Positive
from cagewright.plan.shorthand import (
    COORDINATES,
    FOOT,
    MEMBER,
    NAME,
    POINT,
    Short,
    keyed,
    kinds,
    place_kind,
    spot_kind,
)

NAME_FORM = re.compile(r"^[A-Za-z][A-Za-z0-9_]{0,59}$")
OwnName = Annotated[str, StringConstraints(pattern=NAME_FORM.pattern)]
"""A name where the builder gives it: a letter, then letters, digits and underlines, 60 at most."""


def _as_given(value: Any) -> Any:
    """The name as it was given, where it is written as it is shown: ``main hoop`` for ``main_hoop``."""
    name = typed(value) if isinstance(value, str) else value
    return name if isinstance(name, str) and NAME_FORM.fullmatch(name) else value


Name = Annotated[
    OwnName,
    BeforeValidator(_as_given),
    WithJsonSchema({"type": "string", "pattern": NAME_FORM.pattern.replace("_]", "_ ]")}),
]
"""A name where something is referred to by it; spaces do for its underlines."""
Text = Annotated[
    str, StringConstraints(max_length=500), WithJsonSchema({"type": ["string", "number"], "maxLength": 500})
]
"""A line of text; a bare number is taken as text too."""

Side = Literal["left", "right"]
MEASURES = ("up", "back", "across", "along", "part")
"""The keys of which a place on a member gives exactly one."""


def triple_schema() -> JsonSchemaValue:
    """JSON Schema of three bare numbers."""
    return TypeAdapter(Place3).json_schema()


def name_schema() -> JsonSchemaValue:
    """JSON Schema of a bare name."""
    return TypeAdapter(Name).json_schema()


class Entry(BaseModel):
    """Base of every section: frozen, and an unknown key is a mistake."""

    model_config = ConfigDict(extra="forbid", frozen=True, coerce_numbers_to_str=True)


class ShortEntry(Entry):
    """An entry that is written as the bare value of one key where it says no more than that."""

    bare: ClassVar[str]

    @model_serializer(mode="wrap")
    def _shortened(self, write: SerializerFunctionWrapHandler, info: SerializationInfo) -> Any:
        said = write(self)
        for_a_file = bool(info.context) and "written_in" in info.context
        return said[self.bare] if for_a_file and [*said] == [self.bare] else said


class AtCoordinates(ShortEntry):
    """A place given by three numbers."""

    bare = "at"

    at: Place3
    clr: Positive | None = None


class AtPoint(ShortEntry):
    """A place at a named point, with an optional offset (back, across, up)."""

    bare = "point"

    point: Name
    offset: Place3 = (0.0, 0.0, 0.0)
    clr: Positive | None = None


class AtFoot(Entry):
    """A member's end on a foot, beside the middle of its plate by an offset (back, across, up)."""

    foot: Name
    offset: Place3 = (0.0, 0.0, 0.0)

    @model_serializer(mode="wrap")
    def _middle_unsaid(self, write: SerializerFunctionWrapHandler) -> Any:
        # so that revision marks stay what they were before there was an offset
        said = write(self)
        return said if any(self.offset) else {"foot": said["foot"]}


Near = Annotated[
    Annotated[Name, Tag(NAME)] | Annotated[Place3, Tag(COORDINATES)],
    kinds(spot_kind, "wanted [back, across, up] or a point's name"),
]
"""A rough place: three numbers or a point's name."""

_ONE_MEASURE: JsonDict = {"oneOf": [{"required": [key]} for key in MEASURES]}


class OnMember(Entry):
    """A place on another member: exactly one of up, back, across (a coordinate), along (mm) or part (0 to 1).

    ``side`` or ``near`` picks one where several fit.
    """

    model_config = ConfigDict(json_schema_extra=_ONE_MEASURE)

    on: Name
    up: Length | None = None
    back: Length | None = None
    across: Length | None = None
    along: Length | None = None
    part: Part | None = None
    side: Side | None = None
    near: Near | None = None
    clr: Positive | None = None

    @model_validator(mode="after")
    def _one_measure(self) -> Self:
        given = [key for key in MEASURES if getattr(self, key) is not None]
        if len(given) != 1:
            found = f"gives {' and '.join(given)}" if given else f"does not say where on {self.on}"
            wanted = f"wanted exactly one of {', '.join(MEASURES)}"
            raise PydanticCustomError("one-of", "{wanted}", {"found": found, "wanted": wanted})
        return self


AnyPlace = (
    Annotated[AtCoordinates, Short(expand=keyed("at", (list, tuple)), schema=triple_schema), Tag(COORDINATES)]
    | Annotated[AtPoint, Short(expand=keyed("point", str), schema=name_schema), Tag(POINT)]
    | Annotated[AtFoot, Tag(FOOT)]
    | Annotated[OnMember, Tag(MEMBER)]
)
Place = Annotated[
    AnyPlace,
    kinds(
        place_kind,
        "wanted a place: [back, across, up], a point's name, {point: name, offset: [...]}, {foot: name} "
        "or {on: member, up: ...}",
    ),
]
"""One entry of a path. In the file also a bare ``[x, y, z]`` or a bare point name."""
