"""The size of a bar as plan and shop files say it: round tube by its diameter, or another section."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal, Self

from pydantic import ConfigDict, model_validator
from pydantic_core import PydanticCustomError

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.plan.places import Entry
from cagewright.plan.quantities import NotNegative, Positive
from cagewright.stock.sections import Section, Shape

SIZES: tuple[Literal["od", "square", "rectangle", "angle", "flat"], ...] = (
    "od", "square", "rectangle", "angle", "flat",
)  # fmt: skip
"""The keys of which a size gives exactly one."""


class SizeEntry(Entry):
    """A size.

    Attributes:
        od: outside diameter of round tube.
        square: side of square tube.
        rectangle: sides of rectangular tube: the one it lies on, and its height.
        angle: legs of an angle: the one it lies on, and the one that stands.
        flat: width of flat bar; its thickness is its wall.
        wall: of tube, or thickness of angle and flat bar.
        corner: outside radius of square and rectangular tube's corners, or of the fillet between an angle's
            legs; sharp where not given.
    """

    model_config = ConfigDict(json_schema_extra={"oneOf": [{"required": [key]} for key in SIZES]})

    od: Positive | None = None
    square: Positive | None = None
    rectangle: tuple[Positive, Positive] | None = None
    angle: tuple[Positive, Positive] | None = None
    flat: Positive | None = None
    wall: Positive
    corner: NotNegative | None = None

    @model_validator(mode="before")
    @classmethod
    def _has_a_size(cls, said: Any) -> Any:
        if isinstance(said, dict) and not any(key in said for key in SIZES):
            raise PydanticCustomError("missing-key", "{wanted}", {"wanted": "wanted 'od: ...'"})
        return said

    @model_validator(mode="after")
    def _one_size(self) -> Self:
        said = [key for key in SIZES if getattr(self, key) is not None]
        if len(said) > 1:
            told = {"found": f"has {' and '.join(said)}", "wanted": f"wanted one of {', '.join(SIZES)}"}
            raise PydanticCustomError("one-of", "{wanted}", told)
        if self.corner and said[0] in {"od", "flat"}:
            told = {
                "found": f"has a corner on {said[0]}",
                "wanted": "wanted it only on square, rectangle or angle",
            }
            raise PydanticCustomError("one-of", "{wanted}", told)
        return self

    @property
    def sides(self) -> tuple[float, float]:
        """Its first side and its second; an outside diameter twice, a flat bar's width and thickness, mm."""
        if self.rectangle or self.angle:
            return self.rectangle or self.angle or (0.0, 0.0)
        first = self.od or self.square or self.flat or 0.0
        return (first, self.wall) if self.flat else (first, first)

    @property
    def shape(self) -> Shape:
        """What it is."""
        shapes: tuple[Shape, ...] = ("round", "square", "rectangle", "angle", "flat")
        return next(shape for shape, key in zip(shapes, SIZES, strict=True) if getattr(self, key))

    @property
    def is_round(self) -> bool:
        """Whether it is round tube."""
        return self.od is not None

    @property
    def across(self) -> float:
        """Outside diameter, or that of the circle round another section, mm."""
        return 2.0 * self.section.reach

    @property
    def section(self) -> Section:
        """The section.

        Raises:
            ValueError: there can be no such section.
        """
        width, depth = self.sides
        return Section(shape=self.shape, width=width, depth=depth, wall=self.wall, corner=self.corner or 0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeFault:
    """Why there can be no such size: which key is wrong, what was found and what was wanted."""

    key: str
    found: str
    wanted: str


def size_fault(size: SizeEntry, units: LengthUnit) -> SizeFault | None:
    """What is wrong with the size, or None."""
    wall = say_length(size.wall, units)
    if size.flat is not None:
        if size.wall <= size.flat:
            return None
        found = f"is a flat of {say_length(size.flat, units)} and {wall} thick"
        return SizeFault(key="wall", found=found, wanted="wanted its width first: flat at least its wall")
    sides = (size.od or size.square or 0.0,) if size.od or size.square else size.rectangle or size.angle or ()
    least = min(sides)
    if size.wall > least / 2.0:
        of = " x ".join(say_length(v, units) for v in sides)
        half = "half the diameter" if size.od else "half its shorter leg" if size.angle else "half its side"
        found = f"of {of} has a wall of {wall}"
        return SizeFault(key="wall", found=found, wanted=f"wanted a wall of at most {half}")
    room = least - size.wall if size.angle else least / 2.0
    if size.corner is not None and size.corner > room:
        found = f"has corners of {say_length(size.corner, units)} radius"
        return SizeFault(key="corner", found=found, wanted=f"wanted at most {say_length(room, units)}")
    return None
