"""The shop's papers: summary, cut list, nesting, a bend sheet for each bent member, weld map."""

from __future__ import annotations

import math

from cagewright.base.cautions import CAUTIONS
from cagewright.base.names import shown
from cagewright.base.say import say, say_length, unit_of
from cagewright.base.sheet import Column, Sheet, Table
from cagewright.base.units import LengthUnit
from cagewright.make.bendpaper import bend_paper
from cagewright.make.cells import angle_cell, facts, length_cell, length_column, money_cell, wall_cell
from cagewright.make.cutlist import clocking_words, tube_words
from cagewright.make.holesaw import SawSetting
from cagewright.make.nesting import WORTH_KEEPING, NestPlan, StockBar
from cagewright.make.weldmap import Weld
from cagewright.make.work import Work, to_see_to
from cagewright.shape.part_types import Coupling
from cagewright.shape.types import member_named
from cagewright.stock.bolts import bolt_of


def sheets(work: Work) -> tuple[Sheet, ...]:
    """Every paper of the shop in the order it is needed; the wraps are made apart (``make.wraps``)."""
    bent = (bend_paper(work, sheet) for sheet in work.bends)
    return (summary(work), cut_paper(work), nest_paper(work), *bent, weld_paper(work))


def marked(work: Work, *notes: str) -> tuple[str, ...]:
    """The notes of a paper: cautions first, then the plan's title and revision mark, then its own."""
    return (*CAUTIONS, f"{work.cage.title}, revision {work.cage.revision}.", *notes)


# --- summary


def summary(work: Work) -> Sheet:
    """The first paper: what is built, what it weighs, what is bought, what is still to be seen to."""
    return Sheet(
        name="summary",
        title=f"{work.cage.title}: summary",
        kind="summary",
        tables=(_built(work), _bought(work), *_open_points(work)),
        notes=marked(
            work,
            "Weight is bare metal: tubes after their cuts, plates and gussets; "
            "no weld metal, bolts or paint.",
        ),
    )


def _built(work: Work) -> Table:
    cage, units = work.cage, work.cage.units
    x, y, z = (say_length(float(v), units, places=0) for v in work.weights.centre)
    rows = (
        ("plan", cage.title),
        ("revision", cage.revision),
        ("members", str(len(cage.members))),
        ("joints", str(len(cage.joints))),
        ("feet", str(len(cage.feet))),
        ("weight", say(work.weights.mass, "mass", units)),
        ("centre of gravity", f"{x} back, {y} across, {z} up"),
        ("weld line, all told", say_length(work.welds.length, units, places=0)),
        ("weld metal, about", say(work.welds.filler, "mass", units)),
    )
    return facts("What is built", rows)


def _bought(work: Work) -> Table:
    units = work.cage.units
    columns = (
        Column(head="tube"),
        length_column("rough lengths", units),
        length_column("bought", units),
        Column(head="cost", align="right"),
        Column(head="how good"),
    )
    rows = tuple(_bought_row(work, plan) for plan in work.nests)
    cost = [n.cost for n in work.nests if n.cost is not None]
    total = money_cell(sum(cost) if len(cost) == len(work.nests) else None, work.shop.currency)
    bought = length_cell(sum(n.bought for n in work.nests), units)
    rough = length_cell(sum(r.rough for r in work.cuts), units)
    return Table(title="Tube to buy", columns=columns, rows=(*rows, ("all", rough, bought, total, "")))


def _bought_row(work: Work, plan: NestPlan) -> tuple[str, ...]:
    units = work.cage.units
    rough = sum(r.rough for r in work.cuts if r.tube == plan.tube)
    return (
        tube_words(plan.tube, units),
        length_cell(rough, units),
        length_cell(plan.bought, units),
        money_cell(plan.cost, work.shop.currency),
        quality(plan, units),
    )


def quality(plan: NestPlan, units: LengthUnit) -> str:
    """How good the nesting is known to be, in words."""
    if plan.unplaced:
        return f"{len(plan.unplaced)} of the tubes not placed"
    if plan.proved:
        return "nothing less can be bought"
    bound = f"{plan.bound:.2f}" if plan.objective == "cost" else say_length(plan.bound, units, places=0)
    return f"at most {100.0 * plan.gap:.1f} % above the least (no less than {bound})"


def _open_points(work: Work) -> tuple[Table, ...]:
    rows = tuple((str(p.where), p.found, p.wanted) for p in to_see_to(work))
    columns = (Column(head="where"), Column(head="what"), Column(head="wanted"))
    return (Table(title="To be seen to first", columns=columns, rows=rows),) if rows else ()


# --- cut list


