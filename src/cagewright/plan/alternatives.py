"""The alternatives file: named changes to a plan, and the pushes by which they are compared."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import BeforeValidator, Field, PrivateAttr, ValidationError, model_validator
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import PydanticCustomError

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.plan.files import load
from cagewright.plan.load_types import GroundEntry, WeldEntry
from cagewright.plan.places import MEASURES, Entry, Name, Place, Text, name_schema, triple_schema
from cagewright.plan.quantities import Area, Direction, Length, Part, Place3, Positive, Version, YesNo
from cagewright.plan.report import near
from cagewright.plan.shorthand import Short, keyed
from cagewright.plan.source import Keys, Sources, where_in
from cagewright.plan.text import Source, parse, say
from cagewright.plan.types import (
    CutOn,
    FootEntry,
    GussetEntry,
    MemberEntry,
    Names,
    PlateEntry,
    PointEntry,
    Seat,
    TubeEntry,
)
from cagewright.plan.wording import problems_of


def _numbered(value: Any) -> Any:
    """A place's number from 0, -1 for the last, from ``start``, ``end`` or a number from 1.

    Raises:
        PydanticCustomError: it is neither.
    """
    if value in ("start", "end"):
        return {"start": 0, "end": -1}[value]
    if isinstance(value, bool) or not isinstance(value, int) or value < 1:
        raise PydanticCustomError(
            "no-such-place", "{wanted}", {"wanted": "wanted start, end, or the place's number from 1"}
        )
    return value - 1


PlaceNumber = Annotated[int, BeforeValidator(_numbered)]
"""Which place of a path: counted from 0 in the model, -1 for the last."""


def _in_list(value: Any) -> Any:
    return value if isinstance(value, list | tuple) else [value]


def _number_schema() -> JsonSchemaValue:
    return {"anyOf": [{"enum": ["start", "end"]}, {"type": "integer", "minimum": 1}]}


class RemoveChange(Entry):
    """Members, plates or gussets left out.

    Attributes:
        names: of what goes; in the file also a bare name or list of names.
        dependents: what rests on them goes too.
        one_side: only these tubes go, not their mirrors.
    """

    names: Names
    dependents: YesNo = False
    one_side: YesNo = False


class AddChange(Entry):
    """Entries put into the plan, written as in a plan; a member is cut on the ones before it.

    Attributes:
        members: new ones, put last unless ``before`` says otherwise.
        before: an earlier member that the new ones are put before.
        feet: new ones.
        plates: new ones.
        gussets: new ones.
        points: new ones.
        tubes: new ones.
    """

    members: dict[Name, MemberEntry] = Field(default_factory=dict[Name, MemberEntry])
    before: Name | None = None
    feet: dict[Name, FootEntry] = Field(default_factory=dict[Name, FootEntry])
    plates: dict[Name, PlateEntry] = Field(default_factory=dict[Name, PlateEntry])
    gussets: dict[Name, GussetEntry] = Field(default_factory=dict[Name, GussetEntry])
    points: dict[
        Name, Annotated[PointEntry, Short(expand=keyed("at", (list, tuple)), schema=triple_schema)]
    ] = Field(default_factory=dict[Name, PointEntry])
    tubes: dict[Name, TubeEntry] = Field(default_factory=dict[Name, TubeEntry])


class MoveChange(Entry):
    """A place of a path, a named point or a foot put somewhere else.

    Attributes:
        members: whose places move.
        places: which places of their paths.
        point: a named point that moves, and with it all that refers to it.
        foot: a foot that moves.
        to: the new place.
        by: back, across, up from where it was.
        up: the one coordinate that changes (or, on a member, what says where on it), and so on.
        back: see ``up``.
        across: see ``up``.
        along: mm from the first end of the member it is on.
        part: share of the length of the member it is on.
        one_side: only this side, not the mirror.
    """

    members: Names = ()
    places: Annotated[
        tuple[PlaceNumber, ...], Field(max_length=40), Short(expand=_in_list, schema=_number_schema)
    ] = ()
    point: Name | None = None
    foot: Name | None = None
    to: Place | None = None
    by: Place3 | None = None
    up: Length | None = None
    back: Length | None = None
    across: Length | None = None
    along: Length | None = None
    part: Part | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        _exactly_one(self, ("members", "point", "foot"), "what moves")
        _exactly_one(self, ("to", "by", *MEASURES), "where to")
        if self.members and not self.places:
            _refuse("does not say which places", "wanted places: start, end, a number from 1, or a list")
        if self.places and not self.members:
            _refuse("names places but no members", "wanted members: ...")
        if not self.members and (self.along is not None or self.part is not None):
            _refuse("moves along no member", "wanted to, by, up, back or across")
        return self


class SizeChange(Entry):
    """Tubes of another size or steel.

    Attributes:
        members: the ones that change; without them every member of ``tube`` does.
        tube: one of the plan's tubes: what the members become, or the one that changes.
        od: outside diameter.
        wall: wall thickness.
        steel: steel.
        clr: centreline radius of bends.
        one_side: only these tubes, not their mirrors.
    """

    members: Names = ()
    tube: Name | None = None
    od: Positive | None = None
    wall: Positive | None = None
    steel: Text | None = None
    clr: Positive | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _something(self) -> Self:
        if not self.members and self.tube is None:
            _refuse("does not say which tubes change", "wanted members or tube")
        if not self.changed() and not (self.members and self.tube):
            _refuse("does not say what changes", "wanted od, wall, steel or clr")
        return self

    def changed(self) -> dict[str, Any]:
        """What of the tube is new, by its key."""
        keys = ("od", "wall", "steel", "clr")
        return {key: getattr(self, key) for key in keys if getattr(self, key) is not None}


class MirrorChange(Entry):
    """A member, foot or plate copied to the other side of the car under the name ``copy_name``."""

    name: Name
    copy_name: Name


class FootChange(Entry):
    """A foot that stands on something else, on another plate, or elsewhere; what is not said stays."""

    name: Name
    at: Place3 | None = None
    on: Seat | None = None
    plate: tuple[Positive, Positive, Positive] | None = None
    normal: Direction | None = None
    contact: Area | None = None
    sheet: GroundEntry | None = None
    one_side: YesNo = False


class WeldChange(Entry):
    """Members' ends welded less or more than all round."""

    members: Names
    start: WeldEntry | None = None
    end: WeldEntry | None = None
    one_side: YesNo = False

    @model_validator(mode="after")
    def _some_end(self) -> Self:
        if self.start is None and self.end is None:
            _refuse("does not say which end", "wanted start or end")
        return self


