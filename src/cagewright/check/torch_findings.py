"""Findings about torch access: full welding all round every joint is the rule."""

from __future__ import annotations

import math

from cagewright.check.body_finding import body_finding
from cagewright.check.findings import Finding, Measured, Spot
from cagewright.check.torch import Access, Arc, Stage, body_cloud, torch_access
from cagewright.check.torch_poses import TORCH, Torch
from cagewright.shape.scan import Scan
from cagewright.shape.shell import shell_of
from cagewright.shape.types import Cage

REAL = 0.002
"""An unreachable share of a weld smaller than this is the sampling's own, not the torch's."""


def torch_findings(
    cage: Cage, scan: Scan | None, *, stages: tuple[Stage, ...] | None = None, torch: Torch = TORCH
) -> tuple[Finding, ...]:
    """One finding for each weld line: the share a torch can reach, when, and what to do about the rest.

    Args:
        cage: as resolved.
        scan: of the shell, or None.
        stages: the build order; the usual one where not given.
        torch: its size and angles.
    """
    shell = shell_of(cage, scan)
    _, taken = body_cloud(cage, shell)
    return tuple(
        access_finding(access, taken, torch)
        for access in torch_access(cage, shell, stages=stages, torch=torch)
    )


def access_finding(access: Access, taken: str, torch: Torch) -> Finding:
    """The finding for one weld line.

    Args:
        access: as reckoned.
        taken: what the body was taken from, in words.
        torch: its size and angles.
    """
    lost = [arc for arc in access.arcs if arc.when != "earlier"]
    fails = 1.0 - access.ever > REAL
    name, line = access.line.name, access.line
    where = Spot(
        members=(line.branch,),
        joints=(name,) if line.kind == "joint" else (),
        feet=(name,) if line.kind == "foot" else (),
        point=_place(lost[0] if lost else None, access),
    )
    return body_finding(
        "torch-access",
        "a torch can stand at every point of the weld, all round",
        "fail" if fails else "pass",
        where=where,
        measured=Measured(value=100.0 * access.ever, unit="%", text=words(access)),
        limit="100 % of the joint",
        why=f"torch: {_torch_words(torch)} (shop default, no source); {taken}",
        advice="; ".join(remedy(arc, access, torch) for arc in lost) if fails else "",
    )


def _place(arc: Arc | None, access: Access) -> tuple[float, float, float]:
    point = access.line.points[0] if arc is None else arc.point
    return float(point[0]), float(point[1]), float(point[2])


def _torch_words(torch: Torch) -> str:
    work, travel = math.degrees(torch.work_slack), math.degrees(torch.travel_slack)
    return (
        f"{torch.nozzle:.0f} mm nozzle, {torch.nozzle_length:.0f} mm long, {torch.stickout:.0f} mm of wire, "
        f"{work:.0f}° work and {travel:.0f}° travel either way"
    )


def words(access: Access) -> str:
    """The access in words: the share at each step, then what can only be welded earlier."""
    shares = [f"{100.0 * s:.0f} % {name}" for name, s in access.shares if s is not None]
    early = [f"only {arc.stage}: {arc.words}" for arc in access.arcs if arc.when == "earlier"]
    return "; ".join([f"{100.0 * access.ever:.0f} % can be reached", *shares, *early])


def remedy(arc: Arc, access: Access, torch: Torch) -> str:
    """What to do about an arc that cannot be welded in the stated order.

    Args:
        arc: of the weld.
        access: the weld it is part of.
        torch: its size and angles.
    """
    if arc.when == "body":
        near = f" near {arc.panel}" if arc.panel else ""
        return f"{arc.words}: only if the body is cut there{near}, or welded before the cage goes in"
    if arc.when == "tubes":
        other = " and ".join(arc.blocked_by) or "the other tubes"
        return f"{arc.words}: weld it before {other} is tacked in, or move {other}"
    nozzle, wire = thinnest_nozzle(access.closed, torch), longest_wire(access.closed, torch)
    return (
        f"{arc.words}: the tubes close to {math.degrees(access.closed):.0f}° there; take a nozzle of "
        f"{nozzle:.0f} mm or {wire:.0f} mm of wire, or a torch with a bare electrode"
    )


def thinnest_nozzle(closed: float, torch: Torch) -> float:
    """The diameter of nozzle, whole mm, that stands between two surfaces at that angle.

    From sin(angle/2) (wire + radius) = radius + room, the round mouth touching both (geometry).

    Args:
        closed: angle between the surfaces, rad.
        torch: the torch it replaces.
    """
    half = math.sin(closed / 2.0)
    return math.floor(2.0 * max(half * torch.stickout - torch.room, 0.0) / (1.0 - half))


def longest_wire(closed: float, torch: Torch) -> float:
    """The wire between mouth and weld, whole mm, that the torch's own nozzle needs at that angle.

    The same geometry as ``thinnest_nozzle``.

    Args:
        closed: angle between the surfaces, rad.
        torch: the torch.
    """
    radius = torch.nozzle / 2.0
    return math.ceil((radius + torch.room) / math.sin(closed / 2.0) - radius)
