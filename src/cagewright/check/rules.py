"""Rule books: the types that a book file is read into. Lengths in mm, areas mm2, angles rad, masses kg."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Any, Literal, cast, get_args

from pydantic import (
    AfterValidator,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    ValidationInfo,
    field_validator,
)
from pydantic_core import PydanticCustomError

from cagewright.base.dates import Days, span_of
from cagewright.base.units import Kind, QuantityError, parse
from cagewright.check.said import Sort
from cagewright.plan.places import Entry
from cagewright.plan.types import Role
from cagewright.stock.steels import Certainty

if TYPE_CHECKING:
    from cagewright.check.readings import Measure

ROLES: tuple[Role, ...] = get_args(Role)
CAGE_ROLES: tuple[Role, ...] = tuple(role for role in ROLES if role != "seat mount")
"""Every role that belongs to the cage; seat mounts carry the seat and answer to other rules."""

BoundKind = Literal["at_least", "more_than", "at_most", "less_than"]
BOUNDS: tuple[BoundKind, ...] = get_args(BoundKind)
SideWord = Literal["each", "driver", "left", "right"]
EndWord = Literal["upper", "lower", "front", "rear", "each"]
FixingWord = Literal["any", "bolted", "welded"]
LineWord = Literal["front", "rear"]
EdgeWord = Literal["front", "rear", "top", "sides"]
LayoutWord = Literal["single", "two", "cross", "V", "V to the front", "V to the rear"]
WeightWord = Literal["with driver", "without driver", "listed"]
SteelWord = Literal["any", "mild", "4130", "R8"]
MakeWord = Literal["any", "seamless or drawn"]
KIND: Mapping[Sort, Kind] = MappingProxyType({
    "length": "length", "fine": "length", "area": "area", "angle": "angle", "stress": "stress",
    "mass": "mass", "count": "number", "ratio": "number", "ods": "number", "section": "area",
    "inertia": "number", "percent": "number",
})  # fmt: skip
"""Which quantity a limit of each sort is written as."""

EXAMPLE: Mapping[Kind, str] = MappingProxyType({
    "length": "'3 mm' or '1/8 in'", "area": "'120 cm2' or '9 in2'", "angle": "'30 deg'",
    "stress": "'350 MPa'", "mass": "'1080 kg' or '2400 lb'", "force": "'30 kN'", "energy": "'6 kJ'",
    "number": "3",
})  # fmt: skip
"""How a limit of each kind is written in a book."""


def wrong(code: str, wanted: str, **more: Any) -> PydanticCustomError:
    """What is raised where a row's value is wrong: the code, and what was wanted."""
    return PydanticCustomError(code, "{wanted}", {"wanted": wanted, **more})  # pyrefly: ignore[bad-argument-type]


def quantity(raw: Any, kind: Kind) -> float:
    """A quantity with its unit, in the inside unit; plain numbers only where the kind has no unit.

    Raises:
        PydanticCustomError: it is no such quantity.
    """  # noqa: DOC501
    if isinstance(raw, int | float) and not isinstance(raw, bool) and kind != "number":
        raise wrong("bad-quantity", f"a bare number has no unit; wanted text such as {EXAMPLE[kind]}")
    try:
        return parse(raw, kind)
    except QuantityError as bad:
        raise wrong("bad-quantity", str(bad)) from None


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A quantity in the inside unit, and as the book writes it."""

    value: float
    text: str


def _written(kind: Kind) -> BeforeValidator:
    return BeforeValidator(lambda raw: Written(value=quantity(raw, kind), text=str(raw)))


def side(kind: BoundKind, raw: Any, sort: Sort) -> LimitSide:
    """One side of a limit as a file writes it, for a measure that gives that sort of amount."""
    return LimitSide(
        kind=kind, value=quantity(raw, KIND[sort]), text=raw if isinstance(raw, str) else f"{raw:g}"
    )


class RuleEntry(Entry):
    """A table of a rule book: frozen, an unknown key is a mistake, and a number is no text."""

    model_config = ConfigDict(coerce_numbers_to_str=False, arbitrary_types_allowed=True)


Text = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1)]
Note = Annotated[str, StringConstraints(strip_whitespace=True)]
Texts = Annotated[tuple[Text, ...], Field(min_length=1)]
Mass = Annotated[float, BeforeValidator(lambda raw: quantity(raw, "mass"))]
Length = Annotated[Written, _written("length")]
Roles = Annotated[
    tuple[Role, ...],
    Field(min_length=1),
    BeforeValidator(lambda raw: CAGE_ROLES if raw == "cage" else raw),
]
"""Roles by name, or 'cage' for every role but seat mounts."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitSide:
    """One side of a limit: its kind, value in the inside unit, and text as the book writes it."""

    kind: BoundKind
    value: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlainSize:
    """OD and wall, mm, and as the book writes them."""

    od: float
    wall: float
    text: str