class CutChange(Entry):
    """Members whose ends are cut on others than before."""

    members: Names
    cut: Annotated[CutOn, Short(expand=keyed("either", (str, list, tuple)), schema=name_schema)]
    one_side: YesNo = False


CHANGES = ("remove", "add", "move", "size", "mirror", "foot", "weld", "cut")
"""The kinds of change."""


class ChangeEntry(Entry):
    """One change: exactly one of its kinds."""

    remove: (
        Annotated[RemoveChange, Short(expand=keyed("names", (str, list, tuple)), schema=name_schema)] | None
    ) = None
    add: AddChange | None = None
    move: MoveChange | None = None
    size: SizeChange | None = None
    mirror: MirrorChange | None = None
    foot: FootChange | None = None
    weld: WeldChange | None = None
    cut: CutChange | None = None

    @model_validator(mode="after")
    def _one_kind(self) -> Self:
        _exactly_one(self, CHANGES, "what changes")
        return self


def _exactly_one(entry: Entry, keys: tuple[str, ...], what: str) -> None:
    given = [key for key in keys if getattr(entry, key) not in (None, ())]
    if len(given) != 1:
        found = f"gives {' and '.join(given)}" if given else f"does not say {what}"
        _refuse(found, f"wanted exactly one of {', '.join(keys)}")


def _refuse(found: str, wanted: str) -> None:
    raise PydanticCustomError("one-of", "{wanted}", {"found": found, "wanted": wanted})


class AlternativeEntry(Entry):
    """The plan with a stated change.

    Attributes:
        name: in the builder's words.
        on_top_of: an earlier alternative whose changes are made first.
        changes: in the order they are made.
        note: the builder's.
    """

    name: Text
    on_top_of: Text | None = None
    changes: Annotated[tuple[ChangeEntry, ...], Field(max_length=100)] = ()
    note: Text = ""


