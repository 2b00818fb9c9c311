"""What only the bench can tell: readings taken on the steel, not known from the plan."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from cagewright.check.said import Sort

GaugedValue = float | bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """One thing the bench can measure: ``sort`` of amount (None: yes or no), what it is ``per``, and how."""

    sort: Sort | None
    per: str
    how: str


QUANTITIES: Mapping[str, Gauge] = MappingProxyType({
    "ovality": Gauge(sort="ratio", per="member", how="least over greatest diameter at the worst bend"),
    "wall": Gauge(sort="fine", per="member or tube", how="wall gauged on a straight part"),
    "straightness": Gauge(sort="fine", per="member", how="greatest bow off a straight edge"),
    "inspection hole": Gauge(sort="fine", per="member", how="diameter of the inspection hole"),
    "welds all round": Gauge(sort=None, per="joint", how="the weld closes on itself all round the tube"),
    "welds without cracks": Gauge(sort=None, per="joint", how="no crack seen in the weld"),
    "undercut": Gauge(sort="fine", per="joint", how="deepest undercut beside the weld"),
    "padding thickness": Gauge(sort="fine", per="member", how="thickness of the padding"),
    "foot gussets": Gauge(sort="count", per="foot", how="gussets between the tube and the foot's plate"),
    "cover plate": Gauge(sort="fine", per="member", how="thickness of the plate outside the doorbars"),
    "lug thickness": Gauge(sort="fine", per="member", how="thickness of a removable joint's lugs"),
    "lug width": Gauge(sort="fine", per="member", how="width of a removable joint's lugs"),
    "pin size": Gauge(sort="fine", per="member", how="diameter of a removable joint's pin or bolt"),
    "sleeve length": Gauge(sort="fine", per="member", how="length of a removable joint's sleeve"),
    "sleeve wall": Gauge(sort="fine", per="member", how="wall of a removable joint's sleeve"),
    "edge distance": Gauge(sort="ratio", per="foot", how="hole centre to plate edge over the bolt's size"),
    "gusset hole": Gauge(sort="fine", per="gusset", how="diameter of the hole in the gusset's sheet"),
    "gusset cut-out": Gauge(sort="fine", per="gusset", how="radius of the cut-out at the gusset's corner"),
    "pillar dimension A": Gauge(sort="length", per="member", how="dimension A of the book's drawing 253-15"),
    "seat plate area": Gauge(sort="area", per="seat mount", how="area of the plate under the seat's mount"),
    "seat plate thickness": Gauge(sort="fine", per="seat mount", how="thickness of that plate"),
    "proof travel": Gauge(sort="length", per="member", how="travel at the proof load"),
    "carbon": Gauge(sort="percent", per="tube", how="carbon on the mill sheet, %"),
    "manganese": Gauge(sort="percent", per="tube", how="manganese on the mill sheet, %"),
    "other elements": Gauge(sort="percent", per="tube", how="largest other additive on the mill sheet, %"),
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauged:
    """What was read or reckoned beside the cage.

    Attributes:
        readings: by quantity (a key of ``QUANTITIES``), then by member, joint, foot, gusset or tube name.
        unreached: joints that no torch gets all round in the order planned, and what is in the way.
    """

    readings: Mapping[str, Mapping[str, GaugedValue]] = field(
        default_factory=dict[str, Mapping[str, GaugedValue]]
    )
    unreached: Mapping[str, str] = field(default_factory=dict[str, str])

    def __post_init__(self) -> None:
        unknown = set(self.readings) - set(QUANTITIES)
        if unknown:
            raise ValueError(f"the bench measures no {sorted(unknown)}")


NOT_MEASURED = Gauged()
"""Nothing has been built yet."""


def reading(bench: Gauged, quantity: str, *names: str) -> GaugedValue | None:
    """The reading of that quantity under the first of the names that has one, or None.

    Raises:
        KeyError: no such quantity.
    """
    if quantity not in QUANTITIES:
        raise KeyError(quantity)
    taken = bench.readings.get(quantity, {})
    return next((taken[name] for name in names if name in taken), None)
