"""The nouns of a push's answer: frozen, small, complete, and JSON-ready through ``plain``.

A value that rests on a part of the push that was not followed is None, which stands for "cannot tell".
Travel and lengths mm, loads N, energies J, masses kg, heights mm; ``weights`` are multiples of the weight of
car and driver.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from cagewright.frame.choices import Choices
from cagewright.frame.model import Floats
from cagewright.frame.pushes import Demand, Push


@dataclass(frozen=True, slots=True, kw_only=True)
class TubePlace:
    """A place on a member: its name, mm along its path from its start, and the place in words."""

    member: str
    along: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """Something that gave way.

    Attributes:
        kind: ``yield`` first fibre past yield, ``hinge`` a tube bends through, ``foot`` the shell under a
            foot gives, ``joint`` a joint gives (only where joints may yield), ``strip`` a plate yields,
            ``dent`` the tool dents a tube by a twentieth of its diameter.
        travel: mm.
        load: N.
        spot: where on a tube; None for feet, joints and plates.
        words: what and where, in the builder's words.
    """

    kind: Literal["yield", "hinge", "foot", "joint", "strip", "dent"]
    travel: float
    load: float
    spot: TubePlace | None
    words: str


MomentKind = Literal["first touch", "first tear", "first rupture", "cannot tell", "end of travel"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """A moment after which less of a push can be defended.

    Attributes:
        kind: ``first touch`` of a person's space, ``first tear`` of a tube, an open weld or a foot, ``first
            rupture`` of a joint, ``cannot tell`` where the push stalled, ``end of travel``.
        travel: mm.
        load: N.
        energy: J put in by then.
        what: member, joint, foot, or ``platen`` or ``pole``; empty at the end.
        spot: where on a tube; None for feet, joints and the end.
        to: of a touch, whose part: ``driver's torso``.
    """

    kind: MomentKind
    travel: float
    load: float
    energy: float
    what: str
    spot: TubePlace | None
    to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class GaugeStrain:
    """How far the outside of the tubes is strained in pull, mean over a gauge length.

    Attributes:
        diameters: the gauge length, in outside diameters of the tube.
        most: (k,) largest strain of any tube up to each kept step, a part (0.1 is 10 %).
        spots: where that is, one a step.
    """

    diameters: float
    most: Floats
    spots: tuple[TubePlace, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """The largest load as far as the push counts: N, at mm, as a multiple of the weight (None without mass).

    ``passed`` is False where the load was still rising there.
    """

    load: float
    travel: float
    weights: float | None
    passed: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """Whether a wanted load was reached in time.

    Attributes:
        demand: what is wanted.
        load: N wanted, from the car's mass; None where that is not known.
        met: True, False, or None for cannot tell.
        travel: mm at which the load was reached, or None.
        reached: largest load within the demand's travel, as far as the push counts, N.
    """

    demand: Demand
    load: float | None
    met: bool | None
    travel: float | None
    reached: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PartRoom:
    """What is left to one part of a person.

    Attributes:
        person: whose, ``driver``.
        part: which: ``helmet``, ``torso``, ``left thigh``, ``right knee``, ...
        by: the member, or ``platen`` or ``pole``, that enters its space or comes nearest.
        rest: least gap before the push, mm.
        least: least gap as far as the push counts, mm (negative: inside).
        touched: mm of travel at which a tube or the tool first enters it, counted or not; None where nothing
            does.
        doubt: how far the part may be from where it is taken to be, mm.
        source: where its place comes from.
    """

    person: str
    part: str
    by: str
    rest: float
    least: float
    touched: float | None
    doubt: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SurvivalSpace:
    """What is left to the people in the car.

    Attributes:
        parts: of all people, the first to be touched first, then by what is left.
        inside: tubes that stand in somebody's space before the push, in words; left out.
        followed: mm of travel that was followed.
    """

    parts: tuple[PartRoom, ...]
    inside: tuple[str, ...]
    followed: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rise:
    """A stretch of a push over which the load climbs anew.

    Attributes:
        start: mm.
        stop: mm.
        low: N at the start.
        high: N at the stop.
        feet: the feet that take most of it, N each.
        met: tubes that the tool has come to in it.
    """

    start: float
    stop: float
    low: float
    high: float
    feet: tuple[tuple[str, float], ...]
    met: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drop:
    """The drop whose energy the cage takes up as far as the push counts.

    Attributes:
        height: E / (m g), mm: how far the car's middle may fall in all, from let go to standstill.
        free: the same without the crush, mm: clear height above the ground; 0 or more.
    """

    height: float
    free: float


@dataclass(frozen=True, slots=True, kw_only=True)
class JointUse:
    """A joint's force against its strength (EN 1993-1-8 form, from memory), as far as the peak.

    Attributes:
        joint: name.
        words: which tube on which.
        most: largest share of its strength used up to the peak (or to where a stalled push stopped); it grows
            as the forces do, and is 1 where the interaction is.
        over: mm of travel at which the share passes 1, or None.
        over_load: N of push then, or None.
        governs: what gives: ``main wall``, ``punching``, ``branch`` or ``weld``, for the largest part of use.
        forces: at ``most``: N along the branch, N mm in plane, N mm out of plane.
        weld: largest share of an incomplete weld used (elastic line), or None for a weld all round.
        fitted: it lies in the range of the flexibility's formula.
        outside: limits of the source that the joint does not keep.
    """

    joint: str
    words: str
    most: float
    over: float | None
    over_load: float | None
    governs: str
    forces: tuple[float, float, float]
    weld: float | None
    outside: tuple[str, ...]
    fitted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FootUse:
    """A foot's force against what the shell under it carries, as far as the peak.

    Attributes:
        foot: name.
        push: largest force into the shell, N.
        pull: largest force out of it, N.
        slide: largest force in the plate's plane, N.
        tilt: largest moment that tilts the plate, N mm.
        most: largest share of what the shell carries before it starts to give; None where the foot is called
            rigid. A sheet goes on carrying as it dishes: see ``torn``.
        torn: largest share of what shears the sheet round the plate; None where the foot is called rigid.
        over: mm of travel at which ``most``'s share reaches 1, or None.
        over_load: N of push then, or None.
        governs: what gives first, in words.
        capacity: into, out of, in plane N, tilt N mm; None where the foot is called rigid.
        punching: N that shears the sheet all round the plate; None where the foot is called rigid.
        weld: largest share used of a weld on its plate that is not all round; None where all are.
    """

    foot: str
    push: float
    pull: float
    slide: float
    tilt: float
    most: float | None
    torn: float | None
    over: float | None
    over_load: float | None
    governs: str
    capacity: tuple[float, float, float, float] | None
    punching: float | None
    weld: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MemberUse:
    """A member's force against its tube.

    Attributes:
        member: name.
        most: largest share of the section's plastic strength (M-N) up to the peak.
        spot: where that is.
        yields: mm of travel at its first yield, or None.
        hinges: how many places it bends through at.
        pull: largest pull up to the peak, N.
        push: largest push (0 or more) up to the peak, N.
    """

    member: str
    most: float
    spot: TubePlace
    yields: float | None
    hinges: int
    pull: float
    push: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Shape:
    """The cage at one moment: its name, mm of travel, N, each member's line (k, 3) mm in cage order."""

    label: str
    travel: float
    load: float
    lines: tuple[Floats, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dent:
    """The deepest dent of a member as far as the push counts.

    Attributes:
        spot: where.
        depth: mm.
        left: part of its bending strength that the tube has left across the dent; not lowered in the model.
        bends: the tube bends through there.
    """

    spot: TubePlace
    depth: float
    left: float
    bends: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What one way of modelling the joints answers.

    Attributes:
        joints: ``yield`` they give at their strength, ``report`` they do not.
        rigid: they are rigid until then; else as flexible as the formula at its range's edge.
        counted: where the push stops being counted.
        stiffness: at the start, N/mm; None for cannot tell.
        first_yield: N of push, or None.
        peak: largest load as far as it counts, N.
    """

    joints: Literal["report", "yield"]
    rigid: bool
    counted: Moment
    stiffness: float | None
    first_yield: float | None
    peak: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StrainMark:
    """Where a tube's mean strain over the gauge length first reaches a limit of its steel.

    Attributes:
        travel: mm, found straight between kept steps.
        part: the strain.
        words: which limit.
    """

    travel: float
    part: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """What a cage does under one push.

    Attributes:
        title: the plan's.
        revision: the plan's mark.
        push: what pressed.
        choices: which simplifications were made.
        weight: of car and driver, N; None without the car's mass.
        travel: (k,) mm of kept steps, first 0.
        load: (k,) N.
        work: (k,) J put in.
        reached: the whole travel was followed.
        left: it was not, for it had stopped counting.
        limits: where the most strained tube first reaches its steel's limits.
        end: how it ended, in words.
        falls: travel mm, load before and after N, where the cage gave way at once.
        moments: what ends the part that can be defended, in order of travel. The push counts to the first:
            peak, drop, uses, room and wanted loads are up to there.
        strain: of the tubes' outside; None where the push was not solved here.
        stiffness: N/mm at the start.
        first_yield: the first fibre past yield, or None where nothing yielded (or cannot tell: ``reached``).
        peak: the largest load.
        room: the survival space; None where nobody sits in the car.
        drop: what fall the energy stands for; None where the tool does not come from above or without the
            car's mass.
        order: everything that gave way, in order, one entry a place.
        demands: wanted loads and whether they were reached.
        joints: the first to go over its strength first.
        feet: most used first.
        members: most used first.
        shapes: at rest, at the peak, where the push stops being counted, at the end.
        rises: where the load climbs again, in order.
        notes: what was assumed, in words.
        dents: of tubes, the deepest first.
        bounds: every way that the joints were modelled, this answer's among them; empty where only one was.
    """

    title: str
    revision: str
    push: Push
    choices: Choices
    weight: float | None
    travel: Floats
    load: Floats
    work: Floats
    reached: bool
    end: str
    stiffness: float | None
    first_yield: Event | None
    peak: Peak
    room: SurvivalSpace | None
    drop: Drop | None
    order: tuple[Event, ...]
    demands: tuple[Met, ...]
    joints: tuple[JointUse, ...]
    feet: tuple[FootUse, ...]
    members: tuple[MemberUse, ...]
    shapes: tuple[Shape, ...]
    notes: tuple[str, ...]
    moments: tuple[Moment, ...]
    rises: tuple[Rise, ...] = ()
    left: bool = False
    limits: tuple[StrainMark, ...] = ()
    falls: tuple[tuple[float, float, float], ...] = ()
    dents: tuple[Dent, ...] = ()
    bounds: tuple[Bound, ...] = ()
    strain: GaugeStrain | None = None

    @property
    def counted(self) -> Moment:
        """Where the push stops being counted."""
        return self.moments[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class Torsion:
    """How stiff the cage alone is in torsion, rear feet against front feet.

    Attributes:
        stiffness: N m per degree.
        front: the two front feet that are turned.
        rear: the two rear feet that are held.
    """

    stiffness: float
    front: tuple[str, str]
    rear: tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Summary:
    """A cage under several pushes.

    Attributes:
        title: the plan's.
        revision: the plan's mark.
        torsion: of the cage alone; None where it has no two front and two rear feet.
        results: one a push, in the order asked.
        cautions: to print beside any of it.
    """

    title: str
    revision: str
    torsion: Torsion | None
    results: tuple[Results, ...]
    cautions: tuple[str, ...]


CAUTIONS = (
    "Not a certificate. Computed from the plan and the assumptions stated; compare alternatives before "
    "trusting any figure by itself.",
    "Check the current rule book of your series; its scrutineer or licensed engineer decides.",
    "Welding by a qualified welder; a bad weld is weaker than anything computed here.",
)
