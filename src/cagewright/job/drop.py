"""A car let fall on its cage: one answer for the command, the Strength page and the paper."""

from __future__ import annotations

import math

import numpy as np

from cagewright.base.answers import CANNOT_TELL, Level, Sentence, Value, figure
from cagewright.base.drawing import Drawing
from cagewright.base.names import shown
from cagewright.base.say import say, scale_of
from cagewright.base.sheet import Sheet
from cagewright.base.units import LengthUnit
from cagewright.frame.choices import Choices as Choices
from cagewright.frame.drop import STIFF
from cagewright.frame.drop import drop as dropped
from cagewright.frame.drop_case import EVENT as EVENT
from cagewright.frame.drop_case import FRICTION as FRICTION
from cagewright.frame.drop_case import DropCase as DropCase
from cagewright.frame.drop_case import Way as Way
from cagewright.frame.drop_results import DropResults
from cagewright.frame.moving import Pace
from cagewright.frame.push_places import G
from cagewright.frame.results import CAUTIONS, Event, Moment
from cagewright.job.drop_tables import tables_of
from cagewright.job.drop_types import DropAnswer, EnergyLine
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.strength_figures import moment_words
from cagewright.job.strength_types import GraphAxis, Happened, LoadCurve, PushFigure
from cagewright.make.drop_drawing import energy_drawing, force_drawing, hanging_view
from cagewright.make.strength_drawing import GIVES

BARE = "Only the cage touches the ground: body, glass and wheels have no shape here and take up nothing."
SLOW = "The steel is taken as no stronger for being bent fast."


def drop(
    job: Job, case: DropCase, choices: Choices | None = None, *, step: Step = no_progress
) -> tuple[DropAnswer, Sheet]:
    """The car let fall on its cage, and its paper.

    Raises:
        FrameError: the case cannot be followed, the car's mass is not known, or the frame cannot stand.
    """
    results = dropped(job.cage, case, choices, step)[0]
    answer = answer_of(results, job.cage.units)
    return answer, sheet_of(job, answer, results)


def sheet_of(job: Job, answer: DropAnswer, results: DropResults) -> Sheet:
    """The paper of a drop."""
    cage, units = job.cage, job.cage.units
    said = [
        n for n in (f"{answer.headline}.", answer.joints_words, answer.how.words, answer.still.words) if n
    ]
    return Sheet(
        name="drop", title="Strength: a drop", kind="strength", tables=answer.tables,
        drawings=(
            hanging_view(cage, results.case, results.centre, "nose"),
            hanging_view(cage, results.case, results.centre, "left"),
            force_drawing(results, units),
            energy_drawing(results, units),
        ),
        notes=(*said, *answer.cautions, *answer.notes),
    )  # fmt: skip


def force_curve(sheet: Sheet) -> Drawing:
    """The force over time, from a drop's paper."""
    return next(d for d in sheet.drawings if d.name == "drop_force")


def answer_of(r: DropResults, units: LengthUnit) -> DropAnswer:
    """A drop's results as the answer."""
    end, level = _end(r)
    figures, energy, happened = _figures(r, units), _energy(r, units), _happened(r, units)
    still = _still(r, units)
    scale = scale_of("force", units)
    return DropAnswer(
        headline=f"Dropped from {say(r.case.height, 'length', units, places=0)}: {_headline(r, units)}",
        level=level,
        cautions=(*CAUTIONS, BARE, SLOW),
        title=r.title,
        revision=r.revision,
        how=Sentence(words=_how(r, units)),
        reached=r.reached,
        end=Sentence(words=end, level=level),
        figures=figures,
        energy=energy,
        curve=LoadCurve(
            x=GraphAxis(label="time since first touch", unit="ms", scale=1.0, places=0),
            y=GraphAxis(label="force", unit=scale.unit, scale=scale.size, places=scale.places),
            travel=r.time, load=r.force,
        ),
        happened=happened,
        joints_words=_joints(r),
        still=Sentence(words=still),
        tables=tables_of(r, units, figures=figures, energy=energy, happened=happened),
        notes=(*_numbers(r), *r.notes),
    )  # fmt: skip


# --- told


def _until(r: DropResults) -> Moment:
    """The moment that ends what can be defended."""
    return r.moments[0]


