"""The set file: tubes that were bought bent, as the builder measures them on the bench."""

from __future__ import annotations

import math
from collections.abc import Collection
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Field, ValidationInfo, model_validator
from pydantic_core import PydanticCustomError

from cagewright.base.answers import CANNOT_TELL
from cagewright.base.problems import Where
from cagewright.base.say import say_length
from cagewright.plan.files import load
from cagewright.plan.places import Entry, OwnName, ShortEntry, Side, Text
from cagewright.plan.quantities import Angle, Length, NotNegative, Number, Positive, Version, YesNo
from cagewright.plan.report import listed
from cagewright.plan.shorthand import Short, keyed
from cagewright.plan.source import where_at
from cagewright.plan.text import Source, parse
from cagewright.plan.types import Role
from cagewright.plan.wording import entry_of
from cagewright.stock.catalogue import steels as built_in_steels

MOST_TURN = math.radians(165.0)
"""No tube is bent further round than this."""
Fit = Literal["square", "notch", "unknown"]
"""How an end of a bought tube was left: sawn square, notched, or nobody has looked yet."""


def _told(value: Any) -> Any:
    return None if isinstance(value, str) and value.strip().lower() == CANNOT_TELL else value


_UNTOLD = Short(expand=_told, schema=lambda: {"const": CANNOT_TELL})


class EndEntry(ShortEntry):
    """How one end is cut.

    Attributes:
        cut: square across, a notch, or unknown.
        angle: of a notch, between the two tubes' axes.
        od: of the tube that the notch is for.
        offset: by how much the two axes pass each other; more than 0 where the other tube's lies a quarter
            turn on from the heel.
        clocking: from the inside of the nearest bend to the heel (the deepest place of the notch on the side
            where the tube is left longer), clockwise as seen along the tube from its start; on a tube
            without bends from one line drawn along it.
    """

    bare = "cut"

    cut: Fit = "notch"
    angle: Angle = math.pi / 2.0
    od: Positive | None = None
    offset: Length = 0.0
    clocking: Angle = 0.0

    @model_validator(mode="after")
    def _whole(self) -> Self:
        if self.cut != "notch":
            extra = self.model_fields_set - {"cut"}
            if extra:
                said = f"is {self.cut} and gives {' and '.join(sorted(extra))}"
                wanted = f"wanted {self.cut} alone, or a notch"
                raise PydanticCustomError("one-of", "{wanted}", {"found": said, "wanted": wanted})
            return self
        if self.od is None:
            wanted = "wanted od: the diameter of the tube that the notch is for"
            raise PydanticCustomError("no-notch", "{wanted}", {"found": "is a notch", "wanted": wanted})
        if not math.radians(15.0) <= self.angle <= math.pi / 2.0 + 1e-9:
            said = f"is a notch at {math.degrees(self.angle):g} deg"
            wanted = "wanted 15 to 90 deg, the lesser angle between the two tubes"
            raise PydanticCustomError("notch-angle", "{wanted}", {"found": said, "wanted": wanted})
        return self


End = Annotated[
    EndEntry,
    Short(expand=keyed("cut", str), schema=lambda: {"enum": ["square", "unknown"]}),
]
"""In the file also the bare word ``square`` or ``unknown``."""


class BendEntry(Entry):
    """One bend: its angle, its centreline radius, and how far the tube was turned since the bend before."""

    angle: Annotated[Angle, Field(gt=0.0, le=MOST_TURN)]
    clr: Positive
    twist: Angle = 0.0


Straights = Annotated[tuple[NotNegative, ...], Field(min_length=1, max_length=40)]
Bends = Annotated[tuple[BendEntry, ...], Field(max_length=39)]


Price = Annotated[Number, Field(ge=0.0)]


class SetTubeEntry(Entry):
    """One tube of the set; what is not given is 'cannot tell'.

    Attributes:
        role: what it was bought as.
        side: which side of the car it is marked for, where it is marked.
        twin: a second one like it is in the set: ``alike`` (the very same) or ``mirrored``.
        spare: it is a spare and gets no place.
        od: outside diameter.
        wall: thickness of the wall.
        steel: by the paper that came with it.
        certificate: the paper: its kind and number.
        straights: from the start's furthest point to the first bend, bend to bend, to the end's furthest.
        bends: in order from the start.
        start: how the first end is cut.
        end: how the last end is cut.
        price: of the tube, or of the pair.
        note: the builder's.
    """

    role: Role
    side: Side | None = None
    twin: Literal["alike", "mirrored"] | None = None
    spare: YesNo = False
    od: Annotated[Positive | None, _UNTOLD] = None
    wall: Annotated[Positive | None, _UNTOLD] = None
    steel: Annotated[Text | None, _UNTOLD] = None
    certificate: Annotated[Text | None, _UNTOLD] = None
    straights: Annotated[Straights | None, _UNTOLD] = None
    bends: Annotated[Bends | None, _UNTOLD] = None
    start: End = EndEntry(cut="unknown")
    end: End = EndEntry(cut="unknown")
    price: Annotated[Price | None, _UNTOLD] = None
    note: Text = ""

    @model_validator(mode="after")
    def _fits_together(self, info: ValidationInfo) -> Self:
        units = (info.context or {}).get("units", "mm")
        _check_pair(self)
        _check_wall(self, units)
        _check_bends(self, units)
        steel, known = self.steel, (info.context or {}).get("steels")
        if steel is not None and known is not None and steel not in known:
            wanted = f"wanted a built-in steel, or '{CANNOT_TELL}': {listed(known)}"
            told = {"found": f"is of '{steel}'", "wanted": wanted, "like": (steel, list(islice(known, 100)))}
            raise PydanticCustomError("unknown-steel", "{wanted}", told)
        return self


