"""The readings file of one fit-up: what was read between which marks, and what of it can be used.

A reading that cannot be used is kept as it was entered, with the reason, and left out of the adjustment.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from pathlib import Path
from typing import Annotated, Any, Literal, Self, cast

from pydantic import AfterValidator, Field, ValidationError, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.units import QuantityError, parse
from cagewright.fitup.adjust import Adjusted, adjust
from cagewright.fitup.choose import as_planned
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import (
    AXES,
    CAR,
    KINDS,
    SIZES,
    Body,
    Kind,
    Network,
    Reading,
    network,
    ties_of,
    up_at,
)
from cagewright.fitup.possible import RefusedReading, possible
from cagewright.plan.emit import flow, scalar
from cagewright.plan.files import load
from cagewright.plan.places import Entry, Text
from cagewright.plan.quantities import Version
from cagewright.plan.shorthand import listed
from cagewright.plan.source import where_at
from cagewright.plan.survey import UNREAD
from cagewright.plan.text import Map, Source, say
from cagewright.plan.text import parse as tree_of
from cagewright.plan.wording import entry_of, problems_of
from cagewright.shape.types import Cage

MOST_CROSSED = 80
"""Triangles are looked for among at most this many marks."""
STRAIGHT = 5.0
"""Three tapes round three marks may break the triangle's rule by this many standard deviations."""


# --- what the file says


def _refuse(code: str, wanted: str, found: str = "", like: tuple[str, Sequence[str]] | None = None) -> Any:
    told = {"wanted": wanted} | ({"found": found} if found else {}) | ({"like": like} if like else {})
    raise PydanticCustomError(cast("Any", code), "{wanted}", told)


def _of_plan(name: str, info: ValidationInfo) -> str:
    known = cast("Sequence[str]", (info.context or {}).get("members", (name,)))
    if name not in known:
        _refuse("unknown-member", "wanted members of the plan", f"names '{name}'", (name, known))
    return name


MemberName = Annotated[Text, AfterValidator(_of_plan)]
"""The name of a member that the plan has."""


class ReadingLine(Entry):
    """One reading: between which marks, along which axis, what the tape says and its standard deviation.

    Lengths in mm, leans in rad; ``says`` is None where it has not been taken yet.
    """

    tape: tuple[Text, Text] | None = None
    level: tuple[Text, Text] | None = None
    lean: tuple[Text, Text] | None = None
    place: tuple[Text] | None = None
    axis: Literal["back", "across", "up"] | None = None
    says: float | None
    size: Annotated[float, Field(gt=0.0)] | None = None
    note: Text = ""

    @field_validator("place", mode="before")
    @classmethod
    def _one_mark(cls, value: Any) -> Any:
        return listed(value)

    @field_validator("says", "size", mode="before")
    @classmethod
    def _quantity(cls, value: Any, info: ValidationInfo) -> float | None:
        if value == UNREAD and info.field_name == "says":
            return None
        try:
            if info.data.get("lean"):
                return parse(value, "angle")
            units = (info.context or {}).get("units", "mm")
            return parse(value, "length", bare=units if info.field_name == "says" else "mm")
        except QuantityError as wrong:
            return _refuse("bad-quantity", str(wrong))

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        kinds = [kind for kind in KINDS if getattr(self, kind) is not None]
        if len(kinds) != 1:
            found = f"is {' and '.join(kinds) or 'none of them'}"
            _refuse("one-of", f"wanted one of {', '.join(KINDS)}", found)
        axes = {"lean": AXES[:2], "place": AXES}.get(kinds[0], (None,))
        if self.axis not in axes:
            wanted = f"one of {', '.join(map(str, axes))}" if axes != (None,) else f"none for a {kinds[0]}"
            _refuse("unknown-word", f"wanted axis: {wanted}", f"has the axis '{self.axis}'")
        return self


