"""Where each value of a plan stands in the builder's files."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from cagewright.base.problems import Where
from cagewright.plan.text import Map, Seq, Source, Spot, shown

Keys = tuple[str | int, ...]
"""Keys from the top of the plan to a value, e.g. ``("members", "main_hoop", "path", 2)``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sources:
    """The files a plan was read from; two plans that say the same are equal wherever it stands.

    Attributes:
        main: the plan's own file, or None for a plan that was not read from text.
        homes: (section, name) to the included file that it stands in; name "" for an undivided section.
    """

    main: Source | None = field(default=None, compare=False)
    homes: Mapping[tuple[str, str], Source] = field(
        default_factory=dict[tuple[str, str], Source], compare=False
    )


def home(sources: Sources, keys: Keys) -> Source | None:
    """The file that the value stands in."""
    if not keys:
        return sources.main
    section = str(keys[0])
    name = str(keys[1]) if len(keys) > 1 else ""
    return sources.homes.get((section, name)) or sources.homes.get((section, "")) or sources.main


def where_in(sources: Sources, keys: Keys) -> Where:
    """Where the value stands: its key's place for a list or mapping, its own for a single value."""
    source = home(sources, keys)
    return Where(file="plan") if source is None else where_at(source, keys)


def where_at(source: Source, keys: Keys, *, point: Literal["value", "key"] = "value") -> Where:
    """Where ``keys`` lead in one file; keys that do not exist there are passed over.

    ``point`` as ``key`` points at the last key even where a single value follows it.
    """
    spot = spot_at(source, keys, point=point)
    return Where(file=source.file, line=spot.line, col=spot.col) if spot else Where(file=source.file)


def label_of(keys: Iterable[str | int]) -> str:
    """The keys as the builder would say them: ``members.main_hoop.path.3.up``, items counted from 1."""
    parts: list[str] = []
    for key in keys:
        if isinstance(key, int):
            parts.append(str(key + 1))
        elif not key.startswith(("~", "[")):
            parts.append(shown(key))
    return ".".join(parts)


def label_at(source: Source, keys: Keys) -> str:
    """As ``label_of``, with only the keys that stand in the file (and items that it is short of)."""
    there: list[str | int] = []
    box: Any = source.data
    for key in keys:
        if isinstance(box, Map) and isinstance(key, str) and key in box.spots:
            there.append(key)
            box = box[key]
        elif isinstance(box, Seq) and isinstance(key, int):
            there.append(key)
            box = box[key] if key < len(box) else None
    return label_of(there)


def in_turn(data: Any, keys: Keys) -> Keys:
    """The keys as they stand where people who sit in one seat in turn are written as a list."""
    people = data.get("people") if isinstance(data, Map) else None
    if len(keys) < 3 or keys[0] != "people" or isinstance(keys[2], int) or not isinstance(people, Map):
        return keys
    if not isinstance(people.get(str(keys[1])), Seq):
        return keys
    _, name, key, *rest = keys
    if key == "others" and rest and isinstance(rest[0], int):
        return ("people", name, rest[0] + 1, *rest[1:])
    return ("people", name, 0, key, *rest)


def spot_at(source: Source, keys: Keys, *, point: Literal["value", "key"] = "value") -> Spot | None:
    """The spot ``keys`` lead to in one file, or None for the file as a whole; see ``where_at``."""
    box: Any = source.data
    spot: Spot | None = None
    for key in in_turn(source.data, keys):
        here: Any = box
        if isinstance(here, Map) and isinstance(key, str) and key in here.spots:
            box = here[key]
            of_key = point == "key" or isinstance(box, dict | list)
            spot = here.key_spots[key] if of_key else here.spots[key]
        elif isinstance(here, Seq) and isinstance(key, int) and key < len(here):
            box, spot = here[key], here.spots[key]
    return spot
