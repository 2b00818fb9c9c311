"""Shorter ways to write a value of the plan: what they stand for, and their place in the JSON Schema."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, cast

from pydantic import Discriminator, GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema

from cagewright.base.problems import nearest_word

NOT_A_PLACE = "not-a-place"
COORDINATES, POINT, FOOT, MEMBER, NAME = "~coordinates", "~point", "~foot", "~member", "~name"
"""Tags of the kinds of place; the sign keeps them apart from the builder's keys in an error's path."""
_KIND_OF_KEY = {"on": MEMBER, "foot": FOOT, "point": POINT, "at": COORDINATES}
_HINTS = {
    **_KIND_OF_KEY,
    "offset": POINT,
    **dict.fromkeys(("up", "back", "across", "along", "part", "side", "near"), MEMBER),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Short:
    """Marks a field that can also be written shorter.

    Attributes:
        expand: the long form of a short value; any other value unchanged.
        schema: JSON Schema of the short form.
    """

    expand: Callable[[Any], Any]
    schema: Callable[[], JsonSchemaValue]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_before_validator_function(self.expand, handler(source))

    def __get_pydantic_json_schema__(
        self, core: CoreSchema, handler: GetJsonSchemaHandler
    ) -> JsonSchemaValue:
        return {"anyOf": [self.schema(), handler(core)]}


def keyed(key: str, kinds: type | tuple[type, ...]) -> Callable[[Any], Any]:
    """A function that writes a bare value of one of ``kinds`` as ``{key: value}``."""
    return lambda value: {key: value} if isinstance(value, kinds) else value


def listed(value: Any) -> Any:
    """A bare name as a list of one."""
    return [value] if isinstance(value, str) else value


def place_kind(value: Any) -> str | None:
    """The tag of the kind of place that ``value`` is, or looks most like."""
    if isinstance(value, str):
        return POINT
    if isinstance(value, list | tuple):
        return COORDINATES
    if isinstance(value, Mapping):
        return _kind_by_keys(list(cast("Mapping[str, Any]", value)))
    return {"OnMember": MEMBER, "AtFoot": FOOT, "AtPoint": POINT, "AtCoordinates": COORDINATES}.get(
        type(value).__name__
    )


def _kind_by_keys(keys: list[str]) -> str | None:
    for key, kind in _KIND_OF_KEY.items():
        if key in keys:
            return kind
    near = (nearest_word(key, _HINTS) for key in keys[:10])
    return next((_HINTS[word] for word in near if word), None)


def spot_kind(value: Any) -> str | None:
    """The tag of a place that is three numbers, a point's name or a point with an offset."""
    if isinstance(value, str):
        return NAME
    if isinstance(value, list | tuple):
        return COORDINATES
    return POINT if isinstance(value, Mapping) or type(value).__name__ == "AtPoint" else None


def kinds(of: Callable[[Any], str | None], wanted: str) -> Discriminator:
    """A discriminator that says ``wanted`` where no kind fits."""
    return Discriminator(of, custom_error_type=NOT_A_PLACE, custom_error_message=wanted)
