"""The strength papers: what each push showed, in units a builder reads, with its pictures and cautions."""

from __future__ import annotations

from cagewright.base.drawing import Drawing
from cagewright.base.say import say, say_length
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.frame.results import Event, Results, Summary
from cagewright.make.cells import facts
from cagewright.make.strength_drawing import bent_view, load_drawing, numbered, use_view
from cagewright.shape.types import Cage

MOST_ROWS = 20
"""Rows printed of a long list; the values for programs have them all."""
CANNOT_TELL = "cannot tell"


def strength_sheets(cage: Cage, summary: Summary) -> tuple[Sheet, ...]:
    """One sheet for the cage under all pushes, then one for each push with its pictures."""
    whole = Sheet(
        name="strength",
        title="Strength",
        kind="strength",
        tables=(pushes_table(summary, cage.units), cage_table(summary, cage.units)),
        notes=(*summary.cautions, *memory_notes(summary)),
    )
    return (whole, *(_push_sheet(cage, r) for r in summary.results))


def _push_sheet(cage: Cage, results: Results) -> Sheet:
    return Sheet(
        name=f"strength_{results.push.name.replace('-', '_')}",
        title=f"Strength: {results.push.title}",
        kind="strength",
        tables=push_tables(results, cage.units),
        drawings=push_drawings(cage, results),
        notes=(f"{results.push.source} ({results.push.certainty}).", *results.notes),
    )


def push_drawings(cage: Cage, results: Results) -> tuple[Drawing, ...]:
    """Load over travel, the bent cage from the side and the front, and how far each tube is used."""
    shape = next((s for s in results.shapes if "survival" in s.label), results.shapes[-1])
    bent = (bent_view(cage, results, shape, way) for way in ("side", "front"))
    return (load_drawing(results), *bent, use_view(cage, results))


# --- the cage under all pushes


def pushes_table(summary: Summary, units: LengthUnit) -> Table:
    """A row for each push: stiffness, first yield, largest load, energy, what is left, drop height."""
    columns = (
        Column(head="push"), Column(head="stiffness", unit="kN/mm", align="right"),
        Column(head="first yield", unit="kN", align="right"),
        Column(head="largest load", unit="kN", align="right"), Column(head="x weight", align="right"),
        Column(head="energy", unit="J", align="right"), Column(head="left to helmet", align="right"),
        Column(head="drop", align="right"), Column(head="how it ended"),
    )  # fmt: skip
    return Table(title="Pushes", columns=columns, rows=tuple(_row(r, units) for r in summary.results))


def _row(r: Results, units: LengthUnit) -> tuple[str, ...]:
    stiff = CANNOT_TELL if r.stiffness is None else f"{r.stiffness / 1e3:.2f}"
    end = r.end if r.reached else f"{r.end}: {CANNOT_TELL} what comes after"
    return (
        r.push.name, stiff, first_yield_cell(r), peak_cell(r), weights_cell(r), energy_cell(r),
        margin_cell(r, units), drop_cell(r, units), end,
    )  # fmt: skip


def first_yield_cell(r: Results) -> str:
    """Load at first yield, kN, as a range where the typical yield strength was looked at."""
    if r.first_yield is None:
        return "none" if r.reached else CANNOT_TELL
    return _range(r.first_yield.load, r.band.first_yield[1] if r.band else None, 1e-3, 1)


def peak_cell(r: Results) -> str:
    """The largest load, kN; with ``≥`` where the load was still rising."""
    if r.peak is None:
        return CANNOT_TELL
    mark = "" if r.peak.passed else "≥ "
    return mark + _range(r.peak.load, r.band.peak[1] if r.band else None, 1e-3, 1)


def weights_cell(r: Results) -> str:
    """The largest load as a multiple of the weight of car and driver."""
    if r.peak is None or r.peak.weights is None:
        return CANNOT_TELL
    return f"{r.peak.weights:.1f}"


def energy_cell(r: Results) -> str:
    """Energy taken up over the whole push, J."""
    if r.energy is None:
        return CANNOT_TELL
    return _range(r.energy, r.band.energy[1] if r.band else None, 1.0, 0)


def margin_cell(r: Results, units: LengthUnit) -> str:
    """What is left to the survival space at the nearest, or when it is touched, as the tape reads."""
    room = r.room
    if room is None:
        return "no driver"
    if room.touched is not None:
        return f"touched by {room.by} at {say_length(room.touched, units, places=0)}"
    return say_length(room.least, units, places=0) if r.reached else CANNOT_TELL


def drop_cell(r: Results, units: LengthUnit) -> str:
    """The drop whose energy is taken up before the survival space is touched or the push ends."""
    if r.drop is None:
        return "–" if r.push.kind in ("pole", "static", "point") else CANNOT_TELL
    return say_length(r.drop.height, units, places=0)


def _range(least: float, typical: float | None, scale: float, places: int) -> str:
    low = f"{least * scale:.{places}f}"
    return low if typical is None else f"{low} to {typical * scale:.{places}f}"


def cage_table(summary: Summary, units: LengthUnit) -> Table:
    """Mass and torsional stiffness of the cage alone."""
    twist = summary.torsion
    rows = [("mass of the tubes", say(summary.mass, "mass", units))]
    rows.append((
        "torsional stiffness of the cage alone, front feet against rear",
        CANNOT_TELL if twist is None
        else f"{twist.stiffness:.0f} N m/deg ({twist.stiffness_ft_lb:.0f} ft lb/deg)",
    ))  # fmt: skip
    return facts("The cage alone", tuple(rows))


def memory_notes(summary: Summary) -> tuple[str, ...]:
    """A sentence for each push whose figures nobody has read in the source."""
    return tuple(
        f"{r.push.name} is from memory, read the source before use: {r.push.source}."
        for r in summary.results
        if r.push.certainty == "memory"
    )


