"""The steps of the build order at which welds are made, and what of the body is there then."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.say import say_length
from cagewright.plan.types import Role
from cagewright.shape.cloud import Cloud, cloud_of
from cagewright.shape.shell import SECTION_DEPTH, Shell, plain_body
from cagewright.shape.types import Cage, Member

HOOP: frozenset[Role] = frozenset({"main rollbar", "diagonal", "harness bar"})
"""Roles that are tacked to the main rollbar on the bench."""
DROP = 100.0
"""How far the cage hangs below its place before it is pushed up, mm: common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One step of the build order at which welds can be made.

    ``name`` stands after 'weld'; the cage hangs ``drop`` mm below its place; ``feet`` are welded at this
    step.
    """

    name: str
    members: tuple[str, ...]
    body: bool
    drop: float
    feet: bool


def default_stages(cage: Cage, *, body: bool) -> tuple[Stage, ...]:
    """The usual order: main hoop on the bench; all of it in the car, still dropped; pushed up and tacked.

    Where the body is not known the cage is only looked at whole.
    """
    every = tuple(member.name for member in cage.members)
    hoop = _hoop(cage)
    bench = [
        Stage(name="on the bench, before the hoop goes in", members=hoop, body=False, drop=0.0, feet=False)
    ]
    dropped = Stage(
        name=f"in the car, dropped {say_length(DROP, cage.units, places=0)}",
        members=every,
        body=True,
        drop=DROP,
        feet=False,
    )
    last = Stage(name="with everything tacked in place", members=every, body=body, drop=0.0, feet=True)
    return (*(bench if len(hoop) > 1 else []), *([dropped] if body else []), last)


def _hoop(cage: Cage) -> tuple[str, ...]:
    """The main rollbar and those of its own bars that touch nothing else."""
    names = {member.name for member in cage.members if member.role == "main rollbar"}
    grown = True
    while grown:
        more = {m.name for m in cage.members if m.role in HOOP and _stands_on(cage, m, names)} - names
        grown = bool(more)
        names |= more
    return tuple(member.name for member in cage.members if member.name in names)


def _stands_on(cage: Cage, member: Member, names: set[str]) -> bool:
    mains = [set(joint.mains) for joint in cage.joints if joint.branch == member.name]
    return bool(mains) and all(found <= names for found in mains)


def body_cloud(cage: Cage, shell: Shell) -> tuple[Cloud | None, str]:
    """The body as points, and in words what it was taken from."""
    if shell.scan is not None:
        return shell.scan.cloud, f"the body is the scan {shell.scan.name}"
    body = plain_cloud(cage, shell, floor=True)
    if body is None:
        return None, "the body is unknown: only tubes were tried"
    return body, (
        "the body is plain surfaces through its measured lines: roof skin, pillars and rails "
        f"{say_length(SECTION_DEPTH, cage.units, places=0)} deep, and a level floor at the lowest sill point "
        "or plate edge (assumed)"
    )


def plain_cloud(cage: Cage, shell: Shell, *, floor: bool) -> Cloud | None:
    """The surfaces spanned by the measured lines as points, with or without the assumed floor."""
    mesh = plain_body(shell, cage.feet, floor=floor)
    return None if mesh is None else cloud_of(mesh)
