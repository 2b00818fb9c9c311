"""What each key of a row may hold, read into the nouns; a wrong one raises ``Wrong``."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from typing import Any, cast, get_args

from cagewright.base.problems import nearest_word
from cagewright.base.units import Kind, QuantityError, parse
from cagewright.check.clauses import CLAUSES
from cagewright.check.rules import (
    CAGE_ROLES,
    ROLES,
    Allowance,
    Applies,
    Bound,
    BoundKind,
    EndWord,
    FixingWord,
    LineWord,
    MakeWord,
    Near,
    Rider,
    SideWord,
    Size,
    SteelWord,
    Step,
    Structure,
    WeightWord,
)  # fmt: skip
from cagewright.check.said import Sort
from cagewright.plan.types import Role

KIND: dict[Sort, Kind] = {
    "length": "length", "fine": "length", "area": "area", "angle": "angle", "stress": "stress",
    "mass": "mass", "count": "number", "ratio": "number", "ods": "number", "section": "area",
    "inertia": "number",
    "percent": "number",
}  # fmt: skip
"""Which quantity a limit of each sort is written as."""

_SIZE = re.compile(r"^\s*(?P<od>[^x×]+?)\s*[x×]\s*(?P<wall>[^x×]+?)\s*(?P<unit>mm|in)\s*$")


class Wrong(ValueError):
    """A value that a key cannot hold: what was wanted, and the nearest known word where there is one."""

    def __init__(self, wanted: str, nearest: str | None = None) -> None:
        super().__init__(wanted)
        self.wanted = wanted
        self.nearest = nearest


def text(raw: Any) -> str:
    """A text of one character or more.

    Raises:
        Wrong: it is none.
    """
    if not isinstance(raw, str) or not raw.strip():
        raise Wrong("wanted a text in quotes")
    return raw.strip()


def note(raw: Any) -> str:
    """A text that may be empty.

    Raises:
        Wrong: it is no text.
    """
    if not isinstance(raw, str):
        raise Wrong("wanted a text in quotes")
    return raw.strip()


def word(raw: Any, known: Iterable[str]) -> str:
    """One of the known words.

    Raises:
        Wrong: it is none of them.
    """
    words = tuple(known)
    said = text(raw)
    if said not in words:
        raise Wrong(f"wanted one of: {', '.join(words)}", nearest_word(said, words))
    return said


def _word_of(literal: object) -> Callable[[Any], str]:
    return lambda raw: word(raw, get_args(literal))


def listed(raw: Any) -> list[Any]:
    """A list of one item or more.

    Raises:
        Wrong: it is no such list.
    """
    if not isinstance(raw, list) or not raw:
        raise Wrong("wanted a list in square brackets, with one item or more")
    return cast("list[Any]", raw)


def table(raw: Any, known: Iterable[str], needed: Iterable[str] = ()) -> dict[str, Any]:
    """A table in braces that holds only known keys, and every needed one.

    Raises:
        Wrong: it is no such table.
    """
    keys = tuple(known)
    if not isinstance(raw, dict):
        raise Wrong(f"wanted a table in braces with: {', '.join(keys)}")
    found = cast("dict[str, Any]", raw)
    for key in found:
        if key not in keys:
            raise Wrong(f"'{key}' is not known here; wanted {', '.join(keys)}", nearest_word(key, keys))
    for key in needed:
        if key not in found:
            raise Wrong(f"wanted '{key}' too")
    return found


def quantity(raw: Any, kind: Kind) -> float:
    """A quantity with its unit, in the inside unit; plain numbers only where the kind has no unit.

    Raises:
        Wrong: it is no such quantity.
    """
    if isinstance(raw, int | float) and not isinstance(raw, bool) and kind != "number":
        raise Wrong(f"a bare number has no unit; wanted text such as {EXAMPLE[kind]}")
    try:
        return parse(raw, kind)
    except QuantityError as wrong:
        raise Wrong(str(wrong)) from None


EXAMPLE: dict[Kind, str] = {
    "length": "'3 mm' or '1/8 in'", "area": "'120 cm2' or '9 in2'", "angle": "'30 deg'",
    "stress": "'350 MPa'", "mass": "'1080 kg' or '2400 lb'", "force": "'30 kN'", "energy": "'6 kJ'",
    "number": "3",
}  # fmt: skip
"""How a limit of each kind is written in a book."""


def bound(kind: BoundKind, raw: Any, sort: Sort) -> Bound:
    """One side of a limit, keeping the text as the book writes it."""
    value = quantity(raw, KIND[sort])
    return Bound(kind=kind, value=value, text=raw if isinstance(raw, str) else f"{raw:g}")


def roles(raw: Any) -> tuple[Role, ...]:
    """Roles by name, or 'cage' for every role but seat mounts."""
    if raw == "cage":
        return CAGE_ROLES
    return tuple(cast(Role, word(item, ROLES)) for item in listed(raw))


def size(raw: Any) -> Size:
    """A tube size such as '45 x 2.5 mm', or a table with its steel or make."""
    if isinstance(raw, str):
        return _plain_size(raw)
    found = table(raw, ("size", "steel", "make", "text"), ("size",))
    plain = _plain_size(found["size"])
    steel = cast(SteelWord, word(found.get("steel", "any"), get_args(SteelWord)))
    make = cast(MakeWord, word(found.get("make", "any"), get_args(MakeWord)))
    said = text(found["text"]) if "text" in found else plain.text
    words = " ".join([said, *(w for w in (steel, make) if w != "any")])
    return Size(od=plain.od, wall=plain.wall, text=words, steel=steel, make=make)


def _plain_size(raw: Any) -> Size:
    found = _SIZE.match(text(raw))
    if found is None:
        raise Wrong("wanted a tube size such as '45 x 2.5 mm' or '1 3/4 x 0.095 in'")
    od, wall = (quantity(f"{found[side]} {found['unit']}", "length") for side in ("od", "wall"))
    if not 0.0 < wall <= od / 2.0:
        raise Wrong("wanted a wall more than 0 and at most half the diameter")
    return Size(od=od, wall=wall, text=text(raw))


def sizes(raw: Any) -> tuple[Size, ...]:
    """A list of tube sizes, any of which is enough."""
    return tuple(size(item) for item in listed(raw))


def steps(raw: Any) -> tuple[Step, ...]:
    """A table by weight, lightest car first; only its last line may leave ``up_to`` out.

    Raises:
        Wrong: it is no such table.
    """
    lines = tuple(_step(item) for item in listed(raw))
    tops = [line.up_to for line in lines]
    known = [top for top in tops if top is not None]
    if None in tops[:-1] or known != sorted(set(known)):
        raise Wrong("wanted lines with a rising 'up_to'; only the last may leave it out")
    return lines


def _step(raw: Any) -> Step:
    found = table(raw, ("up_to", "sizes"), ("sizes",))
    if "up_to" not in found:
        return Step(up_to=None, text="heavier cars", sizes=sizes(found["sizes"]))
    return Step(
        up_to=quantity(found["up_to"], "mass"), text=f"up to {found['up_to']}", sizes=sizes(found["sizes"])
    )


def rider(raw: Any) -> Rider:
    """How much larger a tube must be to have the thinner wall."""
    found = table(raw, ("more_od", "wall"), ("more_od", "wall"))
    return Rider(
        more_od=quantity(found["more_od"], "length"),
        wall=quantity(found["wall"], "length"),
        text=f"wall {found['wall']} where the OD is at least {found['more_od']} over the least OD",
    )


def near(raw: Any) -> Near:
    """'foot', or the joint of a member of some roles on others.

    Raises:
        Wrong: it is neither.
    """
    if raw == "foot":
        return Near(feet=True, roles=(), on=())
    if isinstance(raw, str):
        raise Wrong("wanted 'foot' or {joint_of = [...], on = [...]}", nearest_word(raw, ("foot",)))
    found = table(raw, ("joint_of", "on"), ("joint_of", "on"))
    return Near(feet=False, roles=roles(found["joint_of"]), on=roles(found["on"]))


def codes(raw: Any) -> dict[str, tuple[Size, ...]]:
    """Least sizes by member code.

    Raises:
        Wrong: it is no such table.
    """
    if not isinstance(raw, dict) or not raw:
        raise Wrong("wanted a table of code = [sizes]")
    return {code: sizes(item) for code, item in cast("dict[str, Any]", raw).items()}


def structures(raw: Any) -> tuple[Structure, ...]:
    """Base structures: each a table of role = how many."""
    return tuple(_structure(item) for item in listed(raw))


def _structure(raw: Any) -> Structure:
    found = table(raw, ROLES)
    if not found:
        raise Wrong("wanted at least one role = how many")
    return {cast(Role, role): whole(number) for role, number in found.items()}


def whole(raw: Any) -> int:
    """A whole number more than 0.

    Raises:
        Wrong: it is none.
    """
    if not isinstance(raw, int) or isinstance(raw, bool) or raw < 1:
        raise Wrong("wanted a whole number more than 0")
    return raw


def texts(raw: Any) -> tuple[str, ...]:
    """A list of texts."""
    return tuple(text(item) for item in listed(raw))


def applies(raw: Any) -> Applies:
    """To which cars."""
    found = table(raw, ("body", "weight_from", "weight_to"))
    return Applies(
        body=texts(found["body"]) if "body" in found else (),
        weight_from=quantity(found["weight_from"], "mass") if "weight_from" in found else None,
        weight_to=quantity(found["weight_to"], "mass") if "weight_to" in found else None,
    )


def allowance(raw: Any, sort: Sort) -> Allowance:
    """Rounding allowed: '0.01 %' of the limit, or an amount."""
    if isinstance(raw, str) and raw.strip().endswith("%"):
        return Allowance(share=quantity(raw.strip().removesuffix("%").strip(), "number") / 100.0)
    return Allowance(amount=quantity(raw, KIND[sort]))


TERMS: dict[str, Callable[[Any], Any]] = {
    "members": roles,
    "joined_to": roles,
    "feet_of": roles,
    "joints_of": roles,
    "joints_on": roles,
    "sizes": sizes,
    "table": steps,
    "rider": rider,
    "weight": _word_of(WeightWord),
    "codes": codes,
    "structures": structures,
    "steels": texts,
    "grades": texts,
    "fixing": _word_of(FixingWord),
    "end": _word_of(EndWord),
    "near": near,
    "side": _word_of(SideWord),
    "line": _word_of(LineWord),
    "above": roles,
    "opening": text,
    "function": lambda raw: word(raw, CLAUSES),
}
"""How each term of a row is read."""