def _upto(r: DropResults) -> int:
    """Number of the last kept moment of the part that can be defended."""
    return int(np.searchsorted(r.time, _until(r).travel + 1e-9, "right")) - 1


def _ms(time: float) -> str:
    return f"{time:.0f} ms"


def _end(r: DropResults) -> tuple[str, Level]:
    """Where the drop stops being counted, in the words of a push, and how that stands."""
    m, at = _until(r), _ms(_until(r).travel)
    if m.kind == "end of travel":
        return f"counted to the end of what was followed, {at}", "fine"
    if m.kind == "cannot tell":
        return f"counted to {at}; {CANNOT_TELL} what comes after", "cannot tell"
    return f"counted to {m.kind} at {at}: {moment_words(r, m)}", "look at"


def _headline(r: DropResults, units: LengthUnit) -> str:
    k = _upto(r)
    force = say(float(r.force[: k + 1].max()), "force", units)
    taken = say(float(r.taken[: k + 1].max()), "energy", units)
    left = ""
    if r.room is not None and _until(r).kind == "end of travel":
        part = r.room.parts[0]
        room = say(part.least, "length", units, places=0)
        left = f"; {room} left to the {part.person}'s {part.part}, nearest {shown(part.by)}"
    return f"the cage takes up {taken}, largest force {force}, {_end(r)[0]}{left}"


def _how(r: DropResults, units: LengthUnit) -> str:
    case = r.case
    height = say(case.height, "length", units, places=0)
    leaning = (("roll", case.roll, ("left side", "right side")), ("pitch", case.pitch, ("nose", "tail")))
    lean = [
        f"{name} {abs(math.degrees(angle)):g}° with the {lower[0] if angle > 0.0 else lower[1]} lower"
        for name, angle, lower in leaning
        if abs(angle) > 1e-9
    ]
    lying = f"upside down, {', '.join(lean)}" if lean else "flat upside down"
    speed = f", going {say(case.speed, 'speed', units)} {case.first} first" if case.speed > 0.0 else ""
    return (
        f"Let go {lying}{speed}; the height, {height}, is clear air from the ground to the lowest place of "
        "the cage as it hangs."
    )


def _joints(r: DropResults) -> str:
    """That the model's joints do not give, how many are over their strength and from when on."""
    over = [j.over for j in r.joints if j.over is not None]
    if r.choices.joints == "yield" or not over:
        return ""
    many = f"{len(over)} joints are" if len(over) > 1 else "one joint is"
    first = f"{min(over):.1f} ms after first touch"
    return f"Joints do not give in this model; {many} over their strength, the first from {first} on."


def _still(r: DropResults, units: LengthUnit) -> str:
    s, push = r.still, "A still push as the ground lies"
    if s is None:
        return f"{push} finds no place on this cage."
    travel, energy = say(s.travel, "length", units, places=0), say(s.energy, "energy", units)
    if not s.enough:
        how = "in all it goes" if s.reached else "before it stalls"
        return f"{push} takes up {energy} in {travel}, {how}: less than the fall brings."
    touched = ""
    if s.room is not None and s.room <= s.travel:
        touched = f", and touches the survival space at {say(s.room, 'length', units, places=0)}"
    return (
        f"{push} takes up the energy of the fall, {energy}, in {travel} at up to "
        f"{say(s.peak, 'force', units)}{touched}; the drop presses with {float(r.force.max()) / s.peak:.2f} "
        "times as much, and part of its energy goes on as turning and sliding."
    )


def _numbers(r: DropResults) -> tuple[str, ...]:
    """What the figures rest on as numbers go."""
    a, given = r.account, max(r.account.given, 1e-9)
    lost, open_end = abs(a.numerical[-1]) / given, float(np.abs(a.gap).max()) / given
    return (
        f"followed in {len(a.time) - 1} time steps (generalised-alpha, {Pace().rho:g} of the fastest swings "
        f"left after a step): they took out {lost:.2%} of the energy, and {open_end:.2%} is unaccounted for",
        f"assumed: hard flat ground that gives 1 mm for every {STIFF / 1e3:g} kN on a place of a tube; "
        f"friction {r.case.friction:g} (common practice, no source), taken at the tube's middle line",
        "tubes weigh on their nodes, half of each piece at either end, and turn as hard about every axis; "
        "their feet stand on the body as in a push",
        f"car, people and cage together weigh {r.mass:.0f} kg",
    )


