"""Strength of the belts' mounts: tab, bolt, welds, tube wall and bar under the standard's load."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from cagewright.base.answers import Value
from cagewright.base.say import say, say_angle, say_length
from cagewright.base.units import LengthUnit
from cagewright.check.belts.findings import NO_STANDARD, chosen_standard
from cagewright.check.belts.harness import BeltRun, runs_of
from cagewright.check.belts.limits import Loads, loads, standards
from cagewright.check.belts.measures import spot_of
from cagewright.check.belts.mount_bar import BarSpan, Use, span_of, use_of
from cagewright.check.belts.tab_strength import (
    Carries,
    bearing,
    bolt_any_way,
    bolt_shear,
    net_section,
    sideways_yield_angle,
    tear_out,
    tube_wall,
    weld,
)
from cagewright.check.findings import Finding, Location, doubt_of, known_by, verdict_of
from cagewright.plan.types import BeltKind
from cagewright.shape.types import BeltMount, Cage, Person, member_named
from cagewright.stock.bolts import bolt_named, grade_named
from cagewright.stock.steels import Certainty
from cagewright.stock.tubes import Tube

CAUTION = (
    "Strength of belt mounts is reckoned for the standard's static load with the tab in line with its belt. "
    "It is no test: a belt that pulls the tab sideways, a poor weld or thin sheet lets go earlier."
)
"""Goes on every page that shows a mount's strength."""
SURENESS: tuple[Certainty, ...] = ("read", "shop", "computed", "second-hand", "memory")


@dataclass(frozen=True, slots=True, kw_only=True)
class MountStrength:
    """What one mount must carry and what its parts carry.

    The load is in N. A belt wrapped round its tube has no parts; ``sideways`` is how far the pull may be
    off the tab's plane, rad, None without a tab.
    """

    mount: BeltMount
    load: float
    shared: bool
    parts: tuple[Carries, ...]
    missing: tuple[str, ...]
    sideways: float | None


def mount_findings(cage: Cage) -> tuple[Finding, ...]:
    """The findings on the mounts' strength; empty where nobody in the car has belts.

    A bar carries the belts of all who wear belts of one standard at once.
    """
    worn: dict[str, list[Person]] = {}
    for person in cage.people:
        if person.belts is not None and person.body is not None:
            worn.setdefault(chosen_standard(cage, person.belts)[0], []).append(person)
    return tuple(
        finding for standard, people in worn.items() for finding in _of_belts(cage, people, standard)
    )


def _of_belts(cage: Cage, people: Sequence[Person], standard: str) -> tuple[Finding, ...]:
    wanted = loads_of(standard)
    if wanted is None:
        return (_no_loads(standard),)
    mounts = [mount for person in people if person.belts for mount in person.belts.mounts if mount.belts]
    found = [f for mount in mounts for f in _of_mount(cage, strength_of(cage, mount, wanted), wanted)]
    runs = [run for person in people for run in runs_of(cage, person)]
    return (*found, *(_of_bar(cage, use, names, wanted) for use, names in bars(cage, runs, wanted)))


def loads_of(standard: str) -> Loads | None:
    """What the standard, and no other, asks every mount to carry; None where it gives no load."""
    row = next((row for row in loads() if standard in row.standards), None)
    return None if row is None else row.model_copy(update={"standards": (standard,)})


def load_on(mount: BeltMount, wanted: Loads) -> float:
    """What the mount must carry, N: the shared load where it holds two belts and the standard gives one."""
    each = [load_of(kind, wanted) for kind in mount.belts]
    if len(each) > 1 and wanted.shared is not None:
        return wanted.shared
    return sum(each)


def load_of(kind: BeltKind, wanted: Loads) -> float:
    """What one belt of that kind pulls, N."""
    return {"lap": wanted.lap, "shoulder": wanted.shoulder, "crotch": wanted.crotch}[kind]


def strength_of(cage: Cage, mount: BeltMount, wanted: Loads) -> MountStrength:
    """What the mount must carry and what its tab, bolt, welds and tube wall carry."""
    load = load_on(mount, wanted)
    tube = member_named(cage, mount.mount.member).tube if mount.mount.member else None
    parts, missing = _parts(mount, tube)
    return MountStrength(
        mount=mount,
        load=load,
        shared=len(mount.belts) > 1,
        parts=parts,
        missing=missing,
        sideways=sideways_yield_angle(mount.tab, load) if mount.tab else None,
    )


def _parts(mount: BeltMount, tube: Tube | None) -> tuple[tuple[Carries, ...], tuple[str, ...]]:
    if mount.wrap:
        return (), ()
    name, tab = mount.mount.name, mount.tab
    size = bolt_named(mount.bolt.size) if mount.bolt else None
    grade = grade_named(mount.bolt.grade) if mount.bolt else None
    if mount.bolt is None or size is None or grade is None:
        return (), (f"give the bolt of {name} as size and grade, such as M12 and 8.8",)
    if tab is None:
        return (bolt_any_way(size, grade, mount.bolt.planes),), (f"give the tab of {name}",)
    found = [
        net_section(tab),
        bearing(tab, size, grade),
        tear_out(tab, size),
        bolt_shear(size, grade, mount.bolt.planes),
        weld(tab, tube),
        tube_wall(tab, tube) if tube else None,
    ]
    missing = () if tab.throat else (f"give the throat of the weld at the tab of {name}",)
    return tuple(part for part in found if part is not None), missing