class ModelEntry(Entry):
    """Which simplifications the study's strength model makes, where not the usual ones."""

    joints: Literal["report", "yield"] = "report"
    feet: Literal["shell", "rigid"] = "shell"
    softened: Literal["steel", "cautious", "none"] = "steel"
    strength: Literal["least", "typical"] = "least"
    mesh: Positive = 40.0


class Alternatives(Entry):
    """A whole alternatives file.

    Attributes:
        cagewright_alternatives: version of the format.
        title: of the study.
        question: what it answers.
        units: unit of bare lengths.
        pushes: by name; a front roof corner where none is named.
        travel: how far to push, where not as far as each push's own.
        as_planned: what the plan itself is called in the table.
        model: simplifications.
        alternatives: in the order of the table.
        note: the builder's.
    """

    cagewright_alternatives: Version
    title: Text
    question: Text = ""
    units: Literal["mm", "in"] = "mm"
    pushes: Annotated[tuple[Text, ...], Field(max_length=20)] = ()
    travel: Positive | None = None
    as_planned: Text = "as planned"
    model: ModelEntry = Field(default_factory=ModelEntry)
    alternatives: Annotated[tuple[AlternativeEntry, ...], Field(min_length=1, max_length=200)]
    note: Text = ""
    _sources: Sources = PrivateAttr(default_factory=Sources)

    @property
    def sources(self) -> Sources:
        """The file it was read from; none for one made in code."""
        return self._sources

    def read_from(self, sources: Sources) -> Self:
        """The same alternatives, knowing the file they were read from."""
        copy = self.model_copy()
        copy._sources = sources
        return copy


def read_alternatives(path: Path | str) -> Alternatives:
    """The alternatives in the file.

    Raises:
        ProblemsFound: every problem of the file.
    """
    where = Path(path)
    return _alternatives(load(where, file=where.as_posix()))


def read_alternatives_text(text: str, *, file: str = "alternatives") -> Alternatives:
    """The alternatives in the text; ``file`` is its name in problems.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _alternatives(parse(text, file=file))


def place_in(alternatives: Alternatives, keys: Keys) -> Where:
    """Where a value stands in the alternatives file, its keys from the top."""
    return where_in(alternatives.sources, keys)


def _alternatives(source: Source) -> Alternatives:
    if not source.readable:
        raise ProblemsFound(source.problems)
    problems = list(source.problems)
    context = {"units": "in" if source.data.get("units") == "in" else "mm"}
    try:
        entry = Alternatives.model_validate(source.data, context=context)
    except ValidationError as wrong:
        raise ProblemsFound([*problems, *problems_of(wrong, source, Alternatives)]) from None
    entry = entry.read_from(Sources(main=source))
    problems += _names_told_apart(entry)
    if problems:
        raise ProblemsFound(problems)
    return entry


def _names_told_apart(entry: Alternatives) -> list[Problem]:
    """Alternatives of one name, and ones on top of one that does not come before."""
    earlier: list[str] = [entry.as_planned]
    problems: list[Problem] = []
    for i, alternative in enumerate(entry.alternatives):
        keys: Keys = ("alternatives", i)
        if alternative.name in earlier:
            found = f"another alternative is called {say(alternative.name)}"
            problems.append(
                Problem(code="name-taken", where=place_in(entry, (*keys, "name")), found=found,
                        wanted="wanted a name of its own")
            )  # fmt: skip
        under = alternative.on_top_of
        if under is not None and under not in earlier:
            problems.append(_not_before(entry, (*keys, "on_top_of"), under, earlier))
        earlier.append(alternative.name)
    return problems


def _not_before(entry: Alternatives, keys: Keys, under: str, earlier: list[str]) -> Problem:
    return Problem(
        code="unknown-alternative",
        where=place_in(entry, keys),
        found=f"no alternative before this one is called {say(under)}",
        wanted=f"wanted one of {', '.join(earlier)}",
        nearest=near(under, earlier),
    )