def _refuse(code: str, found: str, wanted: str) -> None:
    raise PydanticCustomError(code, "{wanted}", {"found": found, "wanted": wanted})  # pyrefly: ignore[bad-argument-type]


def _check_pair(tube: SetTubeEntry) -> None:
    if tube.side and tube.twin:
        _refuse(
            "one-of",
            f"is marked {tube.side} and has a twin",
            "wanted side for one tube, twin for a pair: not both",
        )


def _check_wall(tube: SetTubeEntry, units: Any) -> None:
    if tube.od is not None and tube.wall is not None and tube.wall > tube.od / 2.0:
        said = f"has a wall of {say_length(tube.wall, units)} on {say_length(tube.od, units)}"
        _refuse("wall-too-thick", said, "wanted a wall of at most half the diameter")


def _check_bends(tube: SetTubeEntry, units: Any) -> None:
    if tube.straights is None or tube.bends is None:
        return
    count, bends = len(tube.straights), len(tube.bends)
    if count != bends + 1:
        said = f"has {bends} bends and {count} straights"
        _refuse("wrong-count", said, f"wanted {bends + 1} straights, 0 mm where two bends touch")
    if bends and tube.bends[0].twist:
        _refuse("twist-first", "gives a twist to its first bend", "wanted a twist from the second bend on")
    if not bends and not tube.straights[0]:
        _refuse("zero-straight", "has no length", "wanted the length from end to end")
    small = next((b.clr for b in tube.bends if tube.od is not None and b.clr <= tube.od / 2.0), None)
    if small is not None:
        said = f"has a bend of {say_length(small, units)} radius on {say_length(tube.od or 0.0, units)}"
        _refuse("clr-too-small", said, "wanted the radius of the centre line: more than half the diameter")


class SetFile(Entry):
    """A whole set file; ``bought_for`` is what the seller said that it fits, ``price`` that of the set."""

    cagewright_set: Version
    title: Text
    units: Literal["mm", "in"] = "mm"
    bought_for: Text = ""
    price: Annotated[Price | None, _UNTOLD] = None
    tubes: Annotated[dict[OwnName, SetTubeEntry], Field(min_length=1, max_length=60)]
    note: Text = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TubeSet:
    """A set as read; ``source`` is its text, for the places of problems, None for one made in code."""

    file: SetFile
    source: Source | None = None


def where_tube(tubes: TubeSet, name: str, key: str = "") -> Where:
    """Where a tube, or what it says under a key, stands in the set's file."""
    if tubes.source is None:
        return Where(file="set")
    return where_at(tubes.source, ("tubes", name, key) if key else ("tubes", name), point="key")


def read_set(path: Path | str) -> TubeSet:
    """The set in the file.

    Raises:
        ProblemsFound: every problem of the file.
    """
    where = Path(path)
    return _set(load(where, file=where.as_posix()))


def read_set_text(text: str, *, file: str = "set") -> TubeSet:
    """The set in the text; ``file`` is its name in problems.

    Raises:
        ProblemsFound: every problem of the text.
    """
    return _set(parse(text, file=file))


def _set(source: Source) -> TubeSet:
    known: Collection[str] = dict.fromkeys(built_in_steels())
    return TubeSet(file=entry_of(source, SetFile, steels=known), source=source)


# --- the file to fill in

USUAL: tuple[tuple[str, Role, str], ...] = (
    ("main_hoop", "main rollbar", ""),
    ("front_leg", "lateral half-rollbar", "mirrored"),
    ("header_bar", "transverse member", ""),
    ("backstay", "backstay", "alike"),
    ("diagonal_hoop", "diagonal", ""),
    ("harness_bar", "harness bar", ""),
    ("doorbar_low", "doorbar", "alike"),
    ("doorbar_top", "doorbar", "alike"),
    ("dash_bar", "dash bar", ""),
)
"""What the blank file asks for: the tubes that most sets have."""
_HEAD = """\
# A set of tubes that was bought bent. Lay each on the bench and write down what tape and gauge say; leave
# 'cannot tell' where you do not know: nothing is guessed. Take a tube out that is not in the set, add others.
#   straights  from the furthest point of the start to where the first bend begins, from bend to bend, and
#              to the furthest point of the end
#   bends      {angle: 62 deg, clr: 135, twist: 90 deg}, one each; twist is how far the tube is turned about
#              itself since the bend before, clockwise as you look along it from the start; 0 lies flat
#   start, end square, unknown, or a notch: {angle: 62 deg, od: 45, offset: 0, clocking: 90 deg}
#              angle between the two tubes, od of the tube it is for; clocking from the inside of the nearest
#              bend round to the heel, clockwise as you look along the tube from its start
#   side       left or right, where the tube is marked; twin: alike or mirrored, where a second one is there
# Then: cagewright set check THIS FILE, and cagewright draft SURVEY --set THIS FILE -o PLAN
"""


def blank_set_text(title: str) -> str:
    """The text of a set file to fill in: every tube there, nothing known of it."""
    lines = [_HEAD + "cagewright_set: 1", f"title: {_quoted(title)}", "units: mm", "tubes:"]
    for name, role, twin in USUAL:
        lines += [f"  {name}:", f"    role: {role}", *([f"    twin: {twin}"] if twin else [])]
        lines += [f"    {key}: {CANNOT_TELL}" for key in ("od", "wall", "steel", "certificate")]
        lines += [f"    {key}: {CANNOT_TELL}" for key in ("straights", "bends")]
        lines += ["    start: unknown", "    end: unknown"]
    return "\n".join(lines) + "\n"


def _quoted(title: str) -> str:
    kept = " ".join(title.split()).replace("\\", "/").replace('"', "'")
    return f'"{kept}"'
