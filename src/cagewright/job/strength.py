"""What the cage does under its pushes: one answer for the command, the Strength page and the papers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace

from cagewright.base.answers import CANNOT_TELL, Value, figure, worst
from cagewright.base.drawing import Drawing
from cagewright.base.names import listed, shown
from cagewright.base.say import say, scale_of
from cagewright.base.sheet import Sheet
from cagewright.base.units import LengthUnit
from cagewright.frame.choices import Choices as Choices
from cagewright.frame.errors import FrameError
from cagewright.frame.push_names import DEFAULT, push_named, push_names, usual_name
from cagewright.frame.results import CAUTIONS, FootUse, JointUse, MemberUse, Met, Results, Summary, Torsion
from cagewright.frame.run import run
from cagewright.job.opening import Job, Step, no_progress
from cagewright.job.strength_figures import (
    climb_rows,
    counted_to,
    end_of,
    figures_of,
    headline_of,
    room_rows,
    room_words,
)
from cagewright.job.strength_joints import joint_ways, joints_words
from cagewright.job.strength_tables import cage_table, push_tables, pushes_table
from cagewright.job.strength_types import (
    CurveMark,
    FootRow,
    GraphAxis,
    Happened,
    JointRow,
    Kind,
    KnownPush,
    LoadCurve,
    LoadWanted,
    PushAnswer,
    StrengthAnswer,
    TubeRow,
)  # fmt: skip
from cagewright.make.plots import curves_drawing
from cagewright.make.strength_drawing import GIVES, axes_of, bent_view, curve_of, load_drawing, use_view
from cagewright.make.svg import to_svg
from cagewright.make.weights import member_weight
from cagewright.shape.types import Cage

USUAL_PUSHES = (DEFAULT, "side-left")
"""What the papers show where the plan asks for no push: a front corner of the roof, and the driver's door."""


# --- asked


def known_pushes(job: Job) -> tuple[KnownPush, ...]:
    """Every push that this cage can be given, the plan's own marked.

    Raises:
        FrameError: one of the plan's own cannot be placed.
    """
    cage = job.cage
    own = {name for a in cage.pushes for name in (a.name, usual_name(a.name))}
    found = [push_named(cage, name) for name in push_names(cage)]
    return tuple(
        KnownPush(
            name=p.name, title=p.title, kind=p.kind, travel=figure(p.travel, "length", cage.units, places=0),
            source=p.source, certainty=p.certainty, own=p.name in own, usual=p.name == DEFAULT,
            wants=tuple(d.words for d in p.demands),
        )
        for p in found
    )  # fmt: skip


def push(
    job: Job,
    names: Sequence[str] = (),
    choices: Choices | None = None,
    *,
    step: Step = no_progress,
) -> tuple[StrengthAnswer, Drawing]:
    """The cage under the named pushes (the plan's, or the default one), and their curves drawn.

    Raises:
        FrameError: no such push, or the frame cannot stand.
    """
    asked = tuple(names) or tuple(p.name for p in job.cage.pushes)
    summary = run(job.cage, asked, choices, step)
    if len(summary.results) == 1:
        return answer_of(job.cage, summary), load_drawing(summary.results[0], job.cage.units)
    units = job.cage.units
    drawn = tuple(curve_of(r, r.push.name, units) for r in summary.results)
    x, y = axes_of(units)
    title = f"{summary.title}: load over travel"
    return answer_of(job.cage, summary), curves_drawing(drawn, name="load", title=title, x=x, y=y)


def strength(job: Job) -> StrengthAnswer:
    """The answer of the papers: the plan's pushes, or the usual two; none where they cannot be told."""
    return strength_papers(job)[0]


def strength_papers(job: Job) -> tuple[StrengthAnswer, tuple[Sheet, ...]]:
    """The answer of the papers, and its sheets."""
    return job.cache.get(("strength", job.key), lambda: _papers(job))


def _papers(job: Job) -> tuple[StrengthAnswer, tuple[Sheet, ...]]:
    cage = job.cage
    try:
        known = push_names(cage)
        asked = tuple(p.name for p in cage.pushes) or tuple(n for n in USUAL_PUSHES if n in known)
        if not asked:
            raise FrameError(["no usual push finds a place on this cage"])
        summary = run(cage, asked)
    except FrameError as wrong:
        told = _untold(cage, "; ".join(wrong.messages))
        return told, (Sheet(name="strength", title="Strength", kind="strength", notes=(told.headline,)),)
    answer = answer_of(cage, summary)
    whole = Sheet(
        name="strength", title="Strength", kind="strength", tables=answer.tables, notes=answer.cautions
    )
    each = zip(answer.pushes, summary.results, strict=True)
    return answer, (whole, *(_push_sheet(cage, a, r) for a, r in each))


