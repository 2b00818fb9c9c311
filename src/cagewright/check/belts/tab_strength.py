"""What a belt's tab, its bolt and its welds carry, by published formulas. Forces in N, lengths in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.plan.types import TabEntry
from cagewright.stock.bolts import GAMMA_M2, BoltGrade, BoltSize, shear_force, tension_force
from cagewright.stock.steels import Certainty
from cagewright.stock.tubes import Tube

GAMMA_M0 = 1.0
"""Partial factor on yielding (EN 1993-1-1:2005 6.1, second-hand)."""
GAMMA_M5 = 1.0
"""Partial factor on hollow section joints (EN 1993-1-8:2005 2.2, from memory)."""
PHI = 0.75
"""Resistance factor of a pin-connected plate in breaking (AISC LRFD specification D3.1, read)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Carries:
    """What one part carries.

    The force is in N; ``source`` and ``certainty`` are the formula's.
    """

    part: str
    force: float
    source: str
    certainty: Certainty


def net_section(tab: TabEntry) -> Carries:
    """The tab's strength across the hole, N: the less of w t fy / M0 and 0.9 (w - d0) t fu / M2.

    EN 1993-1-1:2005 6.2.3 (2), from memory, unchecked.
    """
    gross = tab.width * tab.thickness * tab.yield_strength / GAMMA_M0
    net = 0.9 * (tab.width - tab.hole) * tab.thickness * tab.tensile / GAMMA_M2
    return Carries(
        part="the tab across its hole",
        force=max(min(gross, net), 0.0),
        source="EN 1993-1-1:2005 6.2.3 (2), from memory, unchecked",
        certainty="memory",
    )


def bearing(tab: TabEntry, bolt: BoltSize, grade: BoltGrade) -> Carries:
    """The tab's strength against the bolt, N: k1 ab fu d t / M2.

    ab = min(e1 / 3 d0, fub / fu, 1), k1 = min(2.8 e2 / d0 - 1.7, 2.5).
    EN 1993-1-8:2005 Table 3.4, second-hand.
    """
    ab = min(tab.end / (3.0 * tab.hole), grade.tensile / tab.tensile, 1.0)
    k1 = max(min(2.8 * (tab.width / 2.0) / tab.hole - 1.7, 2.5), 0.0)
    return Carries(
        part="the tab against the bolt",
        force=k1 * ab * tab.tensile * bolt.diameter * tab.thickness / GAMMA_M2,
        source="EN 1993-1-8:2005 Table 3.4, as restated on two pages",
        certainty="second-hand",
    )


def tear_out(tab: TabEntry, bolt: BoltSize) -> Carries:
    """The tab's strength against the bolt tearing out of its end, N: phi 0.6 fu 2 t (a + d/2).

    a is from the edge of the hole to the tab's end; AISC LRFD specification D3.1 (b), read in a copy.
    """
    clear = max(tab.end - tab.hole / 2.0, 0.0)
    return Carries(
        part="the tab's end beyond the bolt",
        force=PHI * 0.6 * tab.tensile * 2.0 * tab.thickness * (clear + bolt.diameter / 2.0),
        source="AISC LRFD specification D3.1 (b), read in a copy",
        certainty="read",
    )


def bolt_shear(bolt: BoltSize, grade: BoltGrade, planes: int) -> Carries:
    """The bolt's strength in shear with threads in the shear plane, N: av fub As / M2 a plane.

    EN 1993-1-8:2005 Table 3.4, second-hand.
    """
    return Carries(
        part=f"the bolt, {bolt.name} grade {grade.name}, in shear",
        force=shear_force(bolt, grade, planes),
        source="EN 1993-1-8:2005 Table 3.4, as restated on two pages",
        certainty="second-hand",
    )


def bolt_tension(bolt: BoltSize, grade: BoltGrade) -> Carries:
    """The bolt's strength along its axis, N: 0.9 fub As / M2 (EN 1993-1-8:2005 Table 3.4, second-hand)."""
    return Carries(
        part=f"the bolt, {bolt.name} grade {grade.name}, along its axis",
        force=tension_force(bolt, grade),
        source="EN 1993-1-8:2005 Table 3.4, as restated on two pages",
        certainty="second-hand",
    )


