"""Editing a plan file in place: only the value that is edited changes, every other character stays.

Each edit gives a new document, read again; an edit whose text does not read back as the edited values is
refused, so that a value used in several places by ``&name`` and ``*name`` is never changed behind one's back.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from cagewright.base.files import write_atomically
from cagewright.base.problems import Problem, ProblemsFound
from cagewright.base.units import MM_PER_IN, LengthUnit, to_inches
from cagewright.base.units import parse as parse_length
from cagewright.plan.emit import block, entry, flow
from cagewright.plan.files import load
from cagewright.plan.source import Keys, label_of, where_at
from cagewright.plan.text import Map, Seq, Source, Spot, parse

Box = Map | Seq


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """The text of a plan file that can be edited.

    ``newline`` is how its lines end, ``mark`` a byte order mark or nothing.
    """

    source: Source
    newline: str
    mark: str = ""

    @property
    def text(self) -> str:
        """What the file holds, byte order mark left out."""
        return self.source.text


def document(text: str, *, file: str = "plan") -> Document:
    """The text as a document.

    Raises:
        ProblemsFound: the text is not YAML with keys at its top.
    """
    mark = "\ufeff" if text.startswith("\ufeff") else ""
    return _document(parse(text.removeprefix(mark), file=file), mark)


def load_document(path: Path) -> Document:
    """The file as a document.

    Raises:
        ProblemsFound: there is no such file, or it is not YAML with keys at its top.
    """
    with_mark = path.is_file() and path.read_bytes().startswith(b"\xef\xbb\xbf")
    return _document(load(path, file=path.as_posix()), "\ufeff" if with_mark else "")


def save(plan: Document, path: Path) -> None:
    """Writes the document to the file, whole or not at all.

    Raises:
        ProblemsFound: the file cannot be written.
    """
    write_atomically(path, (plan.mark + plan.text).encode("utf-8"))


def set_value(plan: Document, keys: Keys, value: Any, *, after: str | None = None) -> Document:
    """The document with the value at ``keys`` replaced, or added where the last key is not there yet.

    Args:
        plan: the document.
        keys: from the top, e.g. ``("members", "main_hoop", "path", 2)``; a list's length as index adds an
            item; keys before the last that are not there are made.
        value: numbers, text, true or false, lists and mappings of these.
        after: the key of the same mapping that an added one is put behind; the last one otherwise.

    Raises:
        ProblemsFound: the value is one that several places share, or stands inside a single value.
    """
    box, last, value = _holder(plan, keys, value)
    parent = _box_at(plan, keys[: len(box)])
    if _holds(parent, last):
        text = _replaced(plan, parent, keys[: len(box)], last, value)
    else:
        behind = after if after is not None and len(box) == len(keys) - 1 and _holds(parent, after) else None
        text = _added(plan, parent, keys[: len(box)], last, value, behind)
    return _checked(plan, text, (*box, last), _with(plan.source.data, (*box, last), value))


def set_length(plan: Document, keys: Keys, mm: float) -> Document:
    """The document with the length at ``keys`` set to ``mm``, written in the unit that stands there now.

    A bare number stays one, in the file's units; inches stay a fraction where ``mm`` is some 64ths.
    """
    parent = _box_at(plan, keys[:-1])
    old: Any = cast("Any", parent)[keys[-1]] if _holds(parent, keys[-1]) else 0
    return set_value(plan, keys, like(old, mm, plan.source.units))


def remove(plan: Document, keys: Keys) -> Document:
    """The document without the value at ``keys``; a list or mapping left empty goes too.

    Raises:
        ProblemsFound: the value is not there, or is one that several places share.
    """
    *holders, last = keys
    box = tuple(holders)
    if not _holds(_box_at(plan, box), last):
        raise ProblemsFound([_refused(plan, keys, "is not in the file")])
    while box and len(_box_at(plan, box)) == 1:
        *holders, last = box
        box = tuple(holders)
    text = _cut_out(plan, _box_at(plan, box), last)
    return _checked(plan, text, (*box, last), _less(plan.source.data, (*box, last)))


def _document(source: Source, mark: str) -> Document:
    if not source.readable:
        raise ProblemsFound(source.problems)
    return Document(source=source, newline="\r\n" if "\r\n" in source.text else "\n", mark=mark)


def _refused(plan: Document, keys: Keys, why: str) -> Problem:
    return Problem(
        code="cannot-edit",
        where=where_at(plan.source, keys),
        found=f"{label_of(keys)} {why}",
        wanted="wanted a value that stands by itself in this file; edit the text by hand",
    )


def _box_at(plan: Document, keys: Keys) -> Box:
    here: Any = plan.source.data
    for n, key in enumerate(keys):
        if not isinstance(here, Map | Seq) or not _holds(here, key):
            raise ProblemsFound([_refused(plan, keys[: n + 1], "is not in the file")])
        here = cast("Any", here)[key]
    if not isinstance(here, Map | Seq):
        raise ProblemsFound([_refused(plan, keys, "is a single value")])
    return here


def _holds(box: Box, key: str | int) -> bool:
    return key in box.spots if isinstance(box, Map) else isinstance(key, int) and 0 <= key < len(box)


def _holder(plan: Document, keys: Keys, value: Any) -> tuple[Keys, str | int, Any]:
    """The keys of the deepest list or mapping that is there, the key to set in it, and the value for that."""
    depth = 0
    here: Any = plan.source.data
    while depth < len(keys) - 1 and isinstance(here, Map | Seq) and _holds(here, keys[depth]):
        here = cast("Any", here)[keys[depth]]
        depth += 1
    for key in reversed(keys[depth + 1 :]):
        value = {key: value} if isinstance(key, str) else [value]
    return keys[:depth], keys[depth], value


def _spot(box: Box, key: str | int) -> Spot:
    return cast("Any", box.spots)[key]


def _end(box: Box, key: str | int) -> int:
    """Past-the-end character of the value: of its last single value where it stands on lines of its own."""
    value, spot = cast("Any", box)[key], _spot(box, key)
    while isinstance(value, Map | Seq) and not value.flow and value:
        last: Any = next(reversed(value)) if isinstance(value, Map) else len(value) - 1
        value, spot = cast("Any", value)[last], _spot(value, last)
    return spot.stop


def _trimmed(text: str, start: int, stop: int) -> int:
    return start + len(text[start:stop].rstrip())


def _replaced(plan: Document, box: Box, keys: Keys, key: str | int, value: Any) -> str:
    text, spot, old = plan.text, _spot(box, key), cast("Any", box)[key]
    stop = _trimmed(text, spot.start, _end(box, key))
    on_lines = isinstance(old, Map | Seq) and not old.flow
    if (
        on_lines
        and isinstance(value, dict | list | tuple)
        and value
        and not any(_box_at(plan, keys[:n]).flow for n in range(len(keys) + 1))
    ):
        return text[: spot.start] + _lines(plan, block(value, spot.col - 1)) + text[stop:]
    if (on_lines or stop <= spot.start) and isinstance(box, Map):
        colon = text.index(":", box.key_spots[str(key)].stop) + 1
        return f"{text[:colon]} {flow(value)}{text[max(stop, colon) :]}"
    return text[: spot.start] + flow(value) + text[stop:]


def _lines(plan: Document, text: str) -> str:
    return text.replace("\n", plan.newline)


def _added(plan: Document, box: Box, keys: Keys, key: str | int, value: Any, after: str | None) -> str:
    if isinstance(box, Map) != isinstance(key, str) or (isinstance(box, Seq) and key != len(box)):
        raise ProblemsFound([_refused(plan, (*keys, key), "is not in the file")])
    return (_added_flow if box.flow else _added_lines)(plan, box, keys, key, value, after)


def _added_flow(plan: Document, box: Box, keys: Keys, key: str | int, value: Any, after: str | None) -> str:
    said = flow({key: value})[1:-1] if isinstance(key, str) else flow(value)
    if not box:
        at = _spot(_box_at(plan, keys[:-1]), keys[-1]).start + 1 if keys else plan.text.index("{") + 1
        return plan.text[:at] + said + plan.text[at:]
    at = _end(box, _last(box) if after is None else after)
    return f"{plan.text[:at]}, {said}{plan.text[at:]}"


def _last(box: Box) -> Any:
    return next(reversed(box)) if isinstance(box, Map) else len(box) - 1


def _added_lines(plan: Document, box: Box, keys: Keys, key: str | int, value: Any, after: str | None) -> str:
    text, last = plan.text, _last(box) if after is None else after
    value_start = _spot(box, last).start
    end = _line_end(text, max(_trimmed(text, value_start, _end(box, last)), value_start))
    first = box.key_spots[last].start if isinstance(box, Map) else _dash(text, _spot(box, last).start)
    indent = first - _line_start(text, first)
    said = _entry(key, value, indent, top=not keys) if isinstance(key, str) else f"- {flow(value)}"
    gap = plan.newline * 2 if len(box) > 1 and _blank_above(text, first) else plan.newline
    return text[:end] + _lines(plan, f"{gap}{' ' * indent}{said}") + text[end:]


def _entry(key: str, value: Any, indent: int, *, top: bool) -> str:
    if (
        top
        and isinstance(value, dict)
        and any(isinstance(v, dict) for v in cast("dict[str, Any]", value).values())
    ):
        return f"{flow(key)}:\n  {block(value, 2)}"
    return entry(key, value, indent)


def _line_end(text: str, at: int) -> int:
    """The end of the line that ``at`` stands on, its line break left out."""
    ends = [n for n in (text.find("\n", at), text.find("\r", at)) if n >= 0]
    return min(ends, default=len(text))


def _line_start(text: str, at: int) -> int:
    return max(text.rfind("\n", 0, at), text.rfind("\r", 0, at)) + 1


def _dash(text: str, at: int) -> int:
    """Where the dash of the list item that starts at ``at`` stands."""
    return text.rindex("-", 0, at)


def _blank_above(text: str, at: int) -> bool:
    """Whether the entry, with the comment lines above it, is parted from the one before by an empty line."""
    for line in reversed(text[: _line_start(text, at)].splitlines()):
        if not line.lstrip().startswith("#"):
            return not line.strip()
    return False


def _cut_out(plan: Document, box: Box, key: str | int) -> str:
    order: list[Any] = list(box) if isinstance(box, Map) else list(range(len(box)))
    n = order.index(key)
    starts = [box.key_spots[k].start if isinstance(box, Map) else _spot(box, k).start for k in order]
    text, stop = plan.text, _end(box, key)
    if box.flow:
        if n + 1 < len(order):
            return text[: starts[n]] + text[starts[n + 1] :]
        return text[: _end(box, order[n - 1]) if n else starts[n]] + text[stop:]
    start = starts[n] if isinstance(box, Map) else _dash(text, starts[n])
    if text[_line_start(text, start) : start].strip():  # the first entry of a list's item, beside its dash
        return text[:start] + text[starts[n + 1] :]
    return _lines_out(
        text, _line_start(text, start), _line_end(text, max(_trimmed(text, start, stop), start))
    )


def _lines_out(text: str, start: int, end: int) -> str:
    """The text without the lines from ``start`` to the line break at ``end``, or a second empty line."""
    before, after = text[:start], text[end:].removeprefix("\r").removeprefix("\n")
    if before.endswith(("\n\n", "\r\n\r\n")) and (not after.strip() or after.startswith(("\n", "\r\n"))):
        before = before.removesuffix("\n").removesuffix("\r")
    return before + after


def _checked(plan: Document, text: str, keys: Keys, wanted: Any) -> Document:
    """The new text as a document, if it reads back as ``wanted``.

    Raises:
        ProblemsFound: it does not, as where another place shares the value.
    """
    edited = parse(text, file=plan.source.file)
    if not edited.readable or edited.data != wanted:
        raise ProblemsFound([_refused(plan, keys, "cannot be edited by itself")])
    return Document(source=edited, newline=plan.newline, mark=plan.mark)


def _with(old: Any, keys: Keys, value: Any) -> Any:
    """A copy of the values with the one at ``keys`` set to ``value``."""
    new = _copy(old)
    key: Any = keys[0]
    held = _with(old[key], keys[1:], value) if len(keys) > 1 else _bare(value)
    if isinstance(new, list) and key == len(cast("list[Any]", new)):
        new.append(held)
    else:
        new[key] = held
    return new


def _less(old: Any, keys: Keys) -> Any:
    """A copy of the values without the one at ``keys``."""
    new = _copy(old)
    key: Any = keys[0]
    if len(keys) > 1:
        new[key] = _less(old[key], keys[1:])
    else:
        del new[key]
    return new


def _copy(old: Any) -> Any:
    return list(cast("list[Any]", old)) if isinstance(old, list) else dict(old)


def _bare(value: Any) -> Any:
    """The value with tuples as lists, as it reads back."""
    if isinstance(value, dict):
        return {key: _bare(v) for key, v in cast("dict[str, Any]", value).items()}
    return [_bare(v) for v in cast("list[Any]", value)] if isinstance(value, list | tuple) else value


def sayable(mm: float, units: LengthUnit) -> float:
    """The length as a file can say it, mm: at the nearest 0.001 mm; or 64th, else 0.00001, of an inch."""
    if units == "mm":
        return round(mm, 3) + 0.0
    marks = mm / MM_PER_IN * 64.0
    inches = round(marks) / 64.0 if abs(marks - round(marks)) < 1e-6 else round(mm / MM_PER_IN, 5)
    return parse_length(inches, "length", bare="in")


def like(old: Any, mm: float, units: LengthUnit) -> float | str:
    """``mm`` written the way ``old`` is: bare, bare with a fraction of an inch, or with its unit."""
    text = old.strip() if isinstance(old, str) else ""
    for unit, scale in (
        ("mm", 1.0),
        ("cm", 10.0),
        ("in", MM_PER_IN),
        ('"', MM_PER_IN),
        ("ft", 12 * MM_PER_IN),
        ("m", 1e3),
    ):
        if text.endswith(unit):
            gap = "" if unit == '"' or not text[: -len(unit)].endswith(" ") else " "
            return f"{_amount(mm, scale, fraction=unit in {'in', chr(34)})}{gap}{unit}"
    bare = _amount(mm, 1.0 if units == "mm" else MM_PER_IN, fraction="/" in text and units == "in")
    return bare if "/" in bare else float(bare)


def _amount(mm: float, scale: float, *, fraction: bool) -> str:
    mark = to_inches(mm, denominator=64)
    if fraction and abs(mark.remainder) < 1e-6:
        return mark.text.removesuffix('"')
    places = 3 if scale == 1.0 else 6 if scale == MM_PER_IN and abs(mark.remainder) < 1e-6 else 5
    return f"{round(mm / scale, places):.12g}"