def _push_sheet(cage: Cage, answer: PushAnswer, results: Results) -> Sheet:
    shape = next((s for s in results.shapes if s.label == "counted to here"), results.shapes[-1])
    bent = (bent_view(cage, results, shape, way) for way in ("side", "front"))
    return Sheet(
        name=f"strength_{answer.name.replace('-', '_')}",
        title=f"Strength: {answer.title}",
        kind="strength",
        tables=answer.tables,
        drawings=(load_drawing(results, cage.units), *bent, use_view(cage, results)),
        notes=(*(n for n in (f"{answer.headline}.", answer.joints_words, answer.source) if n), *answer.notes),
    )


def svg_of(drawing: Drawing) -> bytes:
    """The drawing as an SVG file."""
    return to_svg(drawing).encode()


# --- told


def answer_of(cage: Cage, summary: Summary) -> StrengthAnswer:
    """The pushes' results as the answer."""
    pushes = tuple(push_answer(cage, r) for r in summary.results)
    mass, torsion = _mass(cage), _torsion(summary.torsion, cage.units)
    return StrengthAnswer(
        headline="; ".join(p.headline for p in pushes),
        level=worst(tuple(p.level for p in pushes)),
        cautions=tuple(dict.fromkeys(c for p in pushes for c in p.cautions)),
        title=summary.title,
        revision=summary.revision,
        mass=mass,
        torsion=torsion,
        pushes=pushes,
        tables=(pushes_table(pushes), cage_table(mass, torsion)),
    )


def _untold(cage: Cage, why: str) -> StrengthAnswer:
    none = figure(None, "number", cage.units, why=why)
    return StrengthAnswer(
        headline=f"Cannot tell: {why}.", level="cannot tell", cautions=CAUTIONS, title=cage.title,
        revision=cage.revision, mass=_mass(cage), torsion=none,
        pushes=(), tables=(),
    )  # fmt: skip


def _mass(cage: Cage) -> Value:
    """Of the tubes as cut."""
    return figure(sum(member_weight(m).mass for m in cage.members), "mass", cage.units)


def _torsion(twist: Torsion | None, units: LengthUnit) -> Value:
    moment = figure(None if twist is None else twist.stiffness * 1e3, "moment", units)
    said = moment.said if twist is None else f"{moment.said} per degree"
    return Value(
        value=moment.value, unit="N mm/deg", said=said, why="" if twist else "no two front feet and two rear"
    )


def push_answer(cage: Cage, results: Results) -> PushAnswer:
    """The results of one push as the answer."""
    units, source = cage.units, results.push
    end, figures = end_of(results, units), figures_of(cage, results)
    joints = tuple(_joint_row(j, units) for j in results.joints)
    feet = tuple(_foot_row(f, units) for f in results.feet)
    tubes = tuple(_tube_row(m, units) for m in results.members)
    happened = _happened(results, units)
    wanted = tuple(_wanted(m, units) for m in results.demands)
    told = joints_words(results, units)
    answer = PushAnswer(
        headline=headline_of(results, figures, units),
        level=end.level,
        cautions=_cautions(results),
        name=source.name, title=source.title, source=f"{source.source} ({source.certainty}).",
        certainty=source.certainty, revision=results.revision,
        assumed={f.name: str(getattr(results.choices, f.name)) for f in fields(results.choices)},
        counted=counted_to(results, units), end=end, figures=figures, joints_words=told,
        ways=joint_ways(results, units),
        room=room_words(results, units), left=room_rows(results, units),
        climbs=climb_rows(cage, results, units),
        curve=load_curve(results, units), marks=_marks(results), happened=happened, wanted=wanted,
        joints=joints, feet=feet, tubes=tubes,
        tables=(), notes=results.notes,
    )  # fmt: skip
    return replace(answer, tables=push_tables(answer))


def load_curve(results: Results, units: LengthUnit) -> LoadCurve:
    """The push's curve with its axes."""
    axes: list[GraphAxis] = []
    for label, scale in (("Travel", scale_of("length", units)), ("Load", scale_of("force", units))):
        places = {"mm": 0, "in": 2}.get(scale.unit, scale.places)
        axes.append(GraphAxis(label=label, unit=scale.unit, scale=scale.size, places=places))
    return LoadCurve(x=axes[0], y=axes[1], travel=results.travel.round(2), load=results.load.round(0))


FINE = 40.0
"""mm, the longest elements on which the energy to a tube's tear has been shown not to hang on the mesh."""
TOO_COARSE = "cannot tell the energy to a tube's tear on elements longer than 40 mm; push it on shorter ones"


def _cautions(results: Results) -> tuple[str, ...]:
    said = [*CAUTIONS]
    if results.room and results.room.inside:
        stands = listed(results.room.inside)
        said.append(f"{results.push.name}: not looked at, for it stands there before the push: {stands}.")
    if results.push.certainty == "memory":
        said.append(f"{results.push.name} is from memory, read the source before use: {results.push.source}.")
    if results.choices.mesh > FINE and results.counted.spot is not None:
        said.append(f"{results.push.name}: {TOO_COARSE}.")
    if results.counted.kind == "cannot tell":
        said.append(f"{results.push.name} stalled: what rests on the rest of the push is '{CANNOT_TELL}'.")
    return tuple(said)


