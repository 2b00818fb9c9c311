"""Every member end cut to the tubes it lands on, the joints this makes, and what cannot be cut."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cagewright.base.curves import Line, Piece, chain, nearest, tangent_at
from cagewright.base.say import say_length
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, cross, dot, length, unit
from cagewright.plan.types import Which
from cagewright.shape.connections import Connection
from cagewright.shape.cope import cut, heel, offset
from cagewright.shape.flat import FLATTEST, lean_off
from cagewright.shape.given import as_it_was_cut
from cagewright.shape.layout import Route
from cagewright.shape.overlaps import Strands
from cagewright.shape.rails import boxes_of, first_met, overlap_of, plane_cut_of, prism_of
from cagewright.shape.raw_ends import TOUCH, Meeting, RawEnd
from cagewright.shape.types import Cope, FlatCut, Foot, Joint
from cagewright.shape.walls import REACH, Main, Notch

SHALLOWEST = math.radians(15.0)
"""Below this angle between branch and main the crotch cannot be reached with a torch."""
LONGEST = 8.0
"""A cut may reach this many times the two radii together up a branch: one at 15 degrees does."""
AT_ITS_END = 1.0
"""Two rails whose end points are this near (mm) are mitred."""
HANGING = 0.15
"""At most this share of a branch's wall may hang past its mains."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The members, and the boxes of their pieces to find those near an end.

    Attributes:
        routes: the members.
        low: (p, 3) lowest corner of each piece's centre line, mm.
        high: (p, 3) highest corner.
        first: (members + 1,) index of each member's first piece.
        units: what the builder's tape reads.
    """

    routes: Sequence[Route]
    low: NDArray[np.float64]
    high: NDArray[np.float64]
    first: NDArray[np.int64]
    units: LengthUnit


@dataclass(frozen=True, slots=True, kw_only=True)
class Blemish:
    """Something wrong at one end."""

    code: str
    raw_end: RawEnd
    found: str
    wanted: str


def site_of(routes: Sequence[Route], tubes: Strands, units: LengthUnit) -> Site:
    """The members with the boxes of their pieces, as ``tubes`` has them."""
    heads = tubes.first[:-1]
    return Site(
        routes=routes,
        low=np.minimum.reduceat(np.minimum(tubes.start, tubes.stop), heads),
        high=np.maximum.reduceat(np.maximum(tubes.start, tubes.stop), heads),
        first=np.concatenate(([0], np.cumsum([len(r.path.pieces) for r in routes]))),
        units=units,
    )


def cut_ends(
    connections: Sequence[Connection], site: Site, feet: Mapping[str, Foot]
) -> tuple[dict[int, Cope | FlatCut], list[Blemish]]:
    """The cut of every end that is cut on another member, by its index, and what is wrong with any.

    A tube's is a cope; a rail's is flat, to the face of the rail it lands on or in a mitre.
    """
    blemishes: list[Blemish] = []
    notches: dict[int, Notch] = {}
    flat: dict[int, FlatCut] = {}
    for t, connection in enumerate(connections):
        rail = site.routes[connection.raw_end.member].lie is not None
        wrong = [_free_end(connection.raw_end, site)] if connection.free else []
        wrong.extend([] if connection.free or rail else _too_shallow(connection, site))
        wrong.extend(_off_its_foot(connection.raw_end, site, feet))
        if connection.mains and not wrong and rail:
            found, wrong = rail_end(connection, site)
            flat.update(found)
        elif connection.mains and not wrong:
            given = connection.raw_end.given
            notch = notch_of(connection, site, feet)
            notches[t] = notch if given is None else as_it_was_cut(notch, given)
        blemishes.extend(wrong)
    copes = dict(zip(notches, cut(list(notches.values())), strict=True))
    for t, cope in copes.items():
        blemishes.extend(_faulty(cope, notches[t], connections[t].raw_end, site))
    return {**copes, **flat}, blemishes


def rail_end(connection: Connection, site: Site) -> tuple[dict[int, FlatCut], list[Blemish]]:
    """The flat cut of a rail's end to the face it lands on, or both of a mitre, by the ends' index."""
    raw_end, number = connection.raw_end, connection.mains[0].main
    mine, main = site.routes[raw_end.member], site.routes[number]
    if main.lie is None or mine.lie is None:
        return {}, [_rail_on_tube(raw_end, main, site)]
    line, here = main.path.pieces[0], 2 * raw_end.member + (raw_end.which == "end")
    away = [float(length(p - raw_end.point)) for p in (line.start, line.stop)]
    which = int(away[1] < away[0])
    if away[which] < AT_ITS_END and not raw_end.asked:
        other = unit(line.start - line.stop if which else line.stop - line.start)
        normal = raw_end.axis - other
        if mine.tube != main.tube or float(length(normal)) < SHALLOWEST:
            return {}, [_no_mitre(raw_end, main, site)]
        plane = {"point": raw_end.point, "normal": normal}
        lies = ((here, mine, raw_end.axis, mine.lie), (2 * number + which, main, other, main.lie))
        return {
            t: plane_cut_of(raw_end.point, axis, section=r.tube.section, lie=lie, **plane)
            for t, r, axis, lie in lies
        }, []
    prism = prism_of(main.path, main.tube.section, main.lie)
    w, face = first_met(prism, raw_end.point[None], raw_end.axis, 4.0 * main.tube.radius)
    if not math.isfinite(float(w[0])) or float(dot(raw_end.axis, face[0])) < math.sin(SHALLOWEST):
        return {}, [_passes_by(raw_end, main, site)]
    section, point = mine.tube.section, raw_end.point + w[0] * raw_end.axis
    cut = plane_cut_of(
        raw_end.point, raw_end.axis, section=section, lie=mine.lie, point=point, normal=face[0]
    )
    left = _still_in(mine, main, cut, raw_end.which)
    return {here: cut}, [_runs_into(raw_end, main, left, site)] if left > TOUCH else []


def _still_in(mine: Route, main: Route, cut: FlatCut, which: Which) -> float:
    """How far a rail that is sawn square still runs into the rail it lands on, mm; 0 for other cuts."""
    if cut.tilt > 0.0 or mine.lie is None or main.lie is None:
        return 0.0
    line = mine.path.pieces[0]
    ends = (cut.origin, line.stop) if which == "start" else (line.start, cut.origin)
    short = chain((Line(start=ends[0], stop=ends[1]),))
    boxes = (boxes_of(short, mine.tube.section, mine.lie), boxes_of(main.path, main.tube.section, main.lie))
    return max(overlap_of(a, b) for a in boxes[0] for b in boxes[1])


def _runs_into(raw_end: RawEnd, main: Route, left: float, site: Site) -> Blemish:
    return Blemish(
        code="tubes-overlap",
        raw_end=raw_end,
        found=f"{_end(raw_end, site)} is sawn square to '{main.draft.name}' and still runs "
        f"{say_length(left, site.units)} into it",
        wanted="raise it, or take a lower one, so that it clears the leg",
    )


def _rail_on_tube(raw_end: RawEnd, main: Route, site: Site) -> Blemish:
    return Blemish(
        code="rail-on-tube",
        raw_end=raw_end,
        found=f"{_end(raw_end, site)} is a rail and lands on the tube '{main.draft.name}'",
        wanted="land the tube on the rail: cut: names the rail at the tube's end",
    )


def _no_mitre(raw_end: RawEnd, main: Route, site: Site) -> Blemish:
    return Blemish(
        code="no-mitre",
        raw_end=raw_end,
        found=f"{_end(raw_end, site)} meets the end of '{main.draft.name}', which is of another section",
        wanted="mitre two of one section, or land it on the side: cut: names what it is cut on",
    )


def _passes_by(raw_end: RawEnd, main: Route, site: Site) -> Blemish:
    return Blemish(
        code="cope-misses",
        raw_end=raw_end,
        found=f"the middle of {_end(raw_end, site)} meets no face of '{main.draft.name}'",
        wanted="aim it at a leg or side of that rail",
    )


def notch_of(connection: Connection, site: Site, feet: Mapping[str, Foot]) -> Notch:
    """What is to be cut at a connection that has mains."""
    raw_end, first = connection.raw_end, connection.mains[0]
    tube = site.routes[raw_end.member].tube
    along = _along(first, site)
    foot = feet.get(raw_end.foot or "")
    return Notch(
        origin=raw_end.point,
        axis=raw_end.axis,
        zero=heel(raw_end.axis, along),
        radius=tube.radius,
        bore=tube.bore / 2.0,
        mains=tuple(_main(raw_end, m, site) for m in connection.mains),
        angle=_lean(raw_end, along),
        offset=offset(raw_end.point, raw_end.axis, site.routes[first.main].path, first.along),
        plate=None if foot is None else (foot.point + foot.plate[2] * foot.normal, foot.normal),
    )


def _along(meeting: Meeting, site: Site) -> Vector:
    """Direction (3,) of the main's travel at the joint."""
    return tangent_at(site.routes[meeting.main].path, meeting.along)