_SIZE = re.compile(r"^\s*(?P<od>[^x×]+?)\s*[x×]\s*(?P<wall>[^x×]+?)\s*(?P<unit>mm|in)\s*$")


def plain_size(raw: Any) -> PlainSize:
    """A tube size as it is written: ``45 x 2.5 mm``, ``1 3/4 x 0.095 in``.

    Raises:
        PydanticCustomError: it is no size.
    """  # noqa: DOC501
    found = _SIZE.match(raw) if isinstance(raw, str) else None
    if found is None:
        raise wrong("bad-size", "wanted a tube size such as '45 x 2.5 mm' or '1 3/4 x 0.095 in'")
    od, wall = (quantity(f"{found[side]} {found['unit']}", "length") for side in ("od", "wall"))
    if not 0.0 < wall <= od / 2.0:
        raise wrong("bad-size", "wanted a wall more than 0 and at most half the diameter")
    return PlainSize(od=od, wall=wall, text=raw.strip())


class LeastSize(RuleEntry):
    """A least tube size as the book writes it, and for which steel and make it holds."""

    size: Annotated[PlainSize, BeforeValidator(plain_size)]
    steel: SteelWord = "any"
    make: MakeWord = "any"
    said: Annotated[Text | None, Field(alias="text")] = None

    @property
    def od(self) -> float:
        """Least outside diameter, mm."""
        return self.size.od

    @property
    def wall(self) -> float:
        """Least wall, mm."""
        return self.size.wall

    @property
    def text(self) -> str:
        """The size, steel and make in the book's words."""
        return " ".join([self.said or self.size.text, *(w for w in (self.steel, self.make) if w != "any")])


Sizes = Annotated[
    tuple[
        Annotated[LeastSize, BeforeValidator(lambda raw: {"size": raw} if isinstance(raw, str) else raw)], ...
    ],
    Field(min_length=1),
]
"""Least sizes, any of which is enough."""


class WeightStep(RuleEntry):
    """One line of a table by weight: holds up to ``up_to`` kg (None: any heavier car)."""

    up_to: Annotated[Written, _written("mass")] | None = None
    sizes: Sizes

    @property
    def text(self) -> str:
        """Which cars, in words."""
        return f"up to {self.up_to.text}" if self.up_to else "heavier cars"


def _rising(lines: tuple[WeightStep, ...]) -> tuple[WeightStep, ...]:
    tops = [line.up_to.value if line.up_to else None for line in lines]
    known = [top for top in tops if top is not None]
    if None in tops[:-1] or known != sorted(set(known)):
        raise wrong("not-rising", "wanted lines with a rising 'up_to'; only the last may leave it out")
    return lines


class Rider(RuleEntry):
    """A thinner ``wall`` is enough where the OD is ``more_od`` over the least OD of the line."""

    more_od: Length
    wall: Length

    @property
    def text(self) -> str:
        """The rider in words."""
        return f"wall {self.wall.text} where the OD is at least {self.more_od.text} over the least OD"


class Landmark(RuleEntry):
    """What an end must be near: the joint of a member of some roles on one of others, or a foot."""

    joint_of: Roles
    on: Roles


FOOT = Landmark.model_construct(joint_of=(), on=())


def _landmark(raw: Any) -> Any:
    if isinstance(raw, str) and raw != "foot":
        raise wrong("unknown-word", "wanted 'foot' or {joint_of = [...], on = [...]}", like=(raw, ("foot",)))
    return FOOT if raw == "foot" else raw


def _span(raw: Any) -> Days:
    try:
        return span_of(raw)
    except ValueError as bad:
        raise wrong("bad-date", str(bad)) from None


Dates = Annotated[Days, BeforeValidator(_span)]
DateWord = Literal["built", "logbook"]
"""Which of the car's dates counts."""