def _of_mount(cage: Cage, strength: MountStrength, wanted: Loads) -> Iterable[Finding]:
    name = strength.mount.mount.name
    where = spot_of(strength.mount)
    if strength.parts:
        weakest = max(strength.parts, key=lambda part: strength.load / max(part.force, 1e-9))
        yield _carried(cage, strength, weakest, wanted, where)
    for missing in strength.missing:
        yield _finding(
            f"strength of {name}", None, None, wanted, where, wanted.certainty,
            why="the plan does not say enough of the mount", advice=missing,
        )  # fmt: skip


def _carried(
    cage: Cage, strength: MountStrength, weakest: Carries, wanted: Loads, where: Location
) -> Finding:
    share = strength.load / max(weakest.force, 1e-9)
    name = strength.mount.mount.name
    return _finding(
        f"{name} carries the standard's pull",
        share <= 1.0,
        Value(value=100.0 * share, unit="%", said=_said(name, strength.load, weakest, cage.units)),
        wanted,
        where,
        _least_sure(wanted.certainty, weakest.certainty),
        why="; ".join(
            word
            for word in (
                f"by {weakest.source}",
                _sideways(strength),
                "" if strength.mount.mount.member else "the shell's sheet round the mount is not counted",
            )
            if word
        ),
        advice="" if share <= 1.0 else f"strengthen {weakest.part} of {name}: {share:.2f} times what it is",
    )


def _said(name: str, load: float, weakest: Carries, units: LengthUnit) -> str:
    share = load / max(weakest.force, 1e-9)
    carried = f"{say(weakest.force, 'force', units)} under a pull of {say(load, 'force', units)}"
    return f"{name}: {100.0 * share:.0f} % used; weakest is {weakest.part}, {carried}"


def _sideways(strength: MountStrength) -> str:
    if strength.sideways is None or strength.sideways >= math.pi / 2.0 - 1e-9:
        return ""
    return f"the tab must lie within {say_angle(strength.sideways)} of its belt or it bends sideways first"


def _least_sure(*how: Certainty) -> Certainty:
    return max(how, key=SURENESS.index)


def bars(cage: Cage, pulls: Iterable[BeltRun], wanted: Loads) -> list[tuple[Use, tuple[str, ...]]]:
    """How much of each span's strength the belts on it use, with the mounts' names."""
    spans: dict[tuple[str, float], tuple[BarSpan, list[BeltRun]]] = {}
    for run in pulls:
        name = run.mount.mount.member
        if name is None:
            continue
        span = span_of(cage, member_named(cage, name), run.mount.mount.along)
        spans.setdefault((name, span.start), (span, []))[1].append(run)
    used = [
        (
            use_of(
                member_named(cage, span.member), span, [run.mount.mount.along for run in runs],
                [run.pull * load_of(run.kind, wanted) for run in runs],
            ),
            tuple(dict.fromkeys(run.mount.mount.name for run in runs)),
        )
        for span, runs in spans.values()
    ]  # fmt: skip
    return [(use, names) for use, names in used if use is not None]


def _of_bar(cage: Cage, use: Use, names: tuple[str, ...], wanted: Loads) -> Finding:
    """Pass where the bar stands with its ends pinned, fail where it falls with them fixed."""
    pinned, fixed = use.collapse
    kept = True if pinned <= 1.0 else (False if fixed > 1.0 else None)
    size = use.span.stop - use.span.start
    first = 100.0 / max(use.first_yield)
    text = (
        f"{use.span.member}, {say_length(size, cage.units, places=0)} between joints: "
        f"{100.0 * fixed:.0f} to {100.0 * pinned:.0f} % of its bending strength "
        f"used; first yield at {first:.0f} % of the pull or later"
    )
    advice = (
        f"use a larger tube for {use.span.member}, bring its mounts nearer a joint or brace it; "
        "see it in the frame's strength"
    )
    return _finding(
        f"{use.span.member} carries the pull of {', '.join(names)}",
        kept,
        Value(value=None, unit="%", said=text),
        wanted,
        Location(members=(use.span.member,)),
        _least_sure(wanted.certainty, "computed"),
        why=_bar_why(use, kept),
        advice="" if kept else advice,
    )


def _bar_why(use: Use, kept: bool | None) -> str:
    words = (
        "beam between its joints, ends somewhere from fixed to pinned; the joints are not looked at here",
        "" if use.span.straight else "the bar is bent there and taken as straight",
        "it stands with its ends fixed and falls with them pinned" if kept is None else "",
    )
    return "; ".join(word for word in words if word)


def _no_loads(standard: str) -> Finding:
    why = f"{standard or 'no standard'} gives no load for belt mounts"
    return Finding(
        rule="mount-strength",
        judge="own check",
        book=standard or NO_STANDARD.id,
        title="strength of the belt mounts",
        verdict="cannot tell",
        known="shop",
        why=why,
        advice="choose a belt standard that gives one, such as fsae-2024",
    )


def _finding(
    title: str,
    kept: bool | None,
    measured: Value | None,
    wanted: Loads,
    where: Location,
    certainty: Certainty,
    *,
    why: str,
    advice: str,
) -> Finding:
    known = known_by(certainty)
    doubt = "" if kept is None else doubt_of(kept, known)
    return Finding(
        rule="mount-strength",
        judge="by the book",
        book=wanted.standards[0],
        edition=standards()[wanted.standards[0]].edition,
        clause=wanted.clause,
        title=title,
        verdict=verdict_of(kept, "by the book", known),
        measured=measured,
        limit="at most 100 % of what it carries",
        where=where,
        known=known,
        why=f"{why}; {doubt}" if doubt else why,
        advice=advice,
    )
