"""A push's figures as far as it counts, where it stops counting and why, and what is left to the people."""

from __future__ import annotations

from cagewright.base.answers import CANNOT_TELL, Basis, Sentence, Value, figure
from cagewright.base.names import listed, shown
from cagewright.base.say import Quantity, say
from cagewright.base.units import LengthUnit
from cagewright.frame.drop_results import DropResults
from cagewright.frame.results import Moment, PartRoom, Results
from cagewright.frame.supports import all_feet
from cagewright.job.strength_types import ClimbRow, CountedTo, PushFigure, RoomRow
from cagewright.shape.types import Cage
from cagewright.stock.catalogue import softening_of

VERBS = {"first touch": "touches", "first tear": "tears", "first rupture": "breaks"}


def moment_words(r: Results | DropResults, moment: Moment) -> str:
    """What happens at the moment and where: ``the doorbar top left touches the driver's torso``."""
    if moment.kind not in VERBS:
        return ""
    if any(moment.what == f.foot for f in r.feet) and moment.kind == "first tear":
        return f"the foot {shown(moment.what)} tears out of the shell"
    what = shown(moment.spot.words if moment.spot else moment.what)
    return f"the {what} {VERBS[moment.kind]}" + (f" the {moment.to}" if moment.to else "")


def counted_to(r: Results, units: LengthUnit) -> CountedTo:
    """Where the push stops being counted, in the same words on every page, paper and command."""
    upto = r.counted
    at = say(upto.travel, "length", units, places=1 if upto.kind == CANNOT_TELL else 0)
    if upto.kind == "end of travel":
        words = f"to the {upto.kind}, {at}"
    elif upto.kind == "cannot tell":
        words = f"to {at}; {CANNOT_TELL} what comes after"
    else:
        words = f"to {upto.kind} at {at}: {moment_words(r, upto)}"
    return CountedTo(
        kind=upto.kind, words=words, travel=figure(upto.travel, "length", units),
        load=figure(upto.load, "force", units), energy=figure(upto.energy, "energy", units),
    )  # fmt: skip


def end_of(r: Results, units: LengthUnit) -> Sentence:
    """How the push ended: how far it counts and why, how far it was followed, where it gave way at once."""
    upto, followed = r.counted, float(r.travel[-1])
    said = [f"counted {counted_to(r, units).words}"]
    if upto.what:
        stalled = not (r.reached or r.left)
        far = say(followed, "length", units, places=1 if stalled else 0)
        said.append(f"followed to {far}, where it stalled" if stalled else f"followed to {far}")
    deepest = sorted(sorted(r.falls, key=lambda f: f[2] - f[1])[:3])
    each = [
        f"at {say(t, 'length', units, places=1)} from {say(a, 'force', units)} to {say(b, 'force', units)}"
        for t, a, b in deepest
    ]
    said += [f"gave way at once {', '.join(each)}"] if each else []
    return Sentence(words="; ".join(said), level=CANNOT_TELL if upto.kind == CANNOT_TELL else "fine")


def headline_of(r: Results, figures: tuple[PushFigure, ...], units: LengthUnit) -> str:
    """What the cage takes up and carries as far as the push counts, and why no further."""
    said = {f.key: f.value.said for f in figures}
    counted = counted_to(r, units).words
    by = _peak_by(r, units)
    most = f"{said['peak']} ({by})" if by else said["peak"]
    return f"{r.push.title}: takes up {said['energy']}, largest load {most}, counted {counted}"


def _peak_by(r: Results, units: LengthUnit) -> str:
    """Who takes the climb that the largest load stands on, where it stands on one; else nothing."""
    rise = next((c for c in r.rises if c.start <= r.peak.travel <= c.stop + 1e-6), None)
    if rise is None or not rise.feet or not rise.met:
        return ""
    more, foot = say(r.peak.load - rise.low, "force", units), shown(rise.feet[0][0])
    return f"{more} of it once the {r.push.kind} is at {listed(rise.met)}, most on foot {foot}"


def figures_of(cage: Cage, r: Results) -> tuple[PushFigure, ...]:
    """The push's figures as far as it counts, and what it took up beyond that."""
    units, peak, first = cage.units, r.peak, r.first_yield
    soft = any(softening_of(m.tube.steel).assumed for m in cage.members) and r.choices.softened == "steel"
    why = "what welding leaves of a steel is assumed" if soft else ""
    basis: Basis = "assumed" if soft else "computed"
    cut = r.counted.kind == "cannot tell"

    def of(value: float | None, what: Quantity, *, least: bool = False, places: int | None = None) -> Value:
        bound = "at least" if least else ""
        return figure(value, what, units, rests_on=basis, bound=bound, why=why, places=places)

    counts = first is not None and first.travel <= r.counted.travel + 1e-9
    yields = of(first.load if first and counts else None, "force")
    if not counts and not cut:
        yields = Value(value=None, unit="N", said="none")
    rising = "" if peak.passed else " and still rising"
    by = f"; {_peak_by(r, units)}" if _peak_by(r, units) else ""
    open_ended = cut or (not peak.passed and r.counted.kind == "end of travel")
    until = f"counted {counted_to(r, units).words}"
    return (
        PushFigure(key="stiffness", head="stiffness", label="stiffness at the start",
                   value=of(r.stiffness, "stiffness")),
        PushFigure(key="first_yield", head="first yield", label="first yield", value=yields,
                   words=shown(first.spot.words if first.spot else first.words) if first and counts
                   else CANNOT_TELL if cut else "nothing yields"),
        PushFigure(key="peak", head="largest load", label="largest load",
                   words=f"at {say(peak.travel, 'length', units, places=0)}{rising}{by}",
                   value=of(peak.load, "force", least=open_ended)),
        PushFigure(key="weights", head="times the weight", words="of car and driver",
                   label="as a multiple of the weight of car and driver",
                   value=of(peak.weights, "number", places=1)),
        PushFigure(key="energy", head="energy taken up", label="energy taken up", words=until,
                   value=of(r.counted.energy, "energy", least=cut)),
        PushFigure(key="room", head="left to the people", label="left to the people",
                   value=_left(r, units), words=_nearest(r)),
        PushFigure(key="drop", head="drop it stands for", label="drop whose energy is taken up",
                   value=_drop(r, units), words=until if r.drop else _no_drop(r)),
        _beyond(r, units),
    )  # fmt: skip