class Applies(RuleEntry):
    """To which cars a row or book applies.

    Attributes:
        body: any of these words in the car's body.
        weight_from: kg, without driver.
        weight_to: kg, without driver.
        since: ``from`` in the file: cars of this date or later.
        until: cars of this date or earlier.
        by: which date of the car counts.
    """

    body: Texts | tuple[()] = ()
    weight_from: Mass | None = None
    weight_to: Mass | None = None
    since: Annotated[Dates | None, Field(alias="from")] = None
    until: Dates | None = None
    by: DateWord = "built"

    @field_validator("until")
    @classmethod
    def _after_since(cls, until: Days | None, info: ValidationInfo) -> Days | None:
        since = info.data.get("since")
        if until and since and until.last < since.first:
            raise wrong("dates-reversed", f"wanted {since.text}, the date it holds from, or later")
        return until


EVERY_CAR = Applies()


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """Rounding allowed on a limit: a share of it, plus an amount in the inside unit."""

    share: float = 0.0
    amount: float = 0.0


NO_ALLOWANCE = Allowance()


@dataclass(frozen=True, slots=True, kw_only=True)
class Vocabulary:
    """The words that a row may choose from: the measures, and the functions of clauses of their own."""

    measures: Mapping[str, Measure]
    functions: Mapping[str, Any]


def _known_measure(raw: Any, info: ValidationInfo) -> Any:
    words = cast("Vocabulary", info.context)
    if isinstance(raw, str) and raw not in words.measures:
        wanted = "wanted one of the measures on the page about writing a book"
        raise wrong("unknown-measure", wanted, like=(raw, words.measures))
    return raw


def _known_function(raw: Any, info: ValidationInfo) -> Any:
    known = cast("Vocabulary", info.context).functions
    if isinstance(raw, str) and raw not in known:
        raise wrong("unknown-word", f"wanted one of: {', '.join(known)}", like=(raw, known))
    return raw


def _sort_of(info: ValidationInfo) -> Sort | None:
    """The sort of amount that the row's measure gives; None where there is none."""
    measure = cast("Vocabulary", info.context).measures.get(info.data.get("measure", ""))
    return measure.sort if measure else None


def _bound(raw: Any, info: ValidationInfo) -> LimitSide | None:
    sort = _sort_of(info)
    if sort is None:
        return None
    return side(cast("BoundKind", info.field_name), raw, sort)


def _allowance(raw: Any, info: ValidationInfo) -> Allowance:
    """Rounding allowed: '0.01 %' of the limit, or an amount."""
    sort = _sort_of(info)
    if sort is None:
        return NO_ALLOWANCE
    if isinstance(raw, str) and raw.strip().endswith("%"):
        return Allowance(share=quantity(raw.strip().removesuffix("%").strip(), "number") / 100.0)
    return Allowance(amount=quantity(raw, KIND[sort]))


def _left_out(roles: tuple[Role, ...], info: ValidationInfo) -> tuple[Role, ...]:
    return tuple(role for role in roles if role not in info.data.get("left_out", ()))


def of_restated(said: str, info: ValidationInfo) -> str:
    """A second source, which only a figure that is restated may name.

    Raises:
        PydanticCustomError: the figure is not restated.
    """  # noqa: DOC501
    if said and info.data.get("certainty") != "second-hand":
        wanted = "wanted only beside certainty 'second-hand': a text that was read needs no second source"
        raise wrong("not-read", wanted)
    return said


Limit = Annotated[LimitSide | None, BeforeValidator(_bound)]
Count = Annotated[int, Field(gt=0, strict=True)]
Structure = Mapping[Role, int]
"""How many members of each role make one base structure."""


