"""Every number of the shop's papers as plain data for a JSON file: mm, degrees, kg."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from cagewright.base.cautions import CAUTIONS
from cagewright.base.problems import Problem
from cagewright.make.bench import bench
from cagewright.make.bending import BendSheet, BendStep
from cagewright.make.cutlist import CutRow, Rough
from cagewright.make.holesaw import SawSetting
from cagewright.make.nesting import NestPlan, StockBar
from cagewright.make.weights import Weight, Weights
from cagewright.make.weldmap import Weld
from cagewright.make.work import Work, to_see_to
from cagewright.shape.types import Bend, Cope, End, Member
from cagewright.stock.benders import outside_trials
from cagewright.stock.sections import Section
from cagewright.stock.tubes import Tube

Plain = dict[str, Any]


def numbers(work: Work) -> Plain:
    """Everything worked out for the shop, JSON-ready: to 0.001 mm, 0.0001 degrees, 0.0001 kg.

    Keys name their unit (``_mm``, ``_deg``, ``_kg``); what is not known is null.
    """
    cage = work.cage
    return {
        "title": cage.title,
        "revision": cage.revision,
        "units_on_paper": cage.units,
        "cautions": list(CAUTIONS),
        "shop": {"name": work.shop.name, "kerf_mm": _mm(work.shop.kerf), "trim_mm": _mm(work.shop.trim)},
        "members": [_member(m, r) for m, r in zip(cage.members, work.cuts, strict=True)],
        "bends": [_bend_sheet(s) for s in work.bends],
        "nesting": [_nest(n) for n in work.nests],
        "hole_saws": [_saw(s) for s in work.saws],
        "welds": {
            "length_mm": _mm(work.welds.length),
            "filler_kg": _kg(work.welds.filler),
            "lines": [_weld(w) for w in work.welds.welds],
        },
        "weights": _weights(work.weights),
        "problems": [_problem(p) for p in to_see_to(work)],
    }


def _mm(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(float(value), 3) + 0.0


def _deg(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else round(math.degrees(value), 4) + 0.0


def _kg(value: float | None) -> float | None:
    return None if value is None else round(float(value), 4) + 0.0


def _list(values: np.ndarray[Any, Any], places: int = 3) -> list[Any]:
    return (np.round(values, places) + 0.0).tolist()


def _sides(section: Section) -> Plain:
    return {"shape": section.shape, "sides_mm": [_mm(section.width), _mm(section.depth)]}


def _tube(tube: Tube) -> Plain:
    return {
        **({"od_mm": _mm(tube.od)} if tube.is_round else _sides(tube.section)),
        "wall_mm": _mm(tube.wall), "steel": tube.steel.name,
    }  # fmt: skip


# --- members


def _member(member: Member, row: CutRow) -> Plain:
    return {
        "name": member.name,
        "role": member.role,
        "tube": _tube(member.tube),
        "tube_name": member.tube_name,
        "mirror_of": member.mirror_of,
        "removable": member.removable,
        "finished_mm": _mm(row.finished),
        "rough_mm": _mm(row.rough),
        "path_mm": _mm(member.path.length),
        "starts_at": row.spare.starts_at,
        "spare": _spare(row.spare),
        "bends": [_bend(b) for b in member.bends],
        "ends": [_end(e, words) for e, words in zip(member.ends, (row.start, row.end), strict=True)],
        "end_clocking_deg": _deg(member.end_clocking),
        "note": member.note,
    }


def _spare(spare: Rough) -> Plain:
    return {
        "first_mm": _mm(spare.first),
        "last_mm": _mm(spare.last),
        "for_grip_mm": _mm(spare.grip),
        "for_tail_mm": _mm(spare.tail),
    }


def _bend(bend: Bend) -> Plain:
    return {
        "apex_mm": _list(bend.apex),
        "angle_deg": _deg(bend.angle),
        "clr_mm": _mm(bend.clr),
        "clocking_deg": _deg(bend.clocking),
        "start_mm": _mm(bend.start),
        "stop_mm": _mm(bend.stop),
    }


def _end(end: End, words: str) -> Plain:
    common = {
        "which": end.which,
        "how": words,
        "joint": end.joint,
        "foot": end.foot,
        "clocking_deg": _deg(end.clocking),
        "trim_mm": _mm(end.trim),
        "weld_length_mm": _mm(end.cut.weld_length),
    }
    if not isinstance(end.cut, Cope):
        return {**common, "tilt_deg": _deg(end.cut.tilt)}
    return {**common, **_cope(end.cut)}


def _cope(cope: Cope) -> Plain:
    return {
        "mains": list(cope.mains),
        "angle_deg": _deg(cope.angle),
        "offset_mm": _mm(cope.offset),
        "phi_deg": _list(np.degrees(cope.phi), 4),
        "cut_mm": _list(cope.outside),
        "inside_mm": _list(cope.inside),
        "bevel_deg": _list(np.degrees(cope.bevel), 2),
        "least_bevel_deg": _deg(cope.least_bevel),
        "asymmetric_mm": _mm(cope.asymmetric),
        "bent_main": cope.bent_main,
    }


# --- bends


def _bend_sheet(sheet: BendSheet) -> Plain:
    on_bench = bench(sheet)
    return {
        "member": sheet.member,
        "starts_at": sheet.starts_at,
        "rough_mm": _mm(sheet.rough),
        "finished_mm": _mm(sheet.finished),
        "steps": [_step(s) for s in sheet.steps],
        "last_straight_mm": _mm(sheet.last_straight),
        "flat": on_bench.flat,
        "checks": [{"what": c.what, "mm": _mm(c.value), "opened_mm": _mm(c.opened)} for c in on_bench.checks],
        "points": [
            {"what": p.what, "along_mm": _mm(p.along), "across_mm": _mm(p.across), "up_mm": _mm(p.up)}
            for p in on_bench.points
        ],
    }


def _step(s: BendStep) -> Plain:
    return {
        "number": s.number,
        "bend": s.bend,
        "die": s.die,
        "clr_mm": _mm(s.clr),
        "straight_mm": _mm(s.straight),
        "start_mark_mm": _mm(s.start_mark),
        "centre_mark_mm": _mm(s.centre_mark),
        "stop_mark_mm": _mm(s.stop_mark),
        "arc_mm": _mm(s.arc),
        "angle_deg": _deg(s.angle),
        "set_angle_deg": _deg(s.set_angle),
        "springback_basis": s.rule.basis,
        "springback_scatter_deg": _deg(s.rule.scatter),
        "outside_trials": outside_trials(s.angle, s.rule),
        "set_by_theory_deg": _deg(None if s.rule.theory is None else s.rule.theory * s.angle),
        "rotation_clockwise_deg": _deg(s.rotation),
        "outer_wall_mm": _mm(s.outer_wall),
        "inner_wall_mm": _mm(s.inner_wall),
    }


# --- nesting


def _nest(plan: NestPlan) -> Plain:
    return {
        "tube": _tube(plan.tube),
        "objective": plan.objective,
        "bought_mm": _mm(plan.bought),
        "cost": None if plan.cost is None else round(plan.cost, 2),
        "bound": round(plan.bound, 3),
        "gap": round(plan.gap, 6),
        "proved": plan.proved,
        "rests_proved": plan.rests_proved,
        "kept_mm": _mm(plan.kept),
        "waste_mm": _mm(plan.waste),
        "bars": [_bar(b) for b in plan.bars],
        "unplaced": [{"member": p.name, "length_mm": _mm(p.length)} for p in plan.unplaced],
    }


def _bar(bar: StockBar) -> Plain:
    return {
        "source": bar.source,
        "name": bar.name,
        "length_mm": _mm(bar.length),
        "price": bar.price,
        "pieces": [{"member": p.name, "length_mm": _mm(p.length), "at_mm": _mm(p.at)} for p in bar.pieces],
        "kerf_mm": _mm(bar.kerf),
        "rest_mm": _mm(bar.rest),
    }


# --- saws, welds, weights, problems


def _saw(s: SawSetting) -> Plain:
    return {
        "member": s.member,
        "which": s.which,
        "main": s.main,
        "simple": s.simple,
        "reason": s.reason,
        "wanted_mm": _mm(s.wanted),
        "saw_mm": _mm(s.saw),
        "angle_deg": _deg(s.angle),
        "offset_mm": _mm(s.offset),
        "towards_deg": _deg(s.towards),
        "depth_mm": _mm(s.depth),
        "gap_mm": _mm(s.gap),
    }


def _weld(w: Weld) -> Plain:
    return {
        "name": w.name,
        "kind": w.kind,
        "parts": list(w.members),
        "length_mm": _mm(w.length),
        "throat_mm": _mm(w.throat),
        "leg_mm": _mm(w.leg),
        "least_angle_deg": _deg(w.least_angle),
        "under_60_mm": _mm(w.narrow),
        "over_120_mm": _mm(w.wide),
        "filler_kg": _kg(w.filler),
    }


def _weights(weights: Weights) -> Plain:
    return {
        "mass_kg": _kg(weights.mass),
        "centre_mm": _list(weights.centre),
        "parts": [_weight(p) for p in weights.parts],
    }


def _weight(part: Weight) -> Plain:
    return {"name": part.name, "kind": part.kind, "mass_kg": _kg(part.mass), "centre_mm": _list(part.centre)}


def _problem(p: Problem) -> Plain:
    return {"code": p.code, "where": str(p.where), "found": p.found, "wanted": p.wanted}