def _beyond(r: Results, units: LengthUnit) -> PushFigure:
    """What the push took up past the place to which it counts."""
    followed = float(r.travel[-1])
    more = bool(r.counted.what) and followed > r.counted.travel
    energy = figure(float(r.work[-1]) if more else None, "energy", units)
    most = say(float(r.load.max()), "force", units)
    far = say(followed, "length", units, places=0)
    return PushFigure(
        key="beyond", head="past that, not counted", label="to where it was followed, not counted",
        value=energy if more else Value(value=None, unit="J", said="–"),
        words=f"to {far}, largest load {most}" if more else "nothing was followed past what counts",
    )  # fmt: skip


def _left(r: Results, units: LengthUnit) -> Value:
    if r.room is None:
        return Value(value=None, unit="mm", said="nobody sits in it", why="the plan has no driver")
    worst = r.room.parts[0]
    if r.counted.kind == "first touch":
        return Value(value=0.0, unit="mm", said="none")
    bound = "at most" if r.counted.kind == "cannot tell" else ""
    return figure(worst.least, "length", units, places=0, bound=bound)


def _nearest(r: Results) -> str:
    if r.room is None:
        return "the plan has no driver"
    return moment_words(r, r.counted) if r.counted.kind == "first touch" else _part_words(r.room.parts[0])


def _part_words(part: PartRoom) -> str:
    return f"from the {part.person}'s {part.part} to {shown(part.by)}"


def _drop(r: Results, units: LengthUnit) -> Value:
    if r.drop is None:
        from_above = r.push.kind == "platen"
        return Value(value=None, unit="mm", said=CANNOT_TELL if from_above else "–", why=_no_drop(r))
    bound = "at least" if r.counted.kind == "cannot tell" else ""
    return figure(r.drop.height, "length", units, places=0, bound=bound)


def _no_drop(r: Results) -> str:
    if r.push.kind in ("pole", "static", "point"):
        return "only a push from above stands for a drop"
    return "the car's mass is not known" if r.weight is None else "only a push from above stands for a drop"


# --- what is left to the people


def room_rows(r: Results, units: LengthUnit) -> tuple[RoomRow, ...]:
    """Each part of each person: what is left as far as the push counts, the worst first."""
    return tuple(
        RoomRow(
            person=p.person, part=p.part, by=shown(p.by),
            rest=figure(p.rest, "length", units, places=0, plus_minus=p.doubt or None),
            left=figure(max(p.least, 0.0), "length", units, places=0),
            touched=None if p.touched is None else figure(p.touched, "length", units, places=0),
            counted=p.touched is not None and p.touched <= r.counted.travel + 1e-9, source=p.source,
        )
        for p in (r.room.parts if r.room else ())
    )  # fmt: skip


def climb_rows(cage: Cage, r: Results, units: LengthUnit) -> tuple[ClimbRow, ...]:
    """Where the load climbs again, and which feet and tubes take it."""
    members = {f.name: f.members for f in all_feet(cage)}

    def foot(name: str, force: float) -> str:
        return f"foot {shown(name)} of {listed(members[name])} (+{say(force, 'force', units)})"

    rows: list[ClimbRow] = []
    for rise in r.rises:
        taken = ", ".join(foot(name, force) for name, force in rise.feet)
        met = f"the {r.push.kind} comes to {listed(rise.met)}; " if rise.met else ""
        rows.append(
            ClimbRow(
                start=figure(rise.start, "length", units, places=0), words=f"{met}taken by {taken}",
                stop=figure(rise.stop, "length", units, places=0),
                low=figure(rise.low, "force", units), high=figure(rise.high, "force", units),
            )
        )  # fmt: skip
    return tuple(rows)


def room_words(r: Results, units: LengthUnit) -> str:
    """The survival space in a sentence or three."""
    room = r.room
    if room is None:
        return "The plan has no driver, so what is left to him cannot be told."
    worst, helmet = room.parts[0], next(p for p in room.parts if p.part == "helmet")
    if r.counted.kind == "first touch":
        words = moment_words(r, r.counted)
        said = [f"{words[:1].upper()}{words[1:]}."]
    else:
        left = say(worst.least, "length", units, places=0)
        said = [f"{left} are left {_part_words(worst)}, as far as the push counts."]
    doubt = f", good to {say(helmet.doubt, 'length', units, places=0)}" if helmet.doubt >= 0.5 else ""
    said.append(f"The head's place: {helmet.source}{doubt}.")
    if room.inside:
        said.append(f"Not looked at, for it stands there before the push: {listed(room.inside)}.")
    return " ".join(said)
