"""The shop file: what the shop bends with, buys and has on the rack."""

from __future__ import annotations

import math
from collections.abc import Collection
from functools import lru_cache
from itertools import islice
from pathlib import Path, PurePosixPath
from typing import Annotated, Any, Literal, Self, cast

from pydantic import AfterValidator, ConfigDict, Field, ValidationInfo, field_validator, model_validator
from pydantic_core import PydanticCustomError

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_length
from cagewright.plan.files import load
from cagewright.plan.load_types import MOST_BRIDGED
from cagewright.plan.quantities import Angle, NotNegative, Number, Positive, Version
from cagewright.plan.rates import BoltEntry, PricesEntry, SheetOnSaleEntry, TimesEntry, prices_of, times_of
from cagewright.plan.read import PlanReading, plan_or_problems, reading_of, reading_of_source
from cagewright.plan.report import listed
from cagewright.plan.size_types import SizeEntry
from cagewright.plan.source import where_in
from cagewright.plan.text import Source, decoded, parse, read_bytes, say
from cagewright.plan.types import Entry, Plan, Text
from cagewright.plan.wording import entry_of
from cagewright.stock.benders import Die, Trial
from cagewright.stock.catalogue import steels as built_in_steels
from cagewright.stock.folding import FoldTrial
from cagewright.stock.rates import BoltOnSale, SheetOnSale
from cagewright.stock.shop import NO_SHOP, Nozzle, Offcut, Shop, StockLength


def _known(name: str, info: ValidationInfo) -> str:
    known: Collection[str] = (info.context or {}).get("steels", (name,))
    if name not in known:
        wanted = f"wanted a steel of other_steels or a built-in one: {listed(known)}"
        told = {"wanted": wanted, "like": (name, list(islice(known, 100)))}
        raise PydanticCustomError("unknown-steel", "{wanted}", told)
    return name


SteelName = Annotated[Text, AfterValidator(_known)]
"""The name of a built-in steel or of one that the plans bring."""


class TrialEntry(Entry):
    """A trial bend: what the bender was set to, and what was measured after release."""

    set: Angle
    got: Angle

    @model_validator(mode="after")
    def _sprang_back(self) -> Self:
        if not 0.0 < self.got <= self.set <= math.pi:
            said = f"is set {math.degrees(self.set):g} deg, got {math.degrees(self.got):g} deg"
            wanted = "wanted 0 < got <= set <= 180 deg: the tube springs back"
            raise PydanticCustomError("trial-swapped", "{wanted}", {"found": said, "wanted": wanted})
        return self


def _told(mm: float, info: ValidationInfo) -> str:
    """The length in the file's units."""
    return say_length(mm, (info.context or {}).get("units", "mm"))


class DieEntry(Entry):
    """A die of the bender.

    Attributes:
        od: tube diameter it takes, mm.
        clr: centreline radius, mm.
        least_straight: least straight between two bends, mm.
        grip: straight that the clamp needs before the first bend, mm.
        tail: straight that the machine needs after the last bend, mm.
        trials: bends measured on it.
    """

    od: Positive
    clr: Positive
    least_straight: NotNegative
    grip: NotNegative
    tail: NotNegative
    trials: tuple[TrialEntry, ...] = ()

    @field_validator("clr")
    @classmethod
    def _can_bend(cls, clr: float, info: ValidationInfo) -> float:
        od = info.data.get("od", 0.0)
        if clr <= od / 2.0:
            said = f"is {_told(clr, info)} for a tube of {_told(od, info)}"
            wanted = "wanted a centreline radius of more than half the diameter"
            raise PydanticCustomError("clr-too-small", "{wanted}", {"found": said, "wanted": wanted})
        return clr