# --- rows


def _marks(r: Results) -> tuple[CurveMark, ...]:
    marks = [CurveMark(kind="peak", travel=round(r.peak.travel, 2), words="largest load")]
    marks += [CurveMark(kind="strain", travel=round(m.travel, 2), words=m.words) for m in r.limits]
    if r.counted.kind != "end of travel":
        marks.append(CurveMark(kind="counted", travel=round(r.counted.travel, 2), words=r.counted.kind))
    return tuple(marks)


def _happened(r: Results, units: LengthUnit) -> tuple[Happened, ...]:
    """What gave way and, where joints do not give, which joint came to its strength, in order of travel."""
    found: list[tuple[Kind, float, float, str]] = [
        (h.kind, h.travel, h.load, shown(h.words)) for h in r.order
    ]
    if r.choices.joints == "report":
        found += [_full(j) for j in r.joints if j.over is not None]
    gave = " ".join(h.words for h in r.order if h.kind == "foot")
    found += [_foot_full(f) for f in r.feet if f.over is not None and f" {f.foot} " not in f" {gave} "]
    rows: list[Happened] = []
    number = 0
    for kind, travel, load, words in sorted(found, key=lambda row: row[1]):
        number += kind in GIVES
        rows.append(
            Happened(
                number=number if kind in GIVES else 0, kind=kind, words=words,
                travel=figure(travel, "length", units, places=0), load=figure(load, "force", units),
            )
        )  # fmt: skip
    return tuple(rows)


def _full(j: JointUse) -> tuple[Kind, float, float, str]:
    words = f"{shown(j.words)} comes to its strength ({j.governs})"
    return "strength", j.over or 0.0, j.over_load or 0.0, words


def _foot_full(f: FootUse) -> tuple[Kind, float, float, str]:
    """A foot that comes to its strength in a way in which the model does not let it give."""
    words = f"the shell under {shown(f.foot)} comes to its strength ({f.governs})"
    return "strength", f.over or 0.0, f.over_load or 0.0, words


def _wanted(met: Met, units: LengthUnit) -> LoadWanted:
    demand = met.demand
    source = f"{demand.source} ({demand.certainty})"
    if met.load is None:
        words = f"{demand.words}: {CANNOT_TELL}, the car's mass is not known"
        return LoadWanted(reached=None, words=words, source=source)
    mean = "mean " if demand.mean else ""
    size = f"{mean}{demand.words}: {say(met.load, 'force', units)}"
    if demand.within is not None:
        size += f" within {say(demand.within, 'length', units, places=0)}"
    if met.met is None:
        words = f"{size}: {CANNOT_TELL}, the push does not count that far"
    elif met.met and met.travel is not None and not demand.mean:
        words = f"{size} reached at {say(met.travel, 'length', units, places=0)}"
    else:
        words = f"{size} {'reached' if met.met else 'not reached'}"
    return LoadWanted(reached=met.met, words=words, source=source)


def _share(value: float | None, units: LengthUnit) -> Value | None:
    return None if value is None else figure(value, "number", units)


def _force(value: float | None, units: LengthUnit) -> Value | None:
    return None if value is None else figure(value, "force", units)


def _joint_row(j: JointUse, units: LengthUnit) -> JointRow:
    axial, in_plane, out_of_plane = j.forces
    return JointRow(
        joint=j.joint, words=shown(j.words), used=figure(j.most, "number", units),
        full_at=_force(j.over_load, units), governs=j.governs, axial=figure(axial, "force", units),
        in_plane=figure(in_plane, "moment", units), out_of_plane=figure(out_of_plane, "moment", units),
        weld=_share(j.weld, units), outside=j.outside,
    )  # fmt: skip


def _foot_row(f: FootUse, units: LengthUnit) -> FootRow:
    return FootRow(
        foot=f.foot, push=figure(f.push, "force", units), pull=figure(f.pull, "force", units),
        slide=figure(f.slide, "force", units), tilt=figure(f.tilt, "moment", units),
        used=_share(f.most, units), torn=_share(f.torn, units), full_at=_force(f.over_load, units),
        governs=f.governs, weld=_share(f.weld, units),
    )  # fmt: skip


def _tube_row(m: MemberUse, units: LengthUnit) -> TubeRow:
    return TubeRow(
        member=m.member, used=figure(m.most, "number", units), hinges=m.hinges,
        where=shown(m.spot.words.removeprefix(f"{m.member} ")),
        yields_at=None if m.yields is None else figure(m.yields, "length", units, places=0),
        pull=figure(m.pull, "force", units), push=figure(m.push, "force", units),
    )  # fmt: skip