def _lean(raw_end: RawEnd, along: Vector) -> float:
    """Angle between the end's axis and a direction, rad, 0 to pi/2."""
    return math.atan2(float(length(cross(raw_end.axis, along))), abs(float(dot(raw_end.axis, along))))


def _main(raw_end: RawEnd, meeting: Meeting, site: Site) -> Main:
    route, reach = site.routes[meeting.main], meeting.reach + REACH
    return Main(
        name=route.draft.name,
        radius=route.tube.radius,
        pieces=near_pieces(raw_end, meeting.main, reach, site),
        reach=reach,
        prism=None if route.lie is None else prism_of(route.path, route.tube.section, route.lie),
    )


def near_pieces(raw_end: RawEnd, main: int, reach: float, site: Site) -> tuple[Piece, ...]:
    """The pieces of ``main`` that the last ``reach`` mm of the end's tube can meet."""
    room = raw_end.radius + site.routes[main].tube.radius + 1.0
    back, far = raw_end.point - reach * raw_end.axis, raw_end.point + reach * raw_end.axis
    low, high = np.minimum(back, far) - room, np.maximum(back, far) + room
    rows = slice(int(site.first[main]), int(site.first[main + 1]))
    meet = np.all((site.low[rows] <= high) & (site.high[rows] >= low), axis=1)
    pieces = site.routes[main].path.pieces
    return tuple(p for p, m in zip(pieces, meet.tolist(), strict=True) if m)


