"""The text of a plan or shop file as a tree of values, each with its place in the text.

Built from the event stream of the YAML parser without recursion, so that no file can exhaust the stack, and
with limits on size, depth and number of values, so that no file can exhaust the machine.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, NamedTuple, cast

import yaml
from yaml import events

from cagewright.base.problems import Problem, Where, nearest_word, printable
from cagewright.plan.scalars import resolve
from cagewright.plan.syntax import syntax_problem

MOST_BYTES = 1_000_000
"""Largest file read, bytes."""
MOST_VALUES = 100_000
"""Most values in one file, each use of an anchor counted again."""
MOST_BROKEN = 200
"""Problems of broken YAML after which reading stops."""
DEEPEST = 40
"""Most lists and mappings one inside the other."""
_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_UNPRINTABLE = re.compile("[^\t\n\r\x20-\x7e\x85\xa0-\ud7ff\ue000-\ufefe\uff00-\ufffd\U00010000-\U0010ffff]")


class Spot(NamedTuple):
    """Where a key or value stands: line and column from 1, first and past-the-end character of the text."""

    line: int
    col: int
    start: int
    stop: int


class Map(dict[str, Any]):
    """A mapping as read, with the spots of its keys and values; ``flow`` where written in braces."""

    __slots__ = ("flow", "key_spots", "spots")

    def __init__(self, *, flow: bool) -> None:
        super().__init__()
        self.flow = flow
        self.key_spots: dict[str, Spot] = {}
        self.spots: dict[str, Spot] = {}


class Seq(list[Any]):
    """A list as read, with the spots of its items; ``flow`` where written in brackets."""

    __slots__ = ("flow", "spots")

    def __init__(self, *, flow: bool) -> None:
        super().__init__()
        self.flow = flow
        self.spots: list[Spot] = []


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Source:
    """One file as read.

    ``data`` is empty where it could not be read, ``readable`` False where nothing could be; ``values`` is
    how many values it holds.
    """

    file: str
    text: str
    data: Map
    problems: tuple[Problem, ...]
    readable: bool
    values: int

    @property
    def units(self) -> Literal["mm", "in"]:
        """Of a length without one."""
        return "in" if self.data.get("units") == "in" else "mm"


def read_bytes(path: Path, *, file: str) -> bytes | Problem:
    """The bytes of a file, or the problem that keeps it from being read."""
    where = Where(file=file)
    try:
        if not path.is_file():
            found = f"there is no file {printable(file)}"
            return Problem(code="no-file", where=where, found=found, wanted="wanted a file")
        with path.open("rb") as stream:
            raw = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as wrong:
        reason = getattr(wrong, "strerror", None) or str(wrong)
        return Problem(
            code="no-file",
            where=where,
            found=f"{printable(file)} cannot be read ({reason})",
            wanted="wanted a readable file",
        )
    return raw if len(raw) <= MOST_BYTES else _too_big(file)


def decoded(raw: bytes, *, file: str) -> str | Problem:
    """The text in ``raw``, or where it is not UTF-8."""
    if len(raw) > MOST_BYTES:
        return _too_big(file)
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        before = raw[: wrong.start]
        line = before.count(b"\n") + 1
        where = Where(file=file, line=line, col=wrong.start - (before.rfind(b"\n") + 1) + 1)
        return Problem(
            code="not-text",
            where=where,
            found=f"the byte 0x{raw[wrong.start]:02x} is not text",
            wanted="wanted a plain text file saved as UTF-8",
        )


def parse(text: str, *, file: str, most: int = MOST_VALUES) -> Source:
    """The text as a tree of at most ``most`` values, with everything that is wrong with it as YAML."""
    text = text.removeprefix("\ufeff")
    if len(text) > MOST_BYTES:
        return failed([_too_big(file)], file=file)
    odd = _UNPRINTABLE.search(text)
    if odd is not None:
        return failed([_control_character(text, odd.start(), file)], file=file, text=text)
    builder = _Builder(file, most)
    try:
        builder.run(cast("Iterator[events.Event]", yaml.parse(text, Loader=_LOADER)))
    except _StopReading as stop:
        builder.problems.append(stop.problem)
    except yaml.YAMLError as wrong:
        builder.problems.append(syntax_problem(wrong, text=text, file=file))
    if builder.stopped or not isinstance(builder.root, Map):
        return failed(builder.problems, file=file, text=text)
    return Source(
        file=file,
        text=text,
        data=builder.root,
        problems=tuple(builder.problems),
        readable=True,
        values=builder.count,
    )


def failed(problems: Iterable[Problem], *, file: str, text: str = "") -> Source:
    """A source of which nothing could be read."""
    data = Map(flow=False)
    return Source(file=file, text=text, data=data, problems=tuple(problems), readable=False, values=0)


def _too_big(file: str) -> Problem:
    return Problem(
        code="too-big",
        where=Where(file=file),
        found=f"the file holds more than {MOST_BYTES // 1000} kB",
        wanted="wanted a plan or shop file; name a scan under shell: scan: file:",
    )


def _control_character(text: str, at: int, file: str) -> Problem:
    line = text.count("\n", 0, at) + 1
    return Problem(
        code="not-text",
        where=Where(file=file, line=line, col=at - text.rfind("\n", 0, at)),
        found=f"the control character U+{ord(text[at]):04X}",
        wanted="wanted a plain text file",
    )


class _StopReading(Exception):
    def __init__(self, problem: Problem) -> None:
        super().__init__(str(problem))
        self.problem = problem


class _Frame:
    """A list or mapping that is being read."""

    __slots__ = ("anchor", "before", "box", "key", "spot")

    def __init__(self, box: Map | Seq, spot: Spot, anchor: str | None, before: int) -> None:
        self.box = box
        self.spot = spot
        self.anchor = anchor
        self.before = before
        self.key: str | None = None


class _Builder:
    """Takes parser events one by one and builds the tree."""

    def __init__(self, file: str, most: int) -> None:
        self.file = file
        self.most = most
        self.root: Any = None
        self.problems: list[Problem] = []
        self.stopped = True
        self._stack: list[_Frame] = []
        self._anchors: dict[str, tuple[Any, int]] = {}
        self._open: set[str] = set()
        self.count = 0
        self._documents = 0
        self._take: dict[type, Any] = {
            events.ScalarEvent: self._scalar,
            events.MappingStartEvent: self._start_box,
            events.SequenceStartEvent: self._start_box,
            events.MappingEndEvent: self._end_box,
            events.SequenceEndEvent: self._end_box,
            events.AliasEvent: self._alias,
            events.DocumentStartEvent: self._document,
        }

    def run(self, stream: Iterator[events.Event]) -> None:
        take = self._take
        for event in stream:
            handler = take.get(type(event))
            if handler is not None:
                handler(event)
        self.stopped = False
        if not isinstance(self.root, Map):
            self._problem(
                "not-a-mapping", Spot(1, 1, 0, 0), "the file has no keys", "wanted 'key: value' lines"
            )

    def _document(self, event: events.DocumentStartEvent) -> None:
        self._documents += 1
        if self._documents > 1:
            self._stop(
                "second-document", _spot(event), "a second document after '---'", "wanted one document a file"
            )

    def _scalar(self, event: events.ScalarEvent) -> None:
        spot = _spot(event)
        frame = self._stack[-1] if self._stack else None
        if frame is not None and frame.key is None and isinstance(frame.box, Map):
            self._key(frame, frame.box, event.value, spot)
            return
        if event.tag is not None:
            self._tag(event.tag, spot)
        value = event.value if event.style else resolve(event.value)
        if value is None:
            self._empty(frame, spot)
        self._grow(1, spot)
        if event.anchor is not None:
            self._anchors[event.anchor] = (value, 1)
        self._put(value, spot)

    def _key(self, frame: _Frame, box: Map, key: str, spot: Spot) -> None:
        self._grow(1, spot)
        first = box.key_spots.get(key)
        if first is not None:
            found = f"the key {say(key)} stands here again, first on line {first.line}"
            self._problem("duplicate-key", spot, found, "wanted each key once")
        frame.key = key
        box.key_spots[key] = spot

    def _start_box(self, event: events.MappingStartEvent | events.SequenceStartEvent) -> None:
        spot = _spot(event)
        self._no_key(spot, "a list or mapping")
        if event.tag is not None:
            self._tag(event.tag, spot)
        if len(self._stack) >= DEEPEST:
            self._stop(
                "too-deep", spot, f"more than {DEEPEST} levels one inside the other", "wanted fewer levels"
            )
        self._grow(1, spot)
        flow = bool(event.flow_style)
        box = Map(flow=flow) if isinstance(event, events.MappingStartEvent) else Seq(flow=flow)
        if event.anchor is not None:
            self._open.add(event.anchor)
        self._stack.append(_Frame(box, spot, event.anchor, self.count))

    def _end_box(self, event: events.MappingEndEvent | events.SequenceEndEvent) -> None:
        frame = self._stack.pop()
        if frame.anchor is not None:
            self._open.discard(frame.anchor)
            self._anchors[frame.anchor] = (frame.box, self.count - frame.before + 1)
        self._put(frame.box, frame.spot._replace(stop=event.end_mark.index))  # pyrefly: ignore[missing-attribute]

    def _alias(self, event: events.AliasEvent) -> None:
        spot = _spot(event)
        self._no_key(spot, "an alias")
        name = cast("str", event.anchor)
        if name in self._open:
            self._stop("alias", spot, f"*{name} stands inside itself", "wanted a value that ends")
        if name not in self._anchors:
            found, wanted = f"*{name} names no value above", f"wanted &{name} at an earlier value"
            self._stop("alias", spot, found, wanted, nearest_word(name, self._anchors))
        value, size = self._anchors[name]
        self._grow(size, spot)
        self._put(value, spot)

    def _put(self, value: Any, spot: Spot) -> None:
        if not self._stack:
            self.root = value
            return
        frame = self._stack[-1]
        if isinstance(frame.box, Seq):
            frame.box.append(value)
            frame.box.spots.append(spot)
        elif frame.key is not None:
            frame.box[frame.key] = value
            frame.box.spots[frame.key] = spot
            frame.key = None

    def _no_key(self, spot: Spot, what: str) -> None:
        frame = self._stack[-1] if self._stack else None
        if frame is not None and frame.key is None and isinstance(frame.box, Map):
            self._stop(
                "bad-key", spot, f"{what} stands where a key is wanted", "wanted a word before the ':'"
            )

    def _grow(self, by: int, spot: Spot) -> None:
        self.count += by
        if self.count > self.most:
            self._stop("too-big", spot, f"more than {MOST_VALUES} values", "wanted a smaller file")

    def _empty(self, frame: _Frame | None, spot: Spot) -> None:
        if frame is None:
            return
        what = "an item of the list" if frame.key is None else say(frame.key)
        at = frame.box.key_spots[frame.key] if isinstance(frame.box, Map) and frame.key is not None else spot
        self._problem("empty", at, f"{what} has no value", "wanted a value, or the key left out")

    def _tag(self, tag: str, spot: Spot) -> None:
        self._problem("tag", spot, f"the tag {say(tag)}", "wanted plain values without tags")

    def _problem(self, code: str, spot: Spot, found: str, wanted: str) -> None:
        self.problems.append(Problem(code=code, where=self._where(spot), found=found, wanted=wanted))
        if len(self.problems) >= MOST_BROKEN:
            self._stop("more-problems", spot, "reading stops here", "wanted the problems above mended first")

    def _stop(self, code: str, spot: Spot, found: str, wanted: str, nearest: str | None = None) -> None:
        where = self._where(spot)
        raise _StopReading(Problem(code=code, where=where, found=found, wanted=wanted, nearest=nearest))

    def _where(self, spot: Spot) -> Where:
        return Where(file=self.file, line=spot.line, col=spot.col)


def _spot(event: events.Event) -> Spot:
    mark = event.start_mark
    return Spot(mark.line + 1, mark.column + 1, mark.index, event.end_mark.index)  # pyrefly: ignore[missing-attribute]


def say(value: object) -> str:
    """A value as quoted in a problem: one short line, nothing unprintable."""
    if isinstance(value, dict):
        return "a mapping of keys"
    if isinstance(value, list | tuple):
        return f"a list of {len(cast('list[object]', value))}"
    if value is None:
        return "nothing"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.10g}"
    return f"'{shown(str(value))}'"


def shown(text: str) -> str:
    """The text as shown in a problem: at most 60 characters, each printable."""
    return printable(text if len(text) <= 60 else text[:57] + "...")
