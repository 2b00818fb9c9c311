"""The differences between two plans, written into the first one's text: nothing else of it changes."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import replace
from typing import Any, cast

from cagewright.base.problems import ProblemsFound
from cagewright.base.units import LengthUnit
from cagewright.base.units import parse as parse_length
from cagewright.change.before import BARE_NUMBERS, Altered, owner, told
from cagewright.change.rename import NAMED
from cagewright.plan.emit import flow
from cagewright.plan.load_types import GroundEntry, WeldEntry
from cagewright.plan.names import references
from cagewright.plan.places import AtCoordinates, AtFoot, AtPoint, Entry, OnMember
from cagewright.plan.quantities import written as quantity
from cagewright.plan.source import Keys, home, in_turn, label_of, spot_at
from cagewright.plan.text import Map, Seq, Spot, parse
from cagewright.plan.types import Plan, where_of
from cagewright.plan.write import Document, like, remove, set_value

SECTIONS = (
    "steels",
    "tubes",
    "points",
    "feet",
    "members",
    "plates",
    "gussets",
    "belts",
    "seat",
    "people",
    "pushes",
    "bench_first",
)
"""Sections that an edit can change."""
PLACES = (AtCoordinates, AtPoint, AtFoot, OnMember)
WHOLE = (WeldEntry, GroundEntry)
"""Entries that are written whole, for their numbers are no lengths."""
_FRACTION = re.compile(r"\d\s*/\s*\d")


def written(document: Document, before: Plan, after: Altered) -> Document:
    """The text of ``before`` with what ``after`` says otherwise.

    Raises:
        ProblemsFound: something that changes stands in an included file, or cannot be edited by itself.
    """
    if after.names:
        return _renamed(document, before, after.names)
    for section in SECTIONS:
        old, new = getattr(before, section), getattr(after.plan, section)
        for keys, was, now in _changes((section,), old, new):
            _check_home(before, document, keys)
            document = _put(document, keys, was, now, _behind(keys, new))
    return document


def _check_home(plan: Plan, document: Document, keys: Keys) -> None:
    """Sees to it that the value stands in the plan's own file.

    Raises:
        ProblemsFound: it stands in an included one.
    """
    file = home(plan.sources, keys)
    if file is None or file.file == document.source.file:
        return
    found = f"{label_of(keys[:2])} stands in {file.file}, which this plan includes"
    wanted = "wanted something of this file: edit that one, or move the entry into the plan itself"
    raise ProblemsFound(told("in-other-file", where_of(plan, keys[:2]), found, wanted))


# --- names


def _renamed(document: Document, plan: Plan, names: Mapping[tuple[str, str], str]) -> Document:
    """The text with each new name wherever the old one stands.

    Raises:
        ProblemsFound: one of them stands in another file, or cannot be changed by itself.
    """
    text = document.text
    spots = {
        spot.start: (spot.stop, names[which]) for which in names for spot in _spots(document, plan, *which)
    }
    for start in sorted(spots, reverse=True):
        stop, name = spots[start]
        text = text[:start] + flow(name) + text[stop:]
    after = parse(text, file=document.source.file)
    if not after.readable:
        raise ProblemsFound(after.problems)
    return replace(document, source=after)


def _spots(document: Document, plan: Plan, kind: str, old: str) -> Iterator[Spot]:
    """Every place of the text that has the name."""
    section = NAMED[kind]
    entry = owner(getattr(plan, section), old) or old
    yield (
        _spot(document, plan, (section, entry), point="key")
        if entry == old
        else _spot(document, plan, (section, entry, "mirror"))
    )
    for used, its_kind, name in references(plan):
        if its_kind == kind and name == old:
            yield _spot(document, plan, used)


def _spot(document: Document, plan: Plan, keys: Keys, *, point: Any = "value") -> Spot:
    _check_home(plan, document, keys)
    stands, there = _in_text(document, keys)
    spot = spot_at(document.source, stands, point=point)
    if spot is None or not there:
        found, wanted = (
            "the name is used where it cannot be changed by itself",
            "wanted the text edited by hand",
        )
        raise ProblemsFound(told("cannot-edit", where_of(plan, keys), found, wanted))
    return spot


# --- differences


def _changes(keys: Keys, old: Any, new: Any) -> Iterator[tuple[Keys, Any, Any]]:
    """What differs, each with the keys (in their long form) of the smallest thing that is written at once."""
    if old == new:
        return
    if isinstance(old, dict) and isinstance(new, dict):
        yield from _in_names(keys, cast("dict[str, Any]", old), cast("dict[str, Any]", new))
    elif isinstance(old, Entry) and type(old) is type(new) and not _at_once(old, new):
        for field in type(old).model_fields:
            yield from _changes((*keys, field), getattr(old, field), getattr(new, field))
    elif _same_list(old, new):
        for i, (was, now) in enumerate(zip(old, new, strict=True)):
            yield from _changes((*keys, i), was, now)
    else:
        yield keys, old, new


def _at_once(old: Entry, new: Any) -> bool:
    """Whether the entry is written whole, as a place is, and one that may outgrow its short form."""
    if isinstance(old, (*PLACES, *WHOLE)):
        return True
    bare = getattr(type(old), "bare", None)
    rest = (f for f in type(old).model_fields if f != bare)
    return bare is not None and any(getattr(old, f) != getattr(new, f) for f in rest)


def _in_names(keys: Keys, old: dict[str, Any], new: dict[str, Any]) -> Iterator[tuple[Keys, Any, Any]]:
    for name in old:
        if name not in new:
            yield (*keys, name), old[name], None
    for name, entry in new.items():
        yield from _changes((*keys, name), old.get(name), entry)


def _same_list(old: Any, new: Any) -> bool:
    """Whether both are lists of places, as many."""
    if not (isinstance(old, tuple) and isinstance(new, tuple)):
        return False
    every = cast("tuple[Any, ...]", (*old, *new))
    return len(cast("tuple[Any, ...]", old)) * 2 == len(every) and all(isinstance(p, PLACES) for p in every)


def _behind(keys: Keys, section: Any) -> str | None:
    """The name that stands before a new entry of a section of names."""
    if len(keys) != 2 or not isinstance(section, dict):
        return None
    names = [*cast("dict[str, Any]", section)]
    at = names.index(keys[1]) if keys[1] in names else 0
    return names[at - 1] if at else None


def _put(document: Document, keys: Keys, was: Any, now: Any, behind: str | None) -> Document:
    units = document.source.units
    stands, there = _in_text(document, keys)
    if now is None or now is False or (isinstance(now, str | tuple | dict) and not now):
        return remove(document, stands) if there else document
    old: Any = document.source.data if there else None
    for key in stands if there else ():
        old = old[key]
    said = _said(document, keys[-1], old, was, now, units)
    one = _only_one(old, said)
    if one is not None:
        stands, said = (*stands, one), said[one]
    return set_value(document, stands, said, after=behind)


def _only_one(old: Any, said: Any) -> int | None:
    """The item of a list of numbers that alone is written anew, so that the others stay as they stand."""
    if not isinstance(old, Seq) or not isinstance(said, list) or len(old) != len(cast("list[Any]", said)):
        return None
    new = [i for i, (a, b) in enumerate(zip(old, cast("list[Any]", said), strict=True)) if a != b]
    return new[0] if len(new) == 1 and isinstance(old[new[0]], int | float | str) else None


def _in_text(document: Document, keys: Keys) -> tuple[Keys, bool]:
    """The keys as they stand in the text, short forms leaving some out; whether they lead to a value."""
    here: Any = document.source.data
    keys, stands = in_turn(here, keys), list[str | int]()
    for n, key in enumerate(keys):
        if isinstance(here, Map) and key in here.spots:
            here = here[str(key)]  # pyrefly: ignore[unnecessary-type-conversion]
        elif isinstance(here, Seq) and isinstance(key, int) and key < len(here):
            here = here[key]
        elif n and not isinstance(here, Map) and (isinstance(key, str) or not isinstance(here, Seq)):
            continue  # the short form of an entry, of which this key is the bare one, or of a list of one
        else:
            return (*stands, *keys[n:]), False
        stands.append(key)
    return tuple(stands), True


def _said(document: Document, key: str | int, old: Any, was: Any, now: Any, units: LengthUnit) -> Any:
    """The new value as it is written: what has not changed as it stands, lengths in its way."""
    if isinstance(now, PLACES) and type(now) is type(was):
        return _said_place(document, old, was, now, units)
    if isinstance(now, Entry):
        return _dumped(document, now, units)
    if isinstance(now, tuple):
        return _said_list(document, key, old, cast("tuple[Any, ...]", now), was, units)
    if isinstance(now, float):
        return _said_number(document, key, old, now, units)
    return now


def _said_place(document: Document, old: Any, was: Entry, now: Entry, units: LengthUnit) -> Any:
    if not isinstance(old, Map):
        bare = getattr(type(now), "bare", "")
        short = _dumped(document, now, units)
        return short if isinstance(short, dict) else _said(
            document, bare, old, getattr(was, bare), getattr(now, bare), units
        )  # fmt: skip
    changed = {f for f in type(now).model_fields if getattr(was, f) != getattr(now, f)}
    fresh = _bare(now, units)
    usual = changed - set(fresh)  # what is as usual again is left unsaid
    kept = {k: v for k, v in old.items() if k not in usual and getattr(now, k, None) is not None}
    for field in (f for f in type(now).model_fields if f in changed and f in fresh):
        kept[field] = _said(document, field, old.get(field), getattr(was, field), getattr(now, field), units)
    order = [key for key in type(now).model_fields if key in kept]
    same = [key for key in old if key in kept]
    return {key: kept[key] for key in (same if len(same) == len(order) else order)}


def _bare(entry: Entry, units: LengthUnit) -> Mapping[str, Any]:
    """The entry's values that are not the usual ones, by key."""
    said = entry.model_dump(mode="json", exclude_defaults=True)
    return cast("Mapping[str, Any]", said)


