"""The two quick answers a shop wants without a plan: one cope, one bend."""

from __future__ import annotations

import math
from dataclasses import dataclass

from cagewright.base.answers import Answer
from cagewright.base.drawing import Drawing
from cagewright.base.say import say_angle, say_length
from cagewright.base.sheet import Paper
from cagewright.base.units import MM_PER_IN
from cagewright.shape.quick import simple_cope
from cagewright.stock.benders import PRACTICE_WORDS, inner_wall, outer_wall, set_angle, springback
from cagewright.stock.catalogue import steels as _steels
from cagewright.stock.tubes import round_tube

TITLE = "One cope, from no plan"


@dataclass(frozen=True, slots=True, kw_only=True)
class CopeAsked:
    """A cope: the branch's diameter and wall and the main's diameter, mm; angle, rad; offset, mm."""

    od: float
    wall: float
    main: float
    angle: float
    offset: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CopeAnswer(Answer):
    """One cope; null where the wall meets no main.

    Attributes:
        phi_deg: round the branch, 0 on the heel.
        cut_mm: cut distance from the main's axis along the branch, on the outside.
        inside_mm: the same on the bore.
        bevel_deg: angle between branch and main there.
        weld_length_mm: of the weld line.
        misses_main: somewhere round the branch its wall meets no main.
    """

    phi_deg: tuple[float, ...]
    cut_mm: tuple[float | None, ...]
    inside_mm: tuple[float | None, ...]
    bevel_deg: tuple[float | None, ...]
    weld_length_mm: float
    least_bevel_deg: float
    misses_main: bool


def quick_cope(asked: CopeAsked, points: int) -> CopeAnswer:
    """The cope's figures at so many points round the branch."""
    found = simple_cope(
        branch_od=asked.od, branch_wall=asked.wall, main_od=asked.main, angle=asked.angle,
        offset=asked.offset, points=points,
    )  # fmt: skip
    misses = bool((found.on < 0).any())
    weld = f"{say_angle(asked.angle)} cope, weld line {say_length(found.weld_length, 'mm')}"
    return CopeAnswer(
        headline=f"{weld}; the wall misses the main in places" if misses else weld,
        level="look at" if misses else "fine",
        phi_deg=tuple(round(math.degrees(v), 6) for v in found.phi),
        cut_mm=tuple(_finite(v) for v in found.outside),
        inside_mm=tuple(_finite(v) for v in found.inside),
        bevel_deg=tuple(_finite(math.degrees(v)) for v in found.bevel),
        weld_length_mm=round(found.weld_length, 4),
        least_bevel_deg=round(math.degrees(found.least_bevel), 4),
        misses_main=misses,
    )


def _finite(value: float) -> float | None:
    return round(float(value), 6) + 0.0 if math.isfinite(value) else None


def cope_wrap(asked: CopeAsked, paper: Paper) -> tuple[Drawing, tuple[Drawing, ...]]:
    """The cope's wrap at true scale: alone, and on pages of that paper."""
    from cagewright.make.pages import PageText, wrap_pages  # the plain answer need not wait for these
    from cagewright.make.wrapdraw import wrap_drawing
    from cagewright.make.wraps import cut_wrap

    found = simple_cope(
        branch_od=asked.od, branch_wall=asked.wall, main_od=asked.main, angle=asked.angle,
        offset=asked.offset, points=360,
    )  # fmt: skip
    wrap = cut_wrap(found, od=asked.od, wall=asked.wall, units="mm")
    return wrap_drawing(wrap), wrap_pages((wrap,), paper, text=PageText(title=TITLE, revision="none"))


@dataclass(frozen=True, slots=True, kw_only=True)
class BendAnswer(Answer):
    """One bend; null where a figure is not known.

    Attributes:
        arc_mm: length along the centreline.
        setback_mm: from the apex to where the bend begins; None for half a turn.
        outer_wall_mm: wall left on the outside.
        inner_wall_mm: wall on the inside.
        outer_thinning_pct: how much the outer wall thins, %.
        radius_in_diameters: centreline radius over the tube's diameter.
        springback_deg: how much further to bend, by common practice.
        springback_basis: what that rests on.
        theory_deg: how far it springs back by theory alone, which is less than shops see.
    """

    arc_mm: float
    setback_mm: float | None
    outer_wall_mm: float
    inner_wall_mm: float
    outer_thinning_pct: float
    radius_in_diameters: float
    clr_in: float
    springback_deg: float
    set_to_deg: float
    springback_basis: str
    theory_deg: float | None
    steel: str


def steel_names() -> tuple[str, ...]:
    """The steels of the catalogue."""
    return tuple(_steels())


def quick_bend(*, od: float, wall: float, clr: float, angle: float, steel: str) -> BendAnswer:
    """Every figure of one bend; lengths in mm, the angle wanted after release in rad."""
    tube = round_tube(od=od, wall=wall, steel=_steels()[steel])
    rule = springback(tube, clr)
    set_to = set_angle(angle, rule)
    return BendAnswer(
        headline=f"set {say_angle(set_to)} for {say_angle(angle)}: {PRACTICE_WORDS}; make two trial bends",
        level="look at",
        arc_mm=round(clr * angle, 3),
        setback_mm=round(clr * math.tan(angle / 2.0), 3) if angle < math.pi - 1e-9 else None,
        outer_wall_mm=round(outer_wall(tube, clr), 3),
        inner_wall_mm=round(inner_wall(tube, clr), 3),
        outer_thinning_pct=round(100.0 * (1.0 - outer_wall(tube, clr) / tube.wall), 2),
        radius_in_diameters=round(clr / tube.od, 3),
        clr_in=round(clr / MM_PER_IN, 4),
        springback_deg=round(math.degrees(set_to - angle), 3),
        set_to_deg=round(math.degrees(set_to), 3),
        springback_basis=PRACTICE_WORDS,
        theory_deg=None if rule.theory is None else round(math.degrees((rule.theory - 1.0) * angle), 3),
        steel=steel,
    )