class PieceEntry(SizeEntry):
    """A piece of tube or rail: its size, its steel and its length, mm."""

    steel: SteelName
    length: Positive

    @field_validator("wall")
    @classmethod
    def _is_a_tube(cls, wall: float, info: ValidationInfo) -> float:
        said = [info.data.get(key) for key in ("od", "square", "rectangle", "angle")]
        size = next((s for s in said if s), math.inf)
        least = min(size) if isinstance(size, tuple) else size
        if wall > least / 2.0:
            what, half = ("a diameter", "the diameter") if said[0] else ("a side", "the side")
            said = f"is {_told(wall, info)} on {what} of {_told(least, info)}"
            wanted = f"wanted a wall of at most half {half}"
            raise PydanticCustomError("wall-too-thick", "{wanted}", {"found": said, "wanted": wanted})
        return wall


def _piece(entry: PieceEntry) -> dict[str, Any]:
    """The piece's fields; a second side only where it is not plain from the first."""
    first, second = entry.sides
    own = entry.shape in {"rectangle", "angle"}
    return {
        "od": first, "side": second if own else 0.0, "shape": entry.shape, "wall": entry.wall,
        "steel": entry.steel, "length": entry.length,
    }  # fmt: skip


class StockEntry(PieceEntry):
    """A length on sale, with its price in the shop's currency."""

    price: Annotated[Number, Field(ge=0.0)] | None = None


class NozzleEntry(Entry):
    """The nozzle or cup of the shop's slimmest torch, and how far wire or electrode stand ahead of it."""

    od: Positive
    length: Positive
    ahead: Positive


class FoldTrialEntry(Entry):
    """How the shop's folder takes one sheet.

    Attributes:
        thickness: of the sheet.
        radius: inside radius of its folds.
        k: where the length does not change, as a share of the thickness from the inside.
    """

    model_config = ConfigDict(json_schema_extra={"anyOf": [{"required": ["radius"]}, {"required": ["k"]}]})

    thickness: Positive
    radius: Positive | None = None
    k: Annotated[Number, Field(gt=0.0, le=0.5)] | None = None

    @model_validator(mode="after")
    def _says_something(self) -> Self:
        if self.radius is None and self.k is None:
            told = {"found": "says nothing of its folds", "wanted": "wanted radius, k or both"}
            raise PydanticCustomError("one-of", "{wanted}", told)
        return self


class ShopFile(Entry):
    """A whole shop file.

    Lengths are in mm. ``weld_shrinkage`` is how many times the tabled pull this shop's welds have, and
    ``weld_gap`` the widest gap that they bridge;
    ``other_steels`` are not built in: the plans that use them give their figures.
    """

    cagewright_shop: Version
    name: Text
    units: Literal["mm", "in"] = "mm"
    currency: Text = ""
    kerf: NotNegative = 2.0
    trim: NotNegative = 10.0
    hole_saws: tuple[Positive, ...] = ()
    weld_shrinkage: Annotated[Number, Field(gt=0.0, le=10.0)] = 1.0
    weld_gap: Annotated[Positive, Field(le=MOST_BRIDGED)] | None = None
    nozzle: NozzleEntry | None = None
    other_steels: tuple[Text, ...] = ()
    dies: dict[Text, DieEntry] = Field(default_factory=dict[Text, DieEntry])
    stock: tuple[StockEntry, ...] = ()
    offcuts: dict[Text, PieceEntry] = Field(default_factory=dict[Text, PieceEntry])
    sheets: tuple[SheetOnSaleEntry, ...] = ()
    bolts: tuple[BoltEntry, ...] = ()
    times: TimesEntry = Field(default_factory=TimesEntry)
    prices: PricesEntry = Field(default_factory=PricesEntry)
    folds: Annotated[tuple[FoldTrialEntry, ...], Field(max_length=100)] = ()
    note: Text = ""


def read_shop(path: Path | str) -> Shop:
    """The shop in the file.

    Raises:
        ProblemsFound: every problem of the file.
    """
    where = Path(path)
    return _shop(load(where, file=where.as_posix()))


