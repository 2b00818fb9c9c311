"""Values, and plans made in code, as the text of a plan file."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from typing import Any, cast

from cagewright.plan.scalars import resolve
from cagewright.plan.types import Plan

WIDEST = 100
"""Longest line that a list or mapping is put on, characters."""
_PLAIN = re.compile(r"(?:[A-Za-z_]|-?[0-9])(?:[A-Za-z0-9_ .+/()°'\"-]*[A-Za-z0-9_.+/()°'\"])?")
_FIRST = ("cagewright", "title", "units", "include", "shop", "note", "car", "driver", "people")


def scalar(value: object) -> str:
    """A single value as YAML that reads back as the same value.

    Raises:
        ValueError: a number that is not finite, or a value of another kind.
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return _number(value)
    if isinstance(value, str):
        return value if _PLAIN.fullmatch(value) and resolve(value) == value else _quoted(value)
    raise ValueError(f"no YAML for {type(value).__name__}")


def _number(value: float) -> str:
    if not math.isfinite(value):
        raise ValueError("a number that is not finite has no place in a plan")
    return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)


def _quoted(text: str) -> str:
    quoted = json.dumps(text, ensure_ascii=False)
    return "".join(
        c if c.isprintable() else f"\\u{ord(c):04x}" if ord(c) <= 0xFFFF else f"\\U{ord(c):08x}"
        for c in quoted
    )


def flow(value: object) -> str:
    """The value on one line: ``[a, b]``, ``{key: value}`` or a single value."""
    if isinstance(value, Mapping):
        entries = cast("Mapping[str, object]", value).items()
        return "{" + ", ".join(f"{scalar(key)}: {flow(v)}" for key, v in entries) + "}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(flow(item) for item in cast("Sequence[object]", value)) + "]"
    return scalar(value)


def block(value: Any, indent: int) -> str:
    """A list or mapping on lines of its own, the first not indented; what fits on a line is put on one."""
    if isinstance(value, Mapping):
        entries = cast("Mapping[str, object]", value).items()
        lines = [entry(key, v, indent) for key, v in entries]
    else:
        lines = [f"- {_item(item, indent + 2)}" for item in value]
    return ("\n" + " " * indent).join(lines)


def entry(key: str, value: object, indent: int) -> str:
    """``key: value`` where the key stands ``indent`` characters in."""
    line = f"{scalar(key)}: {flow(value)}"
    if indent + len(line) <= WIDEST or not isinstance(value, Mapping | list | tuple) or not value:
        return line
    return f"{scalar(key)}:\n{' ' * (indent + 2)}{block(value, indent + 2)}"


def _item(value: object, indent: int) -> str:
    line = flow(value)
    fits = indent + len(line) <= WIDEST or not isinstance(value, Mapping | list | tuple) or not value
    return line if fits else block(value, indent)


def plan_text(plan: Plan) -> str:
    """The text of a plan file that reads back as ``plan``, in the plan's own units.

    Included files are not written: what they held stands in this text.
    """
    data = plan.model_dump(mode="json", exclude_defaults=True, context={"written_in": plan.units})
    data.pop("include", None)
    said = {key: data[key] for key in (*_FIRST, *(k for k in data if k not in _FIRST)) if key in data}
    return "".join(_section(key, value) for key, value in said.items())


def _section(key: str, value: Any) -> str:
    if not isinstance(value, dict) or key in _FIRST:
        return f"{entry(key, value, 0)}\n"
    return f"\n{scalar(key)}:\n  {block(value, 2)}\n"