def bolt_any_way(bolt: BoltSize, grade: BoltGrade, planes: int = 1) -> Carries:
    """The bolt's strength pulled in its worst direction, N.

    From Fv/FvRd + Ft/(1.4 FtRd) <= 1 (EN 1993-1-8:2005 Table 3.4, second-hand): a pull F at any angle to the
    bolt uses at most F sqrt(1/FvRd^2 + 1/(1.4 FtRd)^2).
    """
    across, along = bolt_shear(bolt, grade, planes).force, 1.4 * bolt_tension(bolt, grade).force
    return Carries(
        part=f"the bolt, {bolt.name} grade {grade.name}, pulled at its worst angle",
        force=1.0 / math.hypot(1.0 / across, 1.0 / along),
        source="EN 1993-1-8:2005 Table 3.4, as restated on two pages",
        certainty="second-hand",
    )


def weld_stress(tensile: float) -> float:
    """The design shear strength of a fillet weld's throat, MPa: fu / (sqrt 3 bw M2).

    EN 1993-1-8:2005 4.5.3.3, second-hand; bw from its Table 4.1 (0.8, 0.85, 0.9, 1.0 for S235, S275, S355 and
    stronger), second-hand.

    ``tensile`` is of the weaker part joined, MPa.
    """
    table = ((360.0, 0.8), (430.0, 0.85), (510.0, 0.9))
    bw = next((factor for most, factor in table if tensile <= most), 1.0)
    return tensile / (math.sqrt(3.0) * bw * GAMMA_M2)


def weld(tab: TabEntry, tube: Tube | None) -> Carries | None:
    """What two fillets along the tab's base carry pulled off without a lever, N; None where not known.

    2 a (l - 2a) fvw.d: the simplified method, whatever the direction, less an end of one throat at each end
    (EN 1993-1-8:2005 4.5.1 and 4.5.3.3, second-hand).
    """
    tube_tensile = tube.steel.tensile if tube else tab.tensile
    if tab.throat is None or tube_tensile is None:
        return None
    tensile = min(tab.tensile, tube_tensile)
    length = max((tab.root or tab.width) - 2.0 * tab.throat, 0.0)
    return Carries(
        part="the tab's welds",
        force=2.0 * tab.throat * length * weld_stress(tensile),
        source="EN 1993-1-8:2005 4.5.3.3, as restated on a page",
        certainty="second-hand",
    )


def tube_wall(tab: TabEntry, tube: Tube) -> Carries | None:
    """What the tube's wall carries under a tab along it pulled square off it, N; None on a rail or unknown.

    5 fy0 t0^2 (1 + 0.25 h/d0) / M5, h/d0 at most 4; EN 1993-1-8:2005 Table 7.3, from memory, unchecked, with
    no other stress in the tube's wall (kp = 1).
    """
    if tube.steel.yield_strength is None or not tube.is_round:
        return None
    eta = min((tab.root or tab.width) / tube.od, 4.0)
    return Carries(
        part="the tube's wall under the tab",
        force=5.0 * tube.steel.yield_strength * tube.wall**2 * (1.0 + 0.25 * eta) / GAMMA_M5,
        source="EN 1993-1-8:2005 Table 7.3, from memory, unchecked",
        certainty="memory",
    )


def sideways_yield_angle(tab: TabEntry, pull: float) -> float:
    """How far a pull may be off the tab's plane before the tab bends for good, rad; pi/2 where it never does.

    The lever is from the hole to the weld: F sin(a) reach = fy b t^2 / 4 (plastic bending of a flat strip).

    Args:
        tab: the tab.
        pull: N.
    """
    plastic = tab.yield_strength * (tab.root or tab.width) * tab.thickness**2 / 4.0
    share = plastic / (pull * tab.reach)
    return math.pi / 2.0 if share >= 1.0 else math.asin(share)