def read_shop_text(text: str, *, file: str = "shop") -> Shop:
    """The shop in the text; ``file`` is its name in problems.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _shop(parse(text, file=file))


def read_job(path: Path | str) -> tuple[Plan, Shop]:
    """The plan in the file and the shop it names, or ``NO_SHOP`` where it names none.

    Raises:
        ProblemsFound: every problem of the plan, the files it includes and the shop file.
    """
    path = Path(path)
    return _with_shop(reading_of(path), path.parent)


def read_job_source(main: Source, folder: Path) -> tuple[Plan, Shop]:
    """The plan in a text that was parsed, its included files and shop in ``folder``.

    Raises:
        ProblemsFound: every problem of the plan, the files it includes and the shop file.
    """
    return _with_shop(reading_of_source(main, folder), folder)


def _with_shop(reading: PlanReading, folder: Path) -> tuple[Plan, Shop]:
    problems = list(reading.problems)
    shop = NO_SHOP
    try:
        named = reading.sections.shop
        shop = NO_SHOP if named is None else _named_shop(named, folder, where_in(reading.sources, ("shop",)))
    except ProblemsFound as found:
        problems.extend(found.problems)
    if problems:
        raise ProblemsFound(problems)
    return plan_or_problems(reading), shop


def _named_shop(named: str, folder: Path, where: Where) -> Shop:
    """The shop file that the plan names; a file that is not there is the mistake of the plan's line.

    Raises:
        ProblemsFound: every problem of the file.
    """
    if PurePosixPath(named).is_absolute() or set(named) & set("\\:\0"):
        found, wanted = (
            f"the shop file {say(named)} is no path from here",
            "wanted a path such as ../shop.yaml",
        )
        raise ProblemsFound([Problem(code="outside", where=where, found=found, wanted=wanted)])
    file = (folder / named).as_posix()
    raw = read_bytes(folder / named, file=file)
    text = raw if isinstance(raw, Problem) else decoded(raw, file=file)
    if isinstance(text, str):
        return _shop_in(text, file)
    if text.code != "no-file":
        raise ProblemsFound([text])
    wanted = "wanted the shop's file, as a path from the plan's folder"
    raise ProblemsFound([Problem(code="no-file", where=where, found=text.found, wanted=wanted)])


@lru_cache(maxsize=8)
def _shop_in(text: str, file: str) -> Shop:
    """The shop in the text; kept, as every change of a plan asks for the same one again.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _shop(parse(text, file=file))


def _shop(source: Source) -> Shop:
    others = source.data.get("other_steels") if source.readable else None
    return shop_of(entry_of(source, ShopFile, steels=_steels(others)))


def _steels(others: Any) -> dict[str, None]:
    named = cast("list[Any]", others) if isinstance(others, list) else []
    return dict.fromkeys([*built_in_steels(), *(str(name) for name in named)])


def shop_of(entry: ShopFile) -> Shop:
    """The shop that the file describes."""
    return Shop(
        name=entry.name,
        currency=entry.currency,
        kerf=entry.kerf,
        trim=entry.trim,
        hole_saws=entry.hole_saws,
        weld_shrinkage=entry.weld_shrinkage,
        weld_gap=entry.weld_gap,
        nozzle=None if entry.nozzle is None else Nozzle(**dict(entry.nozzle)),
        dies=tuple(_die(name, die) for name, die in entry.dies.items()),
        stock=tuple(StockLength(**_piece(piece), price=piece.price) for piece in entry.stock),
        offcuts=tuple(Offcut(name=name, **_piece(piece)) for name, piece in entry.offcuts.items()),
        sheets=tuple(SheetOnSale(**dict(sheet)) for sheet in entry.sheets),
        bolts=tuple(BoltOnSale(**dict(bolt)) for bolt in entry.bolts),
        times=times_of(entry.times),
        prices=prices_of(entry.prices),
        folds=tuple(FoldTrial(**dict(fold)) for fold in entry.folds),
    )


def _die(name: str, die: DieEntry) -> Die:
    return Die(
        name=name,
        od=die.od,
        clr=die.clr,
        least_straight=die.least_straight,
        grip=die.grip,
        tail=die.tail,
        trials=tuple(Trial(set_angle=t.set, got_angle=t.got) for t in die.trials),
    )
