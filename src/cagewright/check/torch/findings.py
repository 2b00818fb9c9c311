"""Findings about torch access: full welding all round every joint is the rule."""

from __future__ import annotations

import math
from collections.abc import Iterable

from cagewright.base.answers import Value
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.check.body.finding import body_finding
from cagewright.check.findings import Finding, Location
from cagewright.check.torch.access import Access, WeldArc, torch_access
from cagewright.check.torch.poses import TORCH, Torch
from cagewright.check.torch.stages import Stage, body_cloud
from cagewright.shape.scan import Scan
from cagewright.shape.shell import shell_of
from cagewright.shape.types import Cage

ACCESS = "torch-access"
REAL = 0.002
"""An unreachable share of a weld smaller than this is the sampling's own, not the torch's."""


def torch_findings(
    cage: Cage, scan: Scan | None, *, stages: tuple[Stage, ...] | None = None, torch: Torch = TORCH
) -> tuple[Finding, ...]:
    """One finding for each weld line: the share a torch can reach, when, and what to do about the rest."""
    shell = shell_of(cage, scan)
    _, taken = body_cloud(cage, shell)
    return tuple(
        access_finding(access, taken, torch, cage.units)
        for access in torch_access(cage, shell, stages=stages, torch=torch)
    )


def unreached(findings: Iterable[Finding]) -> dict[str, str]:
    """The joints that no torch gets all round in the order planned, and what to do about each."""
    return {
        joint: f.advice
        for f in findings
        if f.rule == ACCESS and f.verdict in {"fail", "look at"}
        for joint in f.where.joints
    }


def access_finding(access: Access, taken: str, torch: Torch, units: LengthUnit) -> Finding:
    """The finding for one weld line.

    ``taken`` says in words what the body was taken from.
    """
    lost = [arc for arc in access.arcs if arc.when != "earlier"]
    unsure = sum(arc.share for arc in lost if arc.when == "floor")
    short = 1.0 - access.ever
    fails = short - unsure > REAL
    verdict = "fail" if fails else "look at" if short > REAL else "pass"
    name, line = access.line.name, access.line
    where = Location(
        members=(line.branch,),
        joints=(name,) if line.kind == "joint" else (),
        feet=(name,) if line.kind == "foot" else (),
        point=_place(lost[0] if lost else None, access),
    )
    return body_finding(
        ACCESS,
        "a torch can stand at every point of the weld, all round",
        verdict,
        where=where,
        measured=Value(value=100.0 * access.ever, unit="%", said=words(access)),
        limit="100 % of the joint",
        why=f"torch: {_torch_words(torch, units)} ({torch.source}); {taken}",
        advice=remedies(access, torch, units) if verdict != "pass" else "",
    )


def _place(arc: WeldArc | None, access: Access) -> tuple[float, float, float]:
    point = access.line.points[0] if arc is None else arc.point
    return float(point[0]), float(point[1]), float(point[2])


def _torch_words(torch: Torch, units: LengthUnit) -> str:
    work, travel = math.degrees(torch.work_slack), math.degrees(torch.travel_slack)
    sizes = (torch.nozzle, torch.nozzle_length, torch.stickout)
    nozzle, long, wire = (say_length(size, units, places=0) for size in sizes)
    return (
        f"{nozzle} nozzle, {long} long, {wire} of wire, {work:.0f}° work and {travel:.0f}° travel either way"
    )


def words(access: Access) -> str:
    """The access in words: all of it in place, or the share at each step and what only then."""
    if access.shares and 1.0 - access.last <= REAL:
        return f"100 % can be reached {access.shares[-1][0]}"
    whole = 1.0 - access.ever <= REAL
    shares = [] if whole else [f"{100.0 * s:.0f} % {name}" for name, s in access.shares if s is not None]
    early = [arc for arc in access.arcs if arc.when == "earlier"]
    only = [
        f"only {stage}: {arcs_words([arc for arc in early if arc.stage == stage])}"
        for stage in dict.fromkeys(arc.stage for arc in early)
    ]
    return "; ".join([f"{100.0 * access.ever:.0f} % can be reached", *shares, *only])


def arcs_words(arcs: list[WeldArc]) -> str:
    """Which side of the tube and from where to where, e.g. ``the roof side, from 40° to 130°``."""
    said: list[str] = []
    for side in dict.fromkeys(arc.side for arc in arcs):
        spans = [_span(arc) for arc in arcs if arc.side == side]
        said.append("all round" if "all round" in spans else f"{side}, " + _listed(spans))
    return _listed(said) + ("" if said == ["all round"] else " round from the heel")


def _span(arc: WeldArc) -> str:
    if arc.stop - arc.start > 2.0 * math.pi - 1e-6:
        return "all round"
    start, stop = (math.degrees(a) % 360.0 for a in (arc.start, arc.stop))
    return f"from {start:.0f}° to {stop:.0f}°"


def _listed(parts: list[str]) -> str:
    return parts[0] if len(parts) == 1 else ", ".join(parts[:-1]) + " and " + parts[-1]


def remedies(access: Access, torch: Torch, units: LengthUnit) -> str:
    """What to do about every arc that cannot be welded in the stated order, arcs with one remedy together."""
    lost = [arc for arc in access.arcs if arc.when != "earlier"]
    by_remedy: dict[str, list[WeldArc]] = {}
    for arc in lost:
        by_remedy.setdefault(remedy(arc, access, torch, units), []).append(arc)
    return "; ".join(f"{arcs_words(arcs)}: {what}" for what, arcs in by_remedy.items())


def remedy(arc: WeldArc, access: Access, torch: Torch, units: LengthUnit) -> str:
    """What to do about one arc that cannot be welded in the stated order."""
    if arc.when == "body":
        near = f" near {arc.panel}" if arc.panel else ""
        early = ", or welded outside the car" if access.line.kind == "joint" else ""
        return f"only if the body is cut there{near}{early}"
    if arc.when == "floor":
        return "the assumed floor is in the way; measure how far the floor lies below it"
    if arc.when == "tubes":
        other = " and ".join(arc.blocked_by) or "the other tubes"
        return f"weld it before {other} is tacked in, or move {other}"
    sizes = (thinnest_nozzle(access.closed, torch), longest_wire(access.closed, torch))
    nozzle, wire = (say_length(size, units, places=0) for size in sizes)
    return (
        f"the tubes close to {math.degrees(access.closed):.0f}° there; take a nozzle of {nozzle} or "
        f"{wire} of wire, or a torch with a bare electrode"
    )


def thinnest_nozzle(closed: float, torch: Torch) -> float:
    """The diameter of nozzle, whole mm, that stands between two surfaces at that angle.

    From sin(angle/2) (wire + radius) = radius + room, the round mouth touching two planes (geometry); between
    tubes, which curve away, a little more may go in.

    The angle between the surfaces is in rad.
    """
    half = math.sin(closed / 2.0)
    return math.floor(2.0 * max(half * torch.stickout - torch.room, 0.0) / (1.0 - half))


def longest_wire(closed: float, torch: Torch) -> float:
    """The wire between mouth and weld, whole mm, that the torch's own nozzle needs at that angle.

    The same geometry as ``thinnest_nozzle``.

    The angle between the surfaces is in rad.
    """
    radius = torch.nozzle / 2.0
    return math.ceil((radius + torch.room) / math.sin(closed / 2.0) - radius)
