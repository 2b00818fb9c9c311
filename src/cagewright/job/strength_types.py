"""The strength answer's parts: what is told of a push, of a cage, and of the pushes there are."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.base.answers import Answer, Sentence, Value
from cagewright.base.sheet import Table
from cagewright.frame.model import Floats
from cagewright.frame.results import MomentKind

Kind = Literal["yield", "hinge", "foot", "joint", "strip", "dent", "strength"]


@dataclass(frozen=True, slots=True, kw_only=True)
class PushFigure:
    """One figure of a push.

    Attributes:
        head: over a column or a tile.
        words: what belongs to it, in a few words.
    """

    key: str
    head: str
    label: str
    value: Value
    words: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CountedTo:
    """Where a push stops being counted, and its load and energy there.

    ``kind`` is what ends the count, ``words`` say it with where and what.
    """

    kind: MomentKind
    words: str
    travel: Value
    load: Value
    energy: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class ClimbRow:
    """A stretch over which the load climbs anew, and what takes it, in words."""

    start: Value
    stop: Value
    low: Value
    high: Value
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomRow:
    """What is left to one part of a person; ``counted`` where it is touched while the push counts."""

    person: str
    part: str
    by: str
    rest: Value
    left: Value
    touched: Value | None
    counted: bool
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Happened:
    """What gave way or came to its strength; ``number`` counts what gives, as in the pictures, or is 0."""

    number: int
    kind: Kind
    travel: Value
    load: Value
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadWanted:
    """A load that a source wants; ``reached`` is None where that cannot be told."""

    reached: bool | None
    words: str
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JointRow:
    """A joint's force against its strength; ``full_at`` is the push's load where it is used up."""

    joint: str
    words: str
    used: Value
    full_at: Value | None
    governs: str
    axial: Value
    in_plane: Value
    out_of_plane: Value
    weld: Value | None
    outside: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointWay:
    """What one way of modelling the joints answers; ``counts`` is the worst of them, the push's own figures.

    Attributes:
        why: what ends the part of the push that counts.
        travel: to where it counts.
        energy: taken up by then.
        load: the largest by then.
    """

    words: str
    counts: bool
    why: str
    travel: Value
    energy: Value
    load: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class FootRow:
    """A foot's force against what the shell under it carries; ``used`` is None where it is called rigid."""

    foot: str
    push: Value
    pull: Value
    slide: Value
    tilt: Value
    used: Value | None
    torn: Value | None
    full_at: Value | None
    governs: str
    weld: Value | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeRow:
    """A tube's force against its section; ``yields_at`` is the push's travel at its first yield."""

    member: str
    used: Value
    where: str
    yields_at: Value | None
    hinges: int
    pull: Value
    push: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class GraphAxis:
    """An axis of a graph: its label, and how an inside figure is put on it (over ``scale``, ``places``)."""

    label: str
    unit: str
    scale: float
    places: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadCurve:
    """Load over travel: mm and N, each with its axis."""

    x: GraphAxis
    y: GraphAxis
    travel: Floats
    load: Floats


@dataclass(frozen=True, slots=True, kw_only=True)
class CurveMark:
    """A point of the curve with words beside it: the largest load, a steel's limit, where the count stops."""

    kind: Literal["peak", "strain", "counted"]
    travel: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PushAnswer(Answer):
    """What the cage does under one push.

    Attributes:
        source: of the push, with how sure it is.
        assumed: the model's switches, by name.
        counted: where it stops being counted: the figures are up to there.
        end: how it ended; the one place that says so.
        joints_words: which way of modelling the joints counts here, and what the others answer.
        ways: the same in figures; empty where only one way was solved.
        room: the survival space in a sentence.
        left: what is left to each part of each person, the worst first.
        climbs: where the load climbs again after it had flattened, and what takes it.
        happened: what gave way, in order.
        wanted: loads that sources want.
        joints: the first to go over its strength first.
        tables: the rows laid out.
        notes: what was assumed, in words.
    """

    name: str
    title: str
    source: str
    certainty: str
    revision: str
    assumed: dict[str, str]
    counted: CountedTo
    end: Sentence
    figures: tuple[PushFigure, ...]
    joints_words: str
    ways: tuple[JointWay, ...]
    room: str
    left: tuple[RoomRow, ...]
    climbs: tuple[ClimbRow, ...]
    curve: LoadCurve
    marks: tuple[CurveMark, ...]
    happened: tuple[Happened, ...]
    wanted: tuple[LoadWanted, ...]
    joints: tuple[JointRow, ...]
    feet: tuple[FootRow, ...]
    tubes: tuple[TubeRow, ...]
    tables: tuple[Table, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StrengthAnswer(Answer):
    """A cage under several pushes; ``tables`` are those of the whole cage."""

    title: str
    revision: str
    mass: Value
    torsion: Value
    pushes: tuple[PushAnswer, ...]
    tables: tuple[Table, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPush:
    """A push that the cage can be given.

    Attributes:
        name: as commands and plans write it.
        source: where it is from.
        certainty: how sure that is.
        own: the plan asks for it.
        usual: it is the one taken where none is named.
        wants: loads that its source wants.
    """

    name: str
    title: str
    kind: str
    travel: Value
    source: str
    certainty: str
    own: bool
    usual: bool
    wants: tuple[str, ...]