def cut_paper(work: Work) -> Sheet:
    """The cut list with the hole-saw settings."""
    return Sheet(
        name="cut_list",
        title="Cut list",
        kind="cut list",
        tables=(_cuts(work), *_saws(work), *_couplings(work)),
        notes=marked(
            work,
            "Finished length is from the furthest point of one cut to the furthest point of the other, along "
            "the tube's axis round its bends.",
            "Rough length is what to cut from the bar: finished length, the shop's trim at each end, and the "
            "straight the bender needs where that is more.",
            "Round the tube, 0° is the heel of the cope (the side of the wider angle), as on its wrap; "
            "clockwise is seen looking from the member's start to its end.",
        ),
    )


def _cuts(work: Work) -> Table:
    units = work.cage.units
    columns = (
        Column(head="member"),
        Column(head="role"),
        Column(head="tube"),
        length_column("finished", units),
        length_column("rough", units),
        Column(head="bends", align="right"),
        Column(head="start"),
        Column(head="end"),
    )
    rows = tuple(
        (shown(r.member), r.role, tube_words(r.tube, units), length_cell(r.finished, units),
         length_cell(r.rough, units), str(r.bends), r.start, r.end)
        for r in work.cuts
    )  # fmt: skip
    return Table(title="Members", columns=columns, rows=rows)


def _couplings(work: Work) -> tuple[Table, ...]:
    """Where tubes are sawn for their couplings once they are bent and notched."""
    units = work.cage.units
    columns = (
        Column(head="member"),
        Column(head="coupling"),
        length_column("middle from the start", units),
        length_column("saw out", units),
        Column(head="made of"),
        Column(head="sizes by"),
    )
    rows = tuple(
        (shown(m.name), c.kind, length_cell(c.along - m.ends[0].trim, units), length_cell(c.gap, units),
         made_of(c, units), c.source or "the plan")
        for m in work.cage.members
        for c in m.couplings
    )  # fmt: skip
    return (
        (Table(title="Couplings: fit the tube whole, then saw it", columns=columns, rows=rows),)
        if rows
        else ()
    )


def made_of(c: Coupling, units: LengthUnit) -> str:
    """What a coupling is made of: ``2 flanges 86.0 x 6.0 mm, 4 bolts M8 8.8``."""
    wide, thick, long = (say_length(v, units) for v in (c.width, c.thickness, c.length))
    bolt = bolt_of(c.bolt)
    bolts = f"{bolt.name if bolt else say_length(c.bolt, units)} {c.grade}"
    if c.kind == "flange":
        return f"2 flanges {wide} x {thick}, {c.count} bolts {bolts}"
    if c.kind == "double lug":
        return f"2 lugs {wide} x {thick}, one twice as thick, a pin {bolts}"
    if c.kind == "inner sleeve":
        return f"a tube {wide} x {thick} inside, {long} long, welded all round"
    return f"a tube {wide} x {thick} over it, {long} long, {2 * c.count} bolts {bolts}"


def _saws(work: Work) -> tuple[Table, ...]:
    units = work.cage.units
    columns = (
        Column(head="member"),
        Column(head="end"),
        Column(head="on"),
        length_column("hole saw", units),
        Column(head="tube to saw", align="right"),
        Column(head="off square", align="right"),
        length_column("offset", units),
        Column(head="how"),
        Column(head="lies"),
    )
    rows = tuple(_saw_row(s, _lies(work, s), units) for s in work.saws)
    return (Table(title="Copes: hole saw or wrap", columns=columns, rows=rows),) if rows else ()


def _lies(work: Work, s: SawSetting) -> str:
    member = member_named(work.cage, s.member)
    return clocking_words(member, member.ends[0 if s.which == "start" else 1])


def _saw_row(s: SawSetting, lies: str, units: LengthUnit) -> tuple[str, ...]:
    right = math.pi / 2.0 - s.angle
    if not s.simple:
        return (
            shown(s.member),
            s.which,
            shown(s.main),
            "–",
            "–",
            "–",
            "–",
            f"needs the wrap: {s.reason}",
            lies,
        )
    side = (
        f"saw axis towards {angle_cell(s.towards)} round the tube"
        if s.offset
        else "saw axis through the tube's own"
    )
    return (
        shown(s.member), s.which, shown(s.main), length_cell(s.saw or s.wanted, units), angle_cell(s.angle),
        angle_cell(right), length_cell(s.offset, units), side, lies,
    )  # fmt: skip


# --- nesting