def _too_shallow(connection: Connection, site: Site) -> list[Blemish]:
    """A blemish for every main the branch lies along rather than on."""
    raw_end, found = connection.raw_end, list[Blemish]()
    for meeting in connection.mains:
        route = site.routes[meeting.main]
        lean = _lean(raw_end, _along(meeting, site))
        long = meeting.reach > LONGEST * (raw_end.radius + route.tube.radius)
        if not long and (lean >= SHALLOWEST or meeting is not connection.mains[0]):
            continue
        found.append(
            Blemish(
                code="too-shallow",
                raw_end=raw_end,
                found=f"{_end(raw_end, site)} meets '{route.draft.name}' at {math.degrees(lean):.1f} deg "
                f"and lies in it for {say_length(meeting.reach, site.units, places=0)}",
                wanted=f"at least {math.degrees(SHALLOWEST):.0f} deg between the two tubes",
            )
        )
    return found


def _off_its_foot(raw_end: RawEnd, site: Site, feet: Mapping[str, Foot]) -> list[Blemish]:
    """A blemish where the tube runs along its foot's plate, or stands on the wrong side of it."""
    if raw_end.foot is None:
        return []
    lean = lean_off(raw_end.axis, feet[raw_end.foot])
    if lean <= FLATTEST:
        return []
    return [
        Blemish(
            code="foot-lean",
            raw_end=raw_end,
            found=f"{_end(raw_end, site)} leans {math.degrees(lean):.0f} deg off square to the plate of foot "
            f"'{raw_end.foot}'",
            wanted=f"at most {math.degrees(FLATTEST):.0f} deg: turn the foot's normal: towards the tube",
        )
    ]


