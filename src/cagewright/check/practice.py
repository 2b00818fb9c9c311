"""Common practice without a source, as checks that can be switched off. They never fail."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from cagewright.base.answers import Value
from cagewright.base.curves import tangent_at
from cagewright.base.problems import nearest_word
from cagewright.base.say import say_angle, say_length
from cagewright.base.units import LengthUnit, parse
from cagewright.base.vectors import Vector
from cagewright.check.attitude import hoop_normal
from cagewright.check.belts.harness import body_of, runs_of
from cagewright.check.belts.measures import ASK_SHOULDER
from cagewright.check.findings import NO_SOURCE, Finding, Location, Verdict, verdict_of
from cagewright.check.practice_doors import Observed, doorbar_lean, fourth_doorbar, top_doorbar
from cagewright.check.readings import at
from cagewright.shape.standing import main_frame, names_of, roof_bars, runs_back, screen_legs
from cagewright.shape.types import Cage, Joint, Member, Mount, Person, member_named


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """One check that can be switched."""

    id: str
    title: str
    limit: Callable[[LengthUnit], str]
    look: Callable[[Cage], Sequence[Observed]]


def practice_findings(cage: Cage, switches: Mapping[str, bool] | None = None) -> tuple[Finding, ...]:
    """The findings of every check that is on.

    Every check that ``switches`` does not name is on.

    Raises:
        ValueError: a switch of no check.
    """
    switches = switches or {}
    for name in switches:
        if name not in PRACTICES:
            close = nearest_word(name, PRACTICES)
            raise ValueError(f"no practice check '{name}'" + (f"; did you mean '{close}'?" if close else ""))
    on = [practice for name, practice in PRACTICES.items() if switches.get(name, True)]
    return tuple(finding for practice in on for finding in _findings(practice, cage))


def _findings(practice: Practice, cage: Cage) -> Iterable[Finding]:
    looks = practice.look(cage) or [
        Observed(where=Location(), kept=None, why="nothing in this cage to look at")
    ]
    for look in looks:
        yield _finding(practice, look, cage.units)


def _finding(practice: Practice, look: Observed, units: LengthUnit) -> Finding:
    verdict: Verdict = verdict_of(look.kept, "own check", "remembered")
    if look.kept is None and not look.advice:
        verdict = "does not apply"
    return Finding(
        rule=practice.id,
        judge="own check",
        book="common-practice",
        edition="no source",
        clause=NO_SOURCE,
        title=practice.title,
        verdict=verdict,
        measured=Value(value=None, unit="", said=look.text) if look.text else None,
        limit=practice.limit(units),
        where=look.where,
        known="remembered",
        why=look.why,
        advice="" if look.kept else look.advice,
    )


# ---------------------------------------------------------------- roof square to the main hoop

SQUARE = math.radians(3.0)


def roof_square(cage: Cage) -> list[Observed]:
    """Whether each roof bar meets the main hoop at 90 degrees in side view."""
    hoop = next(iter(main_frame(cage)), None)
    if hoop is None or not any(hoop.name in foot.members for foot in cage.feet):
        return []
    bars = names_of((*screen_legs(cage), *(m for m in roof_bars(cage) if runs_back(m))))
    return [
        _square(cage, joint, member_named(cage, joint.branch), hoop)
        for joint in cage.joints
        if joint.branch in bars and hoop.name in joint.mains
    ]


def _square(cage: Cage, joint: Joint, branch: Member, hoop: Member) -> Observed:
    along = 0.0 if joint.which == "start" else branch.path.length
    normal = hoop_normal(hoop)
    where = Location(members=(branch.name, hoop.name), point=at(joint.point))
    if normal is None:
        return Observed(where=where, kept=None, why=f"{hoop.name} is straight: it lies in no one plane")
    off = _side_view_angle(tangent_at(branch.path, along), normal)
    angle = math.pi / 2.0 - off
    return Observed(
        where=where,
        kept=abs(off) <= SQUARE,
        text=f"{branch.name} meets {hoop.name} at {say_angle(angle)} in side view",
        advice=f"bring the front of {branch.name} {say_angle(abs(off))} {'down' if off > 0.0 else 'up'}",
    )


def _side_view_angle(way: Vector, normal: Vector) -> float:
    """How far a bar rises to the front from the hoop's normal, in side view, rad, -pi/2 to pi/2."""

    def rise(v: Vector) -> float:
        forward = v if v[0] <= 0.0 else -v
        return math.atan2(float(forward[2]), -float(forward[0]))

    return rise(way) - rise(normal)