def _said_list(
    document: Document, key: str | int, old: Any, now: tuple[Any, ...], was: Any, units: LengthUnit
) -> list[Any]:
    alike = isinstance(old, Seq) and isinstance(was, tuple) and len(old) == len(now) == len(cast("Any", was))
    if not alike:
        texts = _texts(old, was)
        stands = [next((text for place, text in texts if place == value), None) for value in now]
        return [
            _said(document, key, None, None, value, units) if text is None else text
            for value, text in zip(now, stands, strict=True)
        ]
    return [
        stands if before == value else _said(document, key, stands, before, value, units)
        for stands, before, value in zip(old, cast("Any", was), now, strict=True)
    ]


def _texts(old: Any, was: Any) -> list[tuple[Any, Any]]:
    """Each item that stood in the list, and how."""
    if not isinstance(old, Seq) or not isinstance(was, tuple):
        return []
    items = cast("tuple[Any, ...]", was)
    return list(zip(items, old, strict=True)) if len(items) == len(old) else []


def _said_number(document: Document, key: str | int, old: Any, now: float, units: LengthUnit) -> Any:
    if key == "contact":
        return quantity(now, "area", units)
    if key in BARE_NUMBERS:
        return float(f"{now:.9g}")
    if not isinstance(old, str) and units == "in" and _FRACTION.search(document.text):
        old = "1/2"  # the file reads its tape in fractions
    said = like(old, now, units)
    return said if parse_length(said, "length", bare=units) == now else like(0, now, units)


def _dumped(document: Document, entry: Entry, units: LengthUnit) -> Any:
    """A new entry as it is written in a file of those units."""
    said = entry.model_dump(mode="json", exclude_defaults=True, context={"written_in": units})
    return _fractions(said) if units == "in" and _FRACTION.search(document.text) else said


def _fractions(said: Any) -> Any:
    """Numbers of inches that are whole 64ths as fractions; other values as they are."""
    if isinstance(said, dict):
        return {
            key: value if key in BARE_NUMBERS else _fractions(value)
            for key, value in cast("dict[str, Any]", said).items()
        }
    if isinstance(said, list):
        return [_fractions(value) for value in cast("list[Any]", said)]
    if isinstance(said, float) and (said * 64.0).is_integer() and not said.is_integer():
        return like("1/2", said * 25.4, "in")
    return said