def _end(raw_end: RawEnd, site: Site) -> str:
    return f"the {raw_end.which} of '{site.routes[raw_end.member].draft.name}'"


def _free_end(raw_end: RawEnd, site: Site) -> Blemish:
    others = [
        (nearest(r.path, raw_end.point)[1] - r.tube.radius, r.draft.name)
        for i, r in enumerate(site.routes)
        if i != raw_end.member
    ]
    gap, name = min(others, default=(math.inf, ""))
    near = f"; the nearest tube, '{name}', is {say_length(gap, site.units)} away" if name else ""
    return Blemish(
        code="free-end",
        raw_end=raw_end,
        found=f"{_end(raw_end, site)} lands on no member and no foot{near}",
        wanted="place it on: a member, or on a foot, or close it with caps:",
    )


def _faulty(cope: Cope, notch: Notch, raw_end: RawEnd, site: Site) -> list[Blemish]:
    """What is wrong with a cope: it hangs past its main, never reaches it, or cuts into a bend."""
    found: list[Blemish] = []
    if notch.plate is None and float(np.mean(cope.on < 0)) > HANGING:
        found.append(_hangs(cope, notch, raw_end, site))
    elif notch.plate is None and not bool(np.any(cope.on == 0)):
        found.append(_barred(cope, notch, raw_end, site))
    deepest = float(max(cope.outside.max(), cope.inside.max()))
    if deepest > raw_end.straight + 1e-6:
        found.append(
            Blemish(
                code="bend-in-cope",
                raw_end=raw_end,
                found=f"the cut at {_end(raw_end, site)} reaches "
                f"{say_length(deepest, site.units)} up the tube, but it bends after "
                f"{say_length(raw_end.straight, site.units)}",
                wanted="move the bend away from the joint",
            )
        )
    return found


def _hangs(cope: Cope, notch: Notch, raw_end: RawEnd, site: Site) -> Blemish:
    first = notch.mains[0]
    return Blemish(
        code="cope-misses",
        raw_end=raw_end,
        found=f"{float(np.mean(cope.on < 0)):.0%} of the wall at {_end(raw_end, site)} passes "
        f"beside '{first.name}' "
        f"({say_length(2.0 * raw_end.radius, site.units)} on {say_length(2.0 * first.radius, site.units)}, "
        f"{say_length(cope.offset, site.units)} off centre)",
        wanted=f"at most {HANGING:.0%}: land nearer its middle, further from its end, or cut the other tube",
    )


def _barred(cope: Cope, notch: Notch, raw_end: RawEnd, site: Site) -> Blemish:
    others = " and ".join(f"'{name}'" for name in cope.mains[1:])
    return Blemish(
        code="tubes-overlap",
        raw_end=raw_end,
        found=f"{_end(raw_end, site)} never reaches '{notch.mains[0].name}': {others} stands in the way",
        wanted="end it there, or move it clear",
    )


def joints_of(
    connections: Sequence[Connection], cuts: Mapping[int, Cope | FlatCut], site: Site
) -> list[Joint]:
    """A joint for every end cut on other members, in the members' order."""
    joints: list[Joint] = []
    for t, made in sorted(cuts.items()):
        if not connections[t].mains:  # the other half of a mitre
            continue
        raw_end = connections[t].raw_end
        branch = site.routes[raw_end.member].draft.name
        along = {site.routes[m.main].draft.name: m.along for m in connections[t].mains}
        mains = made.mains if isinstance(made, Cope) else (next(iter(along)),)
        joints.append(
            Joint(
                name=f"{branch}.{raw_end.which}",
                branch=branch,
                which=raw_end.which,
                mains=mains,
                along=tuple(along[name] for name in mains),
                point=raw_end.point,
            )
        )
    return joints