# ---------------------------------------------------------------- belts

NEARER = 50.0
HIGH_ENOUGH = parse("4 in", "length")


def lap_near(cage: Cage) -> list[Observed]:
    """Whether each lap mount is as near the hip as the belt maker allows."""
    return [
        _lap_near(cage, run.mount.mount, run.free, _shortest(person))
        for person in cage.people
        for run in runs_of(cage, person)
        if run.kind == "lap"
    ]


def _shortest(person: Person) -> float | None:
    """The shortest free lap belt that its maker's sheet allows, mm, where it is entered."""
    sheet = person.belts.sheet if person.belts else None
    return sheet.lap_free[0] if sheet and sheet.lap_free else None


def _lap_near(cage: Cage, mount: Mount, free: float, least: float | None) -> Observed:
    name = mount.name
    where = Location(members=(mount.member,) if mount.member else (), point=at(mount.point))
    text = f"{name}: {say_length(free, cage.units)} free"
    if least is None:
        ask = "enter the belt maker's shortest free lap belt as belts: sheet: lap_free"
        return Observed(
            where=where, kept=None, text=text, why="the belt maker's sheet is not entered", advice=ask
        )
    over = free - least
    return Observed(
        where=where,
        kept=over <= NEARER,
        text=f"{text}, the belt maker allows {say_length(least, cage.units)}",
        advice=f"bring {name} up to {say_length(over, cage.units)} nearer the hip along its belt",
    )


def shoulder_height(cage: Cage) -> list[Observed]:
    """Whether each shoulder mount, and slot, stands level with the shoulder or a little below."""
    return [
        _shoulder_height(cage, run.mount.mount.name, run.start, float(body.shoulder[2]), body.shoulder_doubt)
        for person in cage.people
        if person.body
        for body in (body_of(person.body),)
        for run in runs_of(cage, person)
        if run.kind == "shoulder"
    ]


def _shoulder_height(cage: Cage, name: str, start: Vector, shoulder: float, doubt: float) -> Observed:
    below = shoulder - float(start[2])
    sure = doubt <= min(below, HIGH_ENOUGH - below) or below + doubt < 0.0 or below - doubt > HIGH_ENOUGH
    kept = 0.0 <= below <= HIGH_ENOUGH
    word = "below" if below >= 0.0 else "above"
    move = below - HIGH_ENOUGH if below > 0.0 else -below
    return Observed(
        where=Location(point=at(start)),
        kept=kept if sure else None,
        text=f"{name}: {say_length(abs(below), cage.units)} {word} the shoulder",
        why="" if sure else "the shoulder is reckoned, not measured",
        advice=f"set the bar {say_length(move, cage.units)} {'higher' if below > 0.0 else 'lower'}"
        if sure
        else ASK_SHOULDER,
    )


_ALL = (
    Practice(
        id="roof-square",
        title="the roof bars and the main hoop meet at 90 degrees in side view",
        limit=lambda _: "90° within 3°",
        look=roof_square,
    ),
    Practice(
        id="top-doorbar",
        title="the top doorbar stands about 20 in over the floor line, with room above and below",
        limit=lambda u: f"{say_length(508, u)} within {say_length(50.8, u)}, {say_length(80, u)} clear",
        look=top_doorbar,
    ),
    Practice(
        id="fourth-doorbar",
        title="a fourth doorbar ends close to the sill",
        limit=lambda u: f"at most {say_length(100, u)} over the sill",
        look=fourth_doorbar,
    ),
    Practice(
        id="doorbar-lean",
        title="the doorbars are tipped toward the door's lean, so that they read straight from outside",
        limit=lambda _: "within 3° of the door",
        look=doorbar_lean,
    ),
    Practice(
        id="lap-near",
        title="the lap mounts are as near as the belt maker allows",
        limit=lambda u: f"within {say_length(NEARER, u)} of the belt maker's shortest",
        look=lap_near,
    ),
    Practice(
        id="shoulder-height",
        title="the shoulder belts' bar is level with the shoulder or a little below",
        limit=lambda u: f"0 to {say_length(HIGH_ENOUGH, u)} below",
        look=shoulder_height,
    ),
)
PRACTICES: Mapping[str, Practice] = MappingProxyType({practice.id: practice for practice in _ALL})
"""Every check by the name of its switch."""
