"""Rule books: the nouns that a book file is read into. Lengths in mm, areas mm2, angles rad, masses kg."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal, get_args

from cagewright.plan.types import Role
from cagewright.stock.steels import Certainty

ROLES: tuple[Role, ...] = get_args(Role)
CAGE_ROLES: tuple[Role, ...] = tuple(role for role in ROLES if role != "seat mount")
"""Every role that belongs to the cage; seat mounts carry the seat and answer to other rules."""

BoundKind = Literal["at_least", "more_than", "at_most", "less_than"]
SideWord = Literal["each", "driver", "left", "right"]
EndWord = Literal["upper", "lower", "front", "rear", "each"]
FixingWord = Literal["any", "bolted", "welded"]
LineWord = Literal["front", "rear"]
WeightWord = Literal["with driver", "without driver"]
SteelWord = Literal["any", "mild", "4130"]
MakeWord = Literal["any", "seamless or drawn"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """One side of a limit: its kind, value in the inside unit, and text as the book writes it."""

    kind: BoundKind
    value: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """A least tube size: OD and wall in mm, as the book writes it, and for which steel and make it holds."""

    od: float
    wall: float
    text: str
    steel: SteelWord = "any"
    make: MakeWord = "any"


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One line of a table by weight: holds up to ``up_to`` kg (None: any heavier car)."""

    up_to: float | None
    text: str
    sizes: tuple[Size, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rider:
    """A thinner ``wall`` is enough where the OD is ``more_od`` over the least OD of the line, mm."""

    more_od: float
    wall: float
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """What an end must be near: a foot, or the joint of a member of ``roles`` with one of ``on``."""

    feet: bool
    roles: tuple[Role, ...]
    on: tuple[Role, ...]


Structure = Mapping[Role, int]
"""How many members of each role make one base structure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """What a row tells its measure besides the limit; each measure names the ones it reads.

    Attributes:
        members: roles it looks at.
        joined_to: of those, only members with an end cut on a member of these roles.
        feet_of: roles whose feet it looks at.
        joints_of: roles of the member that is cut.
        joints_on: roles of the members it is cut on.
        sizes: least sizes, any of which is enough.
        table: least sizes by weight, lightest car first.
        rider: a thinner wall for a larger tube.
        weight: whether the table counts the driver.
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
        function: the clause's own function.
    """

    members: tuple[Role, ...] = ()
    joined_to: tuple[Role, ...] = ()
    feet_of: tuple[Role, ...] = ()
    joints_of: tuple[Role, ...] = ()
    joints_on: tuple[Role, ...] = ()
    sizes: tuple[Size, ...] = ()
    table: tuple[Step, ...] = ()
    rider: Rider | None = None
    weight: WeightWord = "without driver"
    codes: Mapping[str, tuple[Size, ...]] = field(default_factory=dict[str, tuple[Size, ...]])
    structures: tuple[Structure, ...] = ()
    steels: tuple[str, ...] = ()
    grades: tuple[str, ...] = ()
    fixing: FixingWord = "any"
    end: EndWord = "each"
    near: Near | None = None
    side: SideWord = "each"
    line: LineWord = "front"
    above: tuple[Role, ...] = ()
    opening: str = ""
    function: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Applies:
    """To which cars a row or book applies: body words (any), and mass without driver from/to in kg."""

    body: tuple[str, ...] = ()
    weight_from: float | None = None
    weight_to: float | None = None


EVERY_CAR = Applies()


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """Rounding allowed on a limit: a share of it, plus an amount in the inside unit."""

    share: float = 0.0
    amount: float = 0.0


NO_ALLOWANCE = Allowance()


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """One row of a book.

    Attributes:
        id: short name, unique in its book.
        clause: as the book numbers it.
        title: what it asks, in our own words.
        measure: a word of the vocabulary.
        terms: what the measure is told.
        bounds: limits of an amount; all must hold.
        wanted: the answer wanted of a yes-or-no measure.
        allowance: rounding allowed on the bounds.
        certainty: how sure the figure is.
        source: where the figure was read.
        note: anything the reader of the page should know.
        applies: to which cars.
    """

    id: str
    clause: str
    title: str
    measure: str
    terms: Terms
    bounds: tuple[Bound, ...] = ()
    wanted: bool = True
    allowance: Allowance = NO_ALLOWANCE
    certainty: Certainty
    source: str
    note: str = ""
    applies: Applies = EVERY_CAR


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """One edition of one rule book: its id, the regulation's own title, edition, source and rows."""

    id: str
    title: str
    edition: str
    source: str
    note: str
    applies: Applies
    rules: tuple[Rule, ...]