def nest_paper(work: Work) -> Sheet:
    """What is cut from each bar, in order."""
    tables = tuple(_bars(work, plan) for plan in work.nests if plan.bars)
    kerf = f"{wall_cell(work.shop.kerf, work.cage.units)} {unit_of('length', work.cage.units)}"
    return Sheet(
        name="nesting",
        title="Lengths to buy and cut",
        kind="nesting",
        tables=(_nest_facts(work), *tables),
        notes=marked(
            work,
            f"Each saw cut takes {kerf}; marks are from one end of the bar.",
            "Least bought first, then the rack is used, then the longest single rest is kept.",
            f"A rest shorter than {say_length(WORTH_KEEPING, work.cage.units, places=0)} counts as waste.",
        ),
    )


def _nest_facts(work: Work) -> Table:
    units = work.cage.units
    columns = (
        Column(head="tube"),
        Column(head="bars bought", align="right"),
        Column(head="from the rack", align="right"),
        length_column("bought", units),
        Column(head="cost", align="right"),
        length_column("rests kept", units),
        length_column("waste", units),
        Column(head="how good"),
        Column(head="rests"),
    )
    rows = tuple(_nest_row(work, plan) for plan in work.nests)
    return Table(title="Each tube", columns=columns, rows=rows)


def _nest_row(work: Work, plan: NestPlan) -> tuple[str, ...]:
    units = work.cage.units
    return (
        tube_words(plan.tube, units),
        str(sum(b.source == "stock" for b in plan.bars)),
        str(sum(b.source == "offcut" for b in plan.bars)),
        length_cell(plan.bought, units),
        money_cell(plan.cost, work.shop.currency),
        length_cell(plan.kept, units),
        length_cell(plan.waste, units),
        quality(plan, units),
        "the best there are" if plan.rests_proved else "the best found in the time",
    )


def _bars(work: Work, plan: NestPlan) -> Table:
    units = work.cage.units
    columns = (
        Column(head="bar", align="right"),
        Column(head="from"),
        Column(head="piece"),
        length_column("length", units),
        length_column("from mark", units),
        length_column("to mark", units),
    )
    rows = tuple(row for n, bar in enumerate(plan.bars, 1) for row in _bar_rows(n, bar, units))
    return Table(title=f"{tube_words(plan.tube, units)}: bar by bar", columns=columns, rows=rows)


def _bar_rows(n: int, bar: StockBar, units: LengthUnit) -> tuple[tuple[str, ...], ...]:
    source = "bought" if bar.source == "stock" else f"offcut {bar.name}"
    source = f"{source}, {say_length(bar.length, units)}"
    cut = tuple(
        (str(n), source, shown(p.name), length_cell(p.length, units), length_cell(p.at, units),
         length_cell(p.at + p.length, units))
        for p in bar.pieces
    )  # fmt: skip
    rest = (str(n), source, "rest", length_cell(bar.rest, units), length_cell(bar.length - bar.rest, units),
            length_cell(bar.length, units))  # fmt: skip
    return (*cut, rest)


# --- weld map


def weld_paper(work: Work) -> Sheet:
    """Every weld line with its suggested size."""
    units = work.cage.units
    columns = (
        Column(head="weld"),
        Column(head="what"),
        Column(head="parts"),
        length_column("length", units),
        length_column("throat a", units),
        length_column("leg z", units),
        Column(head="least angle", align="right"),
        length_column("under 60°", units),
        length_column("over 120°", units),
    )
    welds = Table(title="Welds", columns=columns, rows=tuple(_weld_row(w, units) for w in work.welds.welds))
    totals = facts(
        "All told",
        (
            ("weld line", say_length(work.welds.length, units, places=0)),
            ("weld metal, about", say(work.welds.filler, "mass", units)),
        ),
    )
    return Sheet(
        name="weld_map",
        title="Weld map",
        kind="weld map",
        tables=(welds, totals),
        notes=marked(
            work,
            "Suggested throat is the thinner wall, leg is the throat times 1.414: a full-strength target in "
            "common use, to be confirmed by the welding procedure.",
            "Under 60° between the surfaces the line is too tight for a fillet: open the edge and weld it as "
            "a groove. Over 120°, as on the sides of a saddle on a tube of like size, it is a groove in "
            "shape: fill it to the throat.",
            "The shell's thickness is not in the plan, so welds of foot plates to it have no size here.",
            "Weld metal is the bare triangle, without reinforcement, spatter or stub ends.",
        ),
    )


def _weld_row(w: Weld, units: LengthUnit) -> tuple[str, ...]:
    throat = "–" if w.throat is None else length_cell(w.throat, units)
    leg = "–" if w.leg is None else length_cell(w.leg, units)
    return (
        shown(w.name), w.kind, ", ".join(map(shown, w.members)), length_cell(w.length, units), throat, leg,
        angle_cell(w.least_angle), length_cell(w.narrow, units), length_cell(w.wide, units),
    )  # fmt: skip