# --- figures


def _figures(r: DropResults, units: LengthUnit) -> tuple[PushFigure, ...]:
    k = _upto(r)
    force, speed = r.force[: k + 1], math.sqrt(2.0 * G * 1e3 * r.case.height)
    top = int(np.argmax(force))
    weights = float(force[top]) / (G * r.mass)
    down, turned = float(r.down[: k + 1].max()), float(r.turned[: k + 1].max())
    left, by = _margin(r, units)
    rows = (
        ("touch", "speed at first touch", "speed towards the ground at first touch",
         figure(speed, "speed", units), ""),
        ("peak", "largest force", "largest force out of the ground, mean over a ms",
         figure(float(force[top]), "force", units), f"at {_ms(float(r.time[top]))}"),
        ("weights", "times the weight", "as a multiple of the weight of car and driver",
         figure(weights, "number", units, places=1), ""),
        ("energy", "taken up by the cage", "taken up by tubes, joints and feet",
         figure(float(r.taken[: k + 1].max()), "energy", units), "at the most"),
        ("down", "the car comes down", "way down of the car's middle after first touch",
         figure(down, "length", units, places=0), ""),
        ("turned", "the car turns", "turn of the car after first touch",
         figure(turned, "angle", units, places=0), ""),
        ("strain", "strain", "largest strain outside on a tube, in pull",
         _percent(float(r.strain.most[k])), shown(r.strain.spots[k].words)),
        ("room", "left to the people", "left to the people", left, by),
    )  # fmt: skip
    return tuple(
        PushFigure(key=key, head=head, label=label, value=value, words=words)
        for key, head, label, value, words in rows
    )


def _margin(r: DropResults, units: LengthUnit) -> tuple[Value, str]:
    """What is left to the people as far as the drop counts, and what comes nearest."""
    if r.room is None:
        return figure(None, "length", units, why="nobody sits in the car"), ""
    part = r.room.parts[0]
    verb = "touched by" if part.least <= 0.0 else "nearest:"
    words = f"{part.person}'s {part.part}, {verb} {shown(part.by)}"
    return figure(part.least, "length", units, places=0), words


def _percent(part: float) -> Value:
    return Value(value=part, unit="", said=f"{part:.1%}")


def _energy(r: DropResults, units: LengthUnit) -> tuple[EnergyLine, ...]:
    a = r.account
    worst = int(np.argmax(np.abs(a.gap)))
    rows = (
        ("motion at first touch", a.kinetic[0]), ("from the weight on the way down", a.work[-1]),
        ("motion left at the end", a.kinetic[-1]),
        ("held as in a spring at the end", a.stored[-1] + a.ground[-1]),
        ("spent on bending of tubes, joints and feet", a.spent[-1]),
        ("rubbed off on the ground", a.friction[-1]),
        ("taken out by the time steps themselves", a.numerical[-1]),
        ("unaccounted for, at the most", a.gap[worst]),
    )  # fmt: skip
    return tuple(
        EnergyLine(
            label=label, value=figure(float(j) * 1e-3, "energy", units),
            share=Value(value=float(j) / a.given, unit="", said=f"{float(j) / a.given:.2%}"),
        )
        for label, j in rows
    )  # fmt: skip


def _happened(r: DropResults, units: LengthUnit) -> tuple[Happened, ...]:
    """What gave way, what tore among it, in order of time."""
    torn = [(m, moment_words(r, m), True) for m in r.moments if m.kind in ("first tear", "first rupture")]
    every: list[tuple[Event | Moment, str, bool]] = [(e, shown(e.words), e.kind in GIVES) for e in r.order]
    every += torn
    rows: list[Happened] = []
    number = 0
    for what, words, gives in sorted(every, key=lambda row: row[0].travel):
        number += gives
        rows.append(
            Happened(
                number=number if gives else 0, kind=what.kind if isinstance(what, Event) else "hinge",
                words=words, load=figure(what.load, "force", units),
                travel=Value(value=what.travel, unit="ms", said=f"{what.travel:.1f} ms"),
            )
        )  # fmt: skip
    return tuple(rows)
