"""The steps of the build order at which welds are made, and what of the body is there then."""

from __future__ import annotations

from dataclasses import dataclass

from cagewright.base.cache import Cache
from cagewright.base.say import say_length
from cagewright.base.vectors import hashed
from cagewright.shape.cloud import Cloud, cloud_of
from cagewright.shape.shell import SECTION_DEPTH, Shell, plain_body
from cagewright.shape.types import Cage

DROP = 100.0
"""How far the cage hangs below its place before it is pushed up, mm: common practice, no source."""
SLIDE = 120.0
"""How far the cage is slid back with its foot tacks cut, mm: common practice (4 to 5 in), no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """A state of the cage in which welds can be made.

    ``name`` stands after 'weld'; ``shift`` (3,) is how far the cage stands from its place in the body, mm;
    ``feet`` are welded in this state.
    """

    name: str
    members: tuple[str, ...]
    body: bool
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    feet: bool


def whole_stages(cage: Cage, *, body: bool) -> tuple[Stage, ...]:
    """The states of the whole cage, tacked: slid back, hung low, and in its place.

    Where the body is not known the cage is only looked at in its place.
    """
    every = tuple(member.name for member in cage.members)
    slide, drop = (say_length(v, cage.units, places=0) for v in (SLIDE, DROP))
    moved = (
        (f"with the foot tacks cut and the cage slid back {slide}", (SLIDE, 0.0, 0.0)),
        (f"in the car, dropped {drop}", (0.0, 0.0, -DROP)),
    )
    away = [Stage(name=n, members=every, body=True, shift=shift, feet=False) for n, shift in moved]
    last = Stage(name="with everything tacked in place", members=every, body=body, feet=True)
    return (*(away if body else []), last)


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


def body_known(cage: Cage, shell: Shell) -> bool:
    """Whether anything is known of the body that a torch could stand against."""
    return shell.scan is not None or plain_body(shell, cage.feet) is not None


_CLOUDS = Cache(most=4)
"""Of the surfaces asked for last: most changes leave the body as it is."""


def plain_cloud(cage: Cage, shell: Shell, *, floor: bool) -> Cloud | None:
    """The surfaces spanned by the measured lines as points, with or without the assumed floor."""
    mesh = plain_body(shell, cage.feet, floor=floor)
    return None if mesh is None else _CLOUDS.get(hashed(mesh.corners, mesh.faces), lambda: cloud_of(mesh))
