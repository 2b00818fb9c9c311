"""The JSON Schema of the plan, shop and set files, for editors that check and complete while one types."""

from __future__ import annotations

from typing import Any, cast

from pydantic import BaseModel, TypeAdapter

from cagewright.plan.places import Name, OwnName, Text
from cagewright.plan.quantities import (
    Angle,
    Area,
    Force,
    Length,
    Mass,
    NotNegative,
    Number,
    Part,
    Positive,
    Stress,
    YesNo,
)
from cagewright.plan.shop import ShopFile
from cagewright.plan.tube_file import TubeFile
from cagewright.plan.tube_set import SetFile
from cagewright.plan.types import Plan

DRAFT = "https://json-schema.org/draft/2020-12/schema"


def plan_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a plan's own file, shorthands included.

    It holds what one value can say about itself. Names that refer to nothing, impossible tubes and members
    that rest on each other are found by reading the plan.
    """
    return _schema(Plan, "A roll cage plan")


def shop_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a shop file."""
    return _schema(ShopFile, "A shop's dies, stock and offcuts")


def set_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a set file."""
    return _schema(SetFile, "A set of tubes bought bent")


def tube_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of one tube's readings file."""
    return _schema(TubeFile, "One bent tube, read on the bench")


_SHARED: dict[str, Any] = {
    "Length": Length,
    "Positive": Positive,
    "NotNegative": NotNegative,
    "Angle": Angle,
    "Mass": Mass,
    "Force": Force,
    "Stress": Stress,
    "Area": Area,
    "Part": Part,
    "Number": Number,
    "YesNo": YesNo,
    "Name": Name,
    "OwnName": OwnName,
    "Text": Text,
}
"""Types that are written out once and referred to."""


def _schema(model: type[BaseModel], title: str) -> dict[str, Any]:
    made = cast("dict[str, Any]", _tidy(model.model_json_schema(mode="validation")))
    shared = {name: _tidy(TypeAdapter(kind).json_schema()) for name, kind in _SHARED.items()}
    said = {k: _referring(v, shared) for k, v in made.items() if k not in {"title", "$defs"}}
    models = {name: _referring(v, shared) for name, v in made["$defs"].items()}
    return {"$schema": DRAFT, "title": title, **said, "$defs": {**models, **shared}}


def _referring(node: Any, shared: dict[str, Any]) -> Any:
    """The schema with every shared type as a reference, its default kept beside it."""
    if isinstance(node, list):
        return [_referring(item, shared) for item in cast("list[Any]", node)]
    if not isinstance(node, dict):
        return node
    said = cast("dict[str, Any]", node)
    bare = {k: v for k, v in said.items() if k != "default"}
    name = next((name for name, kind in shared.items() if kind == bare), None)
    if name is not None:
        return {"$ref": f"#/$defs/{name}", **{k: v for k, v in said.items() if k == "default"}}
    return {k: _referring(v, shared) for k, v in said.items()}


def _tidy(node: Any) -> Any:
    """The schema without null (a key without a value is a problem) and without made-up titles."""
    if isinstance(node, list):
        return [_tidy(item) for item in cast("list[Any]", node)]
    if not isinstance(node, dict):
        return node
    said = {
        k: v
        for k, v in cast("dict[str, Any]", node).items()
        if not ((k == "title" and isinstance(v, str)) or (k == "default" and v is None))
    }
    by_name = {k: {name: _tidy(v) for name, v in said[k].items()} for k in _BY_NAME if k in said}
    kept = {k: v if k in _AS_THEY_ARE else _tidy(v) for k, v in said.items() if k not in by_name}
    closed = {"additionalProperties": False} if "patternProperties" in said else {}
    return _without_null({**kept, **by_name, **closed})


_BY_NAME = ("properties", "patternProperties", "$defs")
_AS_THEY_ARE = ("default", "examples", "enum", "const")


def _without_null(node: dict[str, Any]) -> dict[str, Any]:
    arms = node.get("anyOf")
    if not isinstance(arms, list) or {"type": "null"} not in arms:
        return node
    left = [arm for arm in cast("list[dict[str, Any]]", arms) if arm != {"type": "null"}]
    rest = {k: v for k, v in node.items() if k != "anyOf"}
    return {**left[0], **rest} if len(left) == 1 else {**rest, "anyOf": left}