class ReadingsFile(Entry):
    """What a readings file says beside its readings.

    Attributes:
        plan: revision mark that it was taken against; empty where not said.
        step: of the build order, or 0.
        units: of bare numbers.
        welded: groups of members, each moving as one piece.
        present: members that are there; all where not said.
        datum: what positions are told from: ``the car``, or the first member of what is held on the bench.
        held: members that stand where the plan has them.
        tacked: whether all that is there was tacked together before it was read.
        note: the builder's.
    """

    version: Annotated[Version, Field(alias="cagewright-readings")] = 1
    plan: Text = ""
    step: int = 0
    units: Literal["mm", "in"] = "mm"
    welded: tuple[tuple[MemberName, ...], ...] = ()
    present: tuple[MemberName, ...] | None = None
    datum: Text = CAR
    held: tuple[MemberName, ...] = ()
    tacked: bool = False
    readings: tuple[ReadingLine, ...] = ()
    note: Text = ""

    @field_validator("welded")
    @classmethod
    def _in_one_group(cls, groups: tuple[tuple[str, ...], ...]) -> tuple[tuple[str, ...], ...]:
        names = [name for group in groups for name in group]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            _refuse("twice", "wanted each member once", f"has '{twice}' twice")
        return groups

    @field_validator("datum")
    @classmethod
    def _is_there(cls, datum: str, info: ValidationInfo) -> str:
        given = info.data
        if datum == CAR or not {"welded", "present"} <= given.keys():
            return datum
        members = (info.context or {}).get("members", ())
        bodies = [b.name for b in _bodies(given["welded"], given["present"], members)]
        if datum not in bodies:
            wanted = f"wanted '{CAR}' or the first member of what is held"
            _refuse("unknown-datum", wanted, f"is '{datum}'", (datum, bodies))
        return datum


def _bodies(
    welded: Iterable[Sequence[str]], present: Sequence[str] | None, members: Sequence[str]
) -> tuple[Body, ...]:
    """Welded groups, then every other member that is there by itself."""
    groups = [Body(name=group[0], members=tuple(group)) for group in welded if group]
    taken = {name for body in groups for name in body.members}
    there = dict.fromkeys(members if present is None else present)
    return (*groups, *(Body(name=n, members=(n,)) for n in there if n not in taken))


