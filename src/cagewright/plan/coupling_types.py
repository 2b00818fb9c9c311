"""What a plan says of couplings, where a tube comes apart or is joined end to end, and of capped ends."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import ConfigDict, Field, model_validator
from pydantic_core import PydanticCustomError

from cagewright.plan.places import Entry, Text
from cagewright.plan.quantities import Count, Positive

CouplingKind = Literal["flange", "double lug", "sleeve", "tapered sleeve", "inner sleeve"]
"""Bolted flanges, lugs with a pin, a bolted sleeve over the tube, or a butt welded over a sleeve inside."""
WELDED = ("inner sleeve",)
"""Kinds that do not come apart."""


class CouplingBolts(Entry):
    """Its bolts or pin: how many (of a sleeve on each side), diameter, grade; what is not said is usual.

    ``slip`` is the friction coefficient of faces that are clamped by preloaded bolts.
    """

    count: Count | None = None
    size: Positive | None = None
    grade: Text = ""
    slip: Annotated[float, Field(gt=0.0, le=0.6)] | None = None


class CouplingEntry(Entry):
    """A coupling in a straight of a tube.

    Attributes:
        along: how far from that end of the member's path its middle is.
        end: which end that is counted from.
        kind: how it is made.
        thickness: of each flange or lug, or of a sleeve's wall.
        width: a flange's diameter, or a lug's width.
        length: of a sleeve.
        bolts: what is not as usual of its bolts or pin.
    """

    along: Positive
    end: Literal["start", "end"] = "start"
    kind: CouplingKind
    thickness: Positive | None = None
    width: Positive | None = None
    length: Positive | None = None
    bolts: CouplingBolts | None = None

    @model_validator(mode="after")
    def _of_its_kind(self) -> Self:
        sleeve = "sleeve" in self.kind
        if sleeve and self.width is not None:
            _refuse(self.kind, "width", "a sleeve's width goes by the tube")
        if not sleeve and self.length is not None:
            _refuse(self.kind, "length", "only a sleeve has one")
        if self.kind in WELDED and self.bolts is not None:
            _refuse(self.kind, "bolts", "it is welded")
        return self


def _refuse(kind: str, key: str, why: str) -> None:
    raise PydanticCustomError(
        "one-of", "{wanted}", {"found": f"is a {kind} with {key}", "wanted": f"wanted none: {why}"}
    )


class CapsEntry(Entry):
    """Ends that are closed with a welded disc, and may then end in the open: the disc's thickness."""

    model_config = ConfigDict(json_schema_extra={"minProperties": 1})

    start: Positive | None = None
    end: Positive | None = None

    @model_validator(mode="after")
    def _some(self) -> Self:
        if self.start is None and self.end is None:
            told = {"found": "caps no end", "wanted": "wanted start or end"}
            raise PydanticCustomError("one-of", "{wanted}", told)
        return self