class Rule(RuleEntry):
    """One row of a book; which of the keys from ``left_out`` on a row may give, its measure says.

    Attributes:
        id: short name, unique in its book.
        clause: as the book numbers it.
        title: what it asks, in our own words.
        measure: a word of the vocabulary.
        certainty: how sure the figure is.
        source: where the figure was read.
        confirmed: a second source, independent of the first, that restates the same figure.
        note: anything the reader of the page should know.
        applies: to which cars.
        at_least: limit of an amount; all that are given must hold.
        more_than: as ``at_least``.
        at_most: as ``at_least``.
        less_than: as ``at_least``.
        must_be: the answer wanted of a yes-or-no measure.
        allowance: rounding allowed on the limits.
        left_out: ``except`` in the file: roles that ``members`` does not mean.
        members: roles it looks at.
        joined_to: of those, only members with an end cut on a member of these roles.
        feet_of: roles whose feet it looks at.
        joints_of: roles of the member that is cut.
        joints_on: roles of the members it is cut on.
        sizes: least sizes, any of which is enough.
        table: least sizes by weight, lightest car first.
        rider: a thinner wall for a larger tube.
        weight: which weight the table is by: with or without the driver, or the one that the class lists.
        codes: least sizes by the book's member code.
        structures: base structures, any of which is enough.
        steels: steels that are good enough, by name.
        grades: bolt grades, the least of which is enough.
        fixing: only feet fixed in this way.
        end: which end of the member.
        near: what that end must be near.
        side: which side of the car.
        line: which of the two lines from the top of the main rollbar.
        above: roles; only the part above their highest joint counts.
        opening: words that name the body line meant.
        edge: from which edge of an opening.
        layouts: ways in which members may be laid out, any of which is enough.
        function: the clause's own function.
    """

    id: Text
    clause: Text
    title: Text
    measure: Annotated[str, BeforeValidator(_known_measure)]
    certainty: Certainty
    source: Text
    confirmed: Annotated[Note, AfterValidator(of_restated)] = ""
    note: Note = ""
    applies: Applies = EVERY_CAR
    at_least: Limit = None
    more_than: Limit = None
    at_most: Limit = None
    less_than: Limit = None
    must_be: Literal["yes", "no"] = "yes"
    allowance: Annotated[Allowance, BeforeValidator(_allowance)] = NO_ALLOWANCE
    left_out: Annotated[Roles, Field(alias="except")] = ()
    members: Annotated[Roles, AfterValidator(_left_out)] = ()
    joined_to: Roles = ()
    feet_of: Roles = ()
    joints_of: Roles = ()
    joints_on: Roles = ()
    sizes: Sizes = ()
    table: Annotated[tuple[WeightStep, ...], Field(min_length=1), AfterValidator(_rising)] = ()
    rider: Rider | None = None
    weight: WeightWord = "without driver"
    codes: Annotated[dict[str, Sizes], Field(min_length=1)] = {}  # noqa: RUF012
    structures: Annotated[
        tuple[Annotated[dict[Role, Count], Field(min_length=1)], ...], Field(min_length=1)
    ] = ()
    steels: Texts = ()
    grades: Texts = ()
    fixing: FixingWord = "any"
    end: EndWord = "each"
    near: Annotated[Landmark | None, BeforeValidator(_landmark)] = None
    side: SideWord = "each"
    line: LineWord = "front"
    above: Roles = ()
    opening: Note = ""
    edge: EdgeWord = "front"
    layouts: Annotated[tuple[LayoutWord, ...], Field(min_length=1)] = ()
    function: Annotated[str, BeforeValidator(_known_function)] = ""

    @cached_property
    def bounds(self) -> tuple[LimitSide, ...]:
        """The limits of an amount; all must hold."""
        return tuple(b for b in (self.at_least, self.more_than, self.at_most, self.less_than) if b)

    @property
    def wanted(self) -> bool:
        """The answer wanted of a yes-or-no measure."""
        return self.must_be == "yes"


def keys_of(model: type[RuleEntry]) -> tuple[str, ...]:
    """The keys of such a table as a file writes them."""
    return tuple(field.alias or name for name, field in model.model_fields.items())


TERMS = keys_of(Rule)[keys_of(Rule).index("members") :]
"""The keys that a measure may read."""


class Newer(RuleEntry):
    """The book that holds for cars of a later date."""

    book: Text
    since: Annotated[Dates, Field(alias="from")]


class Book(RuleEntry):
    """One edition of one rule book: its id, the regulation's own title, edition, source and rows.

    A plan for a car built since ``newer`` is told of that book, and judged by this one all the same.
    """

    id: Text
    title: Text
    edition: Text
    source: Text
    note: Note = ""
    applies: Applies = EVERY_CAR
    newer: Newer | None = None
    rule: Annotated[tuple[Rule, ...], Field(min_length=1)]

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The rows."""
        return self.rule
