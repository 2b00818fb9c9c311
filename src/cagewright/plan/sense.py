"""What can be seen to be impossible before any geometry is made."""

from __future__ import annotations

from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.plan.people import check_people
from cagewright.plan.report import ProblemReport
from cagewright.plan.size_types import size_fault
from cagewright.plan.source import Keys
from cagewright.plan.types import AtFoot, AtPoint, MemberEntry, Sections, TubeEntry


def check_sense(plan: Sections, report: ProblemReport) -> None:
    """Reports impossible tubes, bends without a radius, feet in mid path, self-cuts, bad pushes, people."""
    for name, tube in plan.tubes.items():
        _check_tube(name, tube, plan.units, report)
    for name, member in plan.members.items():
        _check_path(name, member, plan, report)
        _check_cut(name, member, report)
    for name, foot in plan.feet.items():
        clr = foot.at.clr if isinstance(foot.at, AtPoint) else None
        _check_end(clr, ("feet", name, "at"), report)
    for name, gusset in plan.gussets.items():
        if gusset.between[0] == gusset.between[1]:
            keys: Keys = ("gussets", name, "between", 1)
            found = f"{report.label(keys)} is '{gusset.between[1]}' again"
            report.add("same-member", keys, found, "wanted two different members")
    _check_pushes(plan, report)
    check_people(plan, report)


def _check_tube(name: str, tube: TubeEntry, units: LengthUnit, report: ProblemReport) -> None:
    wrong = size_fault(tube, units)
    if wrong is not None:
        report.add("wall-too-thick", ("tubes", name, wrong.key), f"tube {name} {wrong.found}", wrong.wanted)
    elif tube.clr is not None and not tube.is_round:
        found, wanted = (
            f"tube {name} is no round tube and has a clr",
            "wanted clr: only on round tube: a rail is not bent",
        )
        report.add("bent-rail", ("tubes", name, "clr"), found, wanted)
    elif tube.clr is not None:
        _check_radius(tube.clr, tube, ("tubes", name, "clr"), units, report)


def _check_radius(clr: float, tube: TubeEntry, keys: Keys, units: LengthUnit, report: ProblemReport) -> None:
    od = tube.od or 0.0
    if clr <= od / 2.0:
        radius, od, half = (say_length(v, units) for v in (clr, od, od / 2.0))
        found = f"{report.label(keys)} is {radius} on a tube of {od}"
        wanted = f"wanted a centreline radius of more than half the diameter, {half}"
        report.add("clr-too-small", keys, found, wanted)


def _check_path(name: str, member: MemberEntry, plan: Sections, report: ProblemReport) -> None:
    last, tube = len(member.path) - 1, plan.tubes.get(member.tube)
    no_radius: list[Keys] = []
    rail = tube is not None and not tube.is_round
    if rail and last > 1:
        found = f"{name} is a rail of {last + 1} places"
        report.add(
            "bent-rail", ("members", name, "path", 1), found, "wanted 2: a rail is straight; mitre two"
        )
    if rail and member.welds is not None:
        found = f"{name} is a rail and has welds"
        report.add("not-a-rail", ("members", name, "welds"), found, "wanted welds: only on round tube")
    for key in ("lies", "held"):
        if tube is not None and not rail and getattr(member, key):
            found, wanted = f"{name} has {key} and is of round tube", f"wanted {key}: only on a rail"
            report.add("not-a-rail", ("members", name, key), found, wanted)
    for i, place in enumerate(member.path):
        keys: Keys = ("members", name, "path", i)
        clr = None if isinstance(place, AtFoot) else place.clr
        if i in {0, last}:
            _check_end(clr, keys, report)
            continue
        if isinstance(place, AtFoot):
            found = f"{report.label(keys)} is the foot {place.foot} between the ends"
            report.add("foot-in-path", keys, found, "wanted a foot only at the first or last place")
        if rail:
            continue
        if tube is not None and clr is not None:
            _check_radius(clr, tube, (*keys, "clr"), plan.units, report)
        elif tube is not None and tube.clr is None and not isinstance(place, AtFoot):
            no_radius.append(keys)
    if no_radius:
        found = f"{name} bends at {_listed(no_radius)} and its tube {member.tube} has no clr"
        wanted = f"wanted clr: (centreline radius) at tube {member.tube}, or at each of these places"
        report.add("no-clr", no_radius[0], found, wanted)


def _listed(keys: list[Keys]) -> str:
    places = [str(int(k[-1]) + 1) for k in keys]
    return f"place {places[0]}" if len(places) == 1 else f"places {', '.join(places)}"


def _check_end(clr: float | None, keys: Keys, report: ProblemReport) -> None:
    if clr is not None:
        found = f"{report.label(keys)} is an end and has a clr"
        report.add(
            "clr-at-end", (*keys, "clr"), found, "wanted clr: only at places between the ends, where it bends"
        )


def _check_cut(name: str, member: MemberEntry, report: ProblemReport) -> None:
    for which, mains in member.cut or ():
        for i, main in enumerate(mains):
            if main in {name, member.mirror}:
                keys: Keys = ("members", name, "cut", which, i)
                whom = "itself" if main == name else f"its own mirror {main}"
                report.add("cut-itself", keys, f"{name} is cut on {whom}", "wanted another member")


def _check_pushes(plan: Sections, report: ProblemReport) -> None:
    for name, push in plan.pushes.items():
        needed = {"point": ("at", "direction"), "static": ("case",)}.get(push.kind, ())
        for key in needed if not (push.kind == "point" and push.case) else ():
            if not getattr(push, key):
                found = f"pushes.{name} is a {push.kind} push and has no '{key}'"
                report.add("missing-key", ("pushes", name), found, f"wanted '{key}: ...'")