# --- one push


def push_tables(results: Results, units: LengthUnit) -> tuple[Table, ...]:
    """Everything one push showed: its figures, wanted loads, what gave in order, joints, feet, members."""
    made = (
        figures_table(results, units), demands_table(results), order_table(results), joints_table(results),
        feet_table(results), members_table(results),
    )  # fmt: skip
    return tuple(t for t in made if t.rows)


def figures_table(r: Results, units: LengthUnit) -> Table:
    """The figures of one push, in words and numbers."""
    stiff = CANNOT_TELL if r.stiffness is None else f"{r.stiffness / 1e3:.2f} kN/mm"
    drop = drop_cell(r, units)
    if r.drop is not None:
        drop += f" until {r.drop.until}"
    rows = (
        ("how it ended", r.end if r.reached else f"{r.end}; {CANNOT_TELL} what comes after"),
        ("stiffness at the start", stiff),
        ("first yield", _with_unit(first_yield_cell(r), "kN")),
        ("largest load", _with_unit(peak_cell(r), "kN")),
        ("as a multiple of the weight of car and driver", weights_cell(r)),
        ("energy taken up", _with_unit(energy_cell(r), "J")),
        ("left to the helmet's circle", margin_cell(r, units)),
        ("drop whose energy is taken up", drop),
    )
    return facts(f"{r.push.name}: {r.push.title}", rows)


def _with_unit(cell: str, unit: str) -> str:
    return f"{cell} {unit}" if cell[-1:].isdigit() else cell


def demands_table(r: Results) -> Table:
    """Loads that the push's source wants, and whether they were reached."""
    rows = tuple((_verdict(m.met), m.words, f"{m.demand.source} ({m.demand.certainty})") for m in r.demands)
    heads = (Column(head="reached"), Column(head="wanted"), Column(head="source"))
    return Table(title="Loads wanted", columns=heads, rows=rows)


def _verdict(met: bool | None) -> str:
    return CANNOT_TELL if met is None else "yes" if met else "no"


def order_table(r: Results) -> Table:
    """What gave way, in order and in words, numbered as in the pictures."""
    gave = numbered(r)
    rows = [(str(n), f"{h.travel:.0f}", f"{h.load / 1e3:.1f}", _bare(h)) for n, h in gave[:MOST_ROWS]]
    if len(gave) > MOST_ROWS:
        rows.append(("", "", "", f"and {len(gave) - MOST_ROWS} more places after these"))
    heads = (Column(head="No", align="right"), Column(head="travel", unit="mm", align="right"),
             Column(head="load", unit="kN", align="right"), Column(head="what gives"))  # fmt: skip
    return Table(title="What gives, in order", columns=heads, rows=tuple(rows))


def _bare(happening: Event) -> str:
    """Its words without the travel and load that have columns of their own."""
    return happening.words.removesuffix(f" at {happening.travel:.1f} mm, {happening.load / 1e3:.1f} kN")


def _kn(newtons: float) -> str:
    return f"{round(newtons / 1e3, 1) + 0.0:.1f}"


def joints_table(r: Results) -> Table:
    """Joints over their strength, most used first; the strongest used where none is over."""
    over = [j for j in r.joints if j.most >= 1.0]
    shown = (over or list(r.joints[:3]))[:MOST_ROWS]
    rows = [
        (j.words, f"{j.most:.2f}", "–" if j.over_load is None else f"{j.over_load / 1e3:.1f}", j.governs,
         "–" if j.weld is None else f"{j.weld:.2f}", "; ".join(j.outside) or "–")
        for j in shown
    ]  # fmt: skip
    if len(over) > MOST_ROWS:
        rows.append((f"and {len(over) - MOST_ROWS} more over their strength", "", "", "", "", ""))
    heads = (
        Column(head="joint"), Column(head="used", align="right"),
        Column(head="full at push of", unit="kN", align="right"), Column(head="what gives"),
        Column(head="part weld used", align="right"), Column(head="outside the source's limits"),
    )  # fmt: skip
    title = "Joints over their strength" if over else "Joints, the most used"
    return Table(title=title, columns=heads, rows=tuple(rows))


def feet_table(r: Results) -> Table:
    """Feet against what the shell under them carries."""
    rows = tuple(
        (f.foot, _kn(f.push), _kn(f.pull), "rigid" if f.most is None else f"{f.most:.2f}",
         "–" if f.over_load is None else f"{f.over_load / 1e3:.1f}", f.governs,
         "–" if f.weld is None else f"{f.weld:.2f}")
        for f in r.feet
    )  # fmt: skip
    heads = (
        Column(head="foot"), Column(head="into the shell", unit="kN", align="right"),
        Column(head="out of it", unit="kN", align="right"), Column(head="used", align="right"),
        Column(head="full at push of", unit="kN", align="right"), Column(head="what gives first"),
        Column(head="part weld used", align="right"),
    )  # fmt: skip
    return Table(title="Feet on the shell", columns=heads, rows=rows)


def members_table(r: Results) -> Table:
    """Use of every tube, most used first."""
    rows = tuple(
        (m.member, f"{m.most:.2f}", m.spot.words.removeprefix(f"{m.member} "),
         "–" if m.yields is None else f"{m.yields:.0f}", str(m.hinges or "–"), _kn(m.pull), _kn(m.push))
        for m in r.members
    )  # fmt: skip
    heads = (
        Column(head="member"), Column(head="used", align="right"), Column(head="where"),
        Column(head="yields at", unit="mm", align="right"), Column(head="bends through", align="right"),
        Column(head="pull", unit="kN", align="right"), Column(head="push", unit="kN", align="right"),
    )  # fmt: skip
    return Table(title="Tubes", columns=heads, rows=rows)
