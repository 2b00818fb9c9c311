"""Another name for one thing, wherever the text has it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from typing import Any

from cagewright.base.problems import ProblemsFound
from cagewright.change.named import names_in, owner, told, unknown
from cagewright.plan.emit import flow
from cagewright.plan.names import references
from cagewright.plan.source import Keys, spot_at
from cagewright.plan.text import Spot, parse
from cagewright.plan.write import Document
from cagewright.workbench.edits.asked import Standing
from cagewright.workbench.edits.names import other_name, other_side
from cagewright.workbench.edits.vocabulary import Rename
from cagewright.workbench.edits.written import check_home, in_text
from cagewright.workbench.told import listed

SECTIONS = {"member": "members", "point": "points", "foot": "feet", "tube": "tubes", "plate": "plates"}


def renamed(stand: Standing, asked: Rename) -> tuple[Document, str]:
    """The text with the new name in place of the old, and the words for it.

    Raises:
        ProblemsFound: the old name is not known, the new one is taken, or one of them stands in another file.
    """
    kind, old, entry = _which(stand, asked)
    new = {old: asked.name, **_other_sides(stand, kind, old, asked.name)}
    text = stand.document.text
    spots = {spot.start: (spot.stop, new[name]) for name in new for spot in _spots(stand, kind, name, entry)}
    for start in sorted(spots, reverse=True):
        stop, name = spots[start]
        text = text[:start] + flow(name) + text[stop:]
    after = parse(text, file=stand.document.source.file)
    if not after.readable:
        raise ProblemsFound(after.problems)
    word = "" if kind == "member" else f"{kind} "
    said = listed([f"{was} to {now}" for was, now in new.items()])
    return replace(stand.document, source=after), f"renamed {word}{said}"


def _other_sides(stand: Standing, kind: str, old: str, new: str) -> dict[str, str]:
    """The mirror's new name where both its names go by the side: left with left, right with right."""
    entries: dict[str, Any] = getattr(stand.plan, SECTIONS[kind])
    twin = None if kind == "tube" else other_name(entries, old)
    made = other_side(new, ())
    if twin is None or twin != other_side(old, ()) or made.endswith("_mirror") or made in names_in(entries):
        return {}
    return {twin: made}


def _which(stand: Standing, asked: Rename) -> tuple[str, str, str]:
    """The kind of thing, its old name, and the entry that makes it.

    Raises:
        ProblemsFound: the edit names none or several, or one that is not known, or the new name is taken.
    """
    given = {kind: getattr(asked, kind) for kind in SECTIONS if getattr(asked, kind) is not None}
    if len(given) != 1:
        found = "it does not say what is renamed" if not given else "it renames more than one thing"
        raise ProblemsFound(told("rename-what", stand.where(), found, f"wanted one of {', '.join(SECTIONS)}"))
    (kind, old), section = next(iter(given.items())), SECTIONS[next(iter(given))]
    entries: dict[str, Any] = getattr(stand.plan, section)
    entry, where = owner(entries, old), stand.where((section,))
    if entry is None:
        raise ProblemsFound([unknown(kind, old, names_in(entries), where)])
    if asked.name != old and asked.name in names_in(entries):
        found = f"the plan's {section} have a '{asked.name}' already"
        raise ProblemsFound(told("name-taken", where, found, "wanted a name of its own"))
    return kind, old, entry


def _spots(stand: Standing, kind: str, old: str, entry: str) -> Iterator[Spot]:
    """Every place of the text that has the name."""
    keys: Keys = (SECTIONS[kind], entry)
    yield _spot(stand, keys, point="key") if entry == old else _spot(stand, (*keys, "mirror"))
    for used, its_kind, name in references(stand.plan):
        if its_kind == kind and name == old:
            yield _spot(stand, used)


def _spot(stand: Standing, keys: Keys, *, point: Any = "value") -> Spot:
    check_home(stand.plan, stand.document, keys)
    stands, there = in_text(stand.document, keys)
    spot = spot_at(stand.document.source, stands, point=point)
    if spot is None or not there:
        found = "the name is used where it cannot be changed by itself"
        raise ProblemsFound(told("cannot-edit", stand.where(keys), found, "wanted the text edited by hand"))
    return spot