# --- what it comes to


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """One reading as it was entered.

    Attributes:
        said: the words of the file.
        where: in the file.
        reading: as used, or None.
        problem: why it is not used, or None.
    """

    said: str
    where: Where
    reading: Reading | None
    problem: Problem | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FitUp:
    """One fit-up as read.

    Attributes:
        head: what the file says beside its readings.
        where: the list of readings in its file.
        net: bodies and marks that it is about.
        entered: every reading, used or not.
    """

    head: ReadingsFile
    where: Where
    net: Network
    entered: tuple[Entered, ...]

    @property
    def used(self) -> tuple[Reading, ...]:
        """The readings that the adjustment takes."""
        return tuple(e.reading for e in self.entered if e.reading)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Why readings were not used."""
        return tuple(e.problem for e in self.entered if e.problem)


def read_fitup(path: Path, cage: Cage, marks: Sequence[Mark]) -> FitUp:
    """The fit-up in the file.

    Args:
        path: of the readings file.
        cage: that is fitted.
        marks: of the cage and the car.

    Raises:
        ProblemsFound: the file is broken, or names bodies or a datum that there are not.
    """
    return _fitup(load(path, file=path.as_posix()), cage, marks)


def read_fitup_text(text: str, cage: Cage, marks: Sequence[Mark], *, file: str = "readings") -> FitUp:
    """The fit-up in the text; as ``read_fitup``.

    Raises:
        ProblemsFound: the text is broken, or names bodies or a datum that there are not.
    """
    return _fitup(tree_of(text, file=file), cage, marks)


def _fitup(source: Source, cage: Cage, marks: Sequence[Mark]) -> FitUp:
    problems: list[Problem] = []
    given = source.data.get("readings")
    if source.readable and "cagewright-readings" not in source.data:
        told = {"found": "the file has no 'cagewright-readings'", "wanted": "wanted 'cagewright-readings: 1'"}
        problems.append(Problem(code="missing-key", where=where_at(source, ()), **told))
    if source.readable and not isinstance(given, list):
        told = {"found": "there is no list of readings", "wanted": "wanted '- tape: [a, b]' lines under it"}
        problems.append(Problem(code="wrong-type", where=where_at(source, ("readings",)), **told))
    data = {**source.data, "readings": ()}
    names = [m.name for m in cage.members]
    head = entry_of(source, ReadingsFile, data=data, problems=problems, members=names)
    return fitup_of(head, cast("list[Any]", given), cage, marks, source=source)


NO_FILE = Source(file="the record", text="", data=Map(flow=False), problems=(), readable=True, values=0)
"""Where readings that stand in no file are said to stand."""


def fitup_of(
    head: ReadingsFile, lines: Sequence[Any], cage: Cage, marks: Sequence[Mark], *, source: Source = NO_FILE
) -> FitUp:
    """The fit-up of those readings.

    Args:
        head: what is there, welded and held.
        lines: the readings as entered, each as ``{tape: [a, b], says: ...}``.
        cage: that is fitted.
        marks: of the cage and the car.
        source: the file that the readings stand in.
    """
    bodies = _bodies(head.welded, head.present, [m.name for m in cage.members])
    ties = ties_of(cage) if head.tacked else ()
    up = up_at(cage, head.datum)
    net = network(marks, bodies, datum=head.datum, held=head.held, up=up, ties=ties)
    entered = tuple(_entered(line, ("readings", i), head, net, marks, source) for i, line in enumerate(lines))
    return FitUp(head=head, where=where_at(source, ("readings",)), net=net, entered=_crossed(entered, net))


def adjusted_readings(fit: FitUp) -> Adjusted:
    """Where the readings have every body.

    Raises:
        ProblemsFound: everything is held, or nothing was read that can be used.
    """
    if not fit.net.bodies:
        code, found, wanted = "nothing-moves", "every tube is held", "wanted at least one that can move"
    elif fit.used:
        return adjust(fit.net, fit.used)
    else:
        blank = len(fit.entered) - len(fit.problems)
        code, wanted = "nothing-read", "wanted 'says:' with what the tape reads, for one reading at least"
        found = f"{blank} of {len(fit.entered)} readings are not read yet, and none can be used"
    raise ProblemsFound([Problem(code=code, where=fit.where, found=found, wanted=wanted), *fit.problems])


def _entered(
    given: Any, keys: tuple[str, int], head: ReadingsFile, net: Network, marks: Sequence[Mark], source: Source
) -> Entered:
    said, where = _said(given), where_at(source, keys)
    try:
        line = ReadingLine.model_validate(given, context={"units": head.units})
        return Entered(said=said, where=where, reading=_reading(line, said, net, marks), problem=None)
    except ValidationError as wrong:
        problem = problems_of(wrong, source, ReadingsFile, under=keys)[0]
        found = f"'{said}': {problem.found.strip()}"
        problem = replace(problem, found=found)
    except RefusedReading as no:
        near = nearest_word(*no.like) if no.like else None
        problem = Problem(code=no.code, where=where, found=f"'{said}': {no}", wanted=no.wanted, nearest=near)
    return Entered(said=said, where=where, reading=None, problem=problem)


def _said(given: Any) -> str:
    if not isinstance(given, Mapping):
        return say(given)
    items = cast("Mapping[str, Any]", given).items()
    return ", ".join(f"{k}: {' to '.join(map(str, v)) if isinstance(v, list) else v}" for k, v in items)


def _reading(line: ReadingLine, said: str, net: Network, marks: Sequence[Mark]) -> Reading | None:
    """The reading between marks of the network, or None where its blank is not filled in yet.

    Raises:
        RefusedReading: it cannot be used.
    """
    kind: Kind = next(k for k in KINDS if getattr(line, k) is not None)
    a, b = (*cast("tuple[str, ...]", getattr(line, kind)), "")[:2]
    for name in (a, b):
        if name and name not in net.index:
            there = name in {m.name for m in marks}
            found = f"mark '{name}' is on a tube that is not there" if there else f"there is no mark '{name}'"
            wanted = "wanted marks of what is there (see: marks)"
            raise RefusedReading("unknown-mark", found, wanted, (name, list(net.index)))
    if a == b:
        raise RefusedReading("same-mark", f"runs from '{a}' to itself", "wanted two marks")
    if line.says is None:
        return None
    axis = 2 if kind == "level" else AXES.index(line.axis) if line.axis else -1
    name = reading_name(kind, a, b, line.axis or "")
    size = line.size or SIZES[kind]
    reading = Reading(name=name, kind=kind, a=a, b=b, axis=axis, seen=line.says, size=size)
    possible(reading, said, net)
    return reading


def reading_name(kind: Kind, a: str, b: str, axis: str) -> str:
    """How a reading is spoken of: ``main_hoop.start to front_left``, ``lean of a to b, across``."""
    ends = " to ".join(n for n in (a, b) if n)
    return ends if kind == "tape" else f"{kind} of {ends}{f', {axis}' if axis else ''}"


# --- the text of a file


def readings_text(head: ReadingsFile, lines: Iterable[tuple[Mapping[str, Any], str]]) -> str:
    """The text of a readings file, which reads back as ``head`` and the lines.

    Args:
        head: what the readings are about.
        lines: the readings, each as ``{tape: [a, b], says: ...}``, with a remark that may be empty.
    """
    data = head.model_dump(by_alias=True, exclude_none=True, exclude={"readings"}, exclude_unset=True)
    data = {"cagewright-readings": 1} | {key: value for key, value in data.items() if value != ""}
    rows = [f"  - {flow(line)}{f'   # {remark}' if remark else ''}" for line, remark in lines]
    said = [f"{scalar(key)}: {flow(value)}" for key, value in data.items()]
    return "\n".join([*said, *(["readings:", *rows] if rows else ["readings: []"])]) + "\n"


def line_of(kind: Kind, ends: Sequence[str], axis: str, says: str) -> dict[str, Any]:
    """A reading as a line of the file."""
    given = {kind: [n for n in ends if n]} | ({"axis": axis} if kind in {"lean", "place"} else {})
    return given | {"says": says}


# --- triangles


def _crossed(entered: tuple[Entered, ...], net: Network) -> tuple[Entered, ...]:
    """The readings with a tape that breaks a triangle named: the one that breaks most, then furthest off."""
    tapes = {
        frozenset((e.reading.a, e.reading.b)): e for e in entered if e.reading and e.reading.kind == "tape"
    }
    broken: list[Entered] = []
    names = sorted({n for pair in tapes for n in pair})
    for three in combinations(names, 3) if len(names) <= MOST_CROSSED else ():
        sides = [tapes.get(frozenset(pair)) for pair in combinations(three, 2)]
        if all(sides):
            broken += _breaks(cast("list[Entered]", sides))
    if not broken:
        return entered
    worst = max(broken, key=lambda e: (sum(e is b for b in broken), _off(e, net)))
    found = f"'{worst.said}': does not close a triangle with the tapes beside it"
    wanted = "wanted a distance no longer than the way round by the other two"
    problem = Problem(code="impossible", where=worst.where, found=found, wanted=wanted)
    out = Entered(said=worst.said, where=worst.where, reading=None, problem=problem)
    return tuple(out if e is worst else e for e in entered)


def _off(entered: Entered, net: Network) -> float:
    reading = cast("Reading", entered.reading)
    return abs(reading.seen - as_planned(net, reading))


def _breaks(sides: list[Entered]) -> list[Entered]:
    read = [cast("Reading", e.reading) for e in sides]
    longest = max(range(3), key=lambda k: read[k].seen)
    rest = sum(r.seen for k, r in enumerate(read) if k != longest)
    slack = STRAIGHT * sum(r.size**2 for r in read) ** 0.5
    return sides if read[longest].seen > rest + slack else []
