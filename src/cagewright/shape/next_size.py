"""The next size of tube up or down that a cage's members could be made of."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Literal

from cagewright.shape.types import Cage, member_named
from cagewright.stock.catalogue import sizes
from cagewright.stock.sections import properties, round_section
from cagewright.stock.shop import Shop
from cagewright.stock.tubes import Tube

SAME = 0.01
"""A size whose plastic modulus is within this share of the tube's own is no step up or down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NextSize:
    """A size to take instead: ``od`` and ``wall`` in mm, and whether the shop stocks it in that steel."""

    od: float
    wall: float
    sold: Literal["stock", "catalogue"]


def next_sizes(cage: Cage, shop: Shop, members: Collection[str], *, heavier: bool) -> tuple[NextSize, ...]:
    """The sizes ahead of the members' own by plastic modulus, the nearest first.

    Of what the shop stocks in their steel, those it can bend where a member is bent and that can be coped:
    no wider than what a member lands on, no narrower than what lands on it. Only where there is none of
    these, sizes of the catalogue in the builder's units, that can be coped.

    Raises:
        ValueError: no member is named, or they are not all of one tube.
    """
    made = [member_named(cage, name) for name in members]
    if len({m.tube for m in made}) != 1:
        raise ValueError("the members are not of one tube")
    tube, way = made[0].tube, 1.0 if heavier else -1.0
    if not tube.is_round:
        return ()
    here = tube.properties.plastic
    low, high = _room(cage, members)

    def ahead(od: float, wall: float) -> bool:
        return low <= od <= high and way * (properties(round_section(od, wall)).plastic / here - 1.0) > SAME

    dies = {d.od for d in shop.dies} if any(m.bends for m in made) else set[float]()
    stock = (
        (s.od, s.wall)
        for s in shop.stock
        if s.shape == "round"
        and s.steel == tube.steel.name
        and (not dies or any(abs(s.od - d) <= 0.5 for d in dies))
    )
    catalogue = ((r.od, r.wall) for r in sizes() if r.name.endswith(" in") == (cage.units != "mm"))
    mine = {s for s in stock if ahead(*s)}
    found = sorted(
        mine or {s for s in catalogue if ahead(*s)}, key=lambda s: way * properties(round_section(*s)).plastic
    )
    return tuple(NextSize(od=od, wall=wall, sold="stock" if mine else "catalogue") for od, wall in found)


def _room(cage: Cage, members: Collection[str]) -> tuple[float, float]:
    """Least and greatest outside diameter, mm, that the joints with other members allow."""
    tubes: dict[str, Tube] = {m.name: m.tube for m in cage.members}
    on = [tubes[j.branch].across for j in cage.joints if j.branch not in members and {*j.mains} & {*members}]
    under = [
        tubes[main].across
        for j in cage.joints
        if j.branch in members
        for main in j.mains
        if main not in members
    ]
    return max(on, default=0.0), min(under, default=float("inf"))
