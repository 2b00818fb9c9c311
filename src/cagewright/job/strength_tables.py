"""The strength answer laid out as tables, the same for the command, the page and the papers."""

from __future__ import annotations

from collections.abc import Sequence

from cagewright.base.answers import CANNOT_TELL, Value
from cagewright.base.names import shown
from cagewright.base.sheet import Column, Table
from cagewright.job.strength_types import Happened, JointRow, PushAnswer, PushFigure

MOST_ROWS = 20
"""Rows in the table of a long list; the answer itself has them all."""


def _said(value: Value | None, absent: str = "–") -> str:
    return absent if value is None else value.said


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]], *, left: str) -> Table:
    """A table of said cells; ``left`` holds the heads that align left."""
    words = left.split("|")
    columns = tuple(Column(head=h, align="left" if h in words else "right") for h in heads)
    return Table(title=title, columns=columns, rows=tuple(tuple(row) for row in rows))


def pushes_table(pushes: Sequence[PushAnswer]) -> Table:
    """A row for each push: its figures and how it ended."""
    heads = ("push", *(f.head for f in _counted(pushes[0])), "how it ended") if pushes else ("push",)
    rows = [(p.name, *(f.value.said for f in _counted(p)), p.end.words) for p in pushes]
    return _table("Pushes", heads, rows, left="push|how it ended")


def _counted(push: PushAnswer) -> list[PushFigure]:
    return [f for f in push.figures if f.key != "beyond"]


def cage_table(mass: Value, torsion: Value) -> Table:
    """Mass and torsional stiffness of the cage alone."""
    twist = "torsional stiffness of the cage alone, front feet against rear"
    return _table(
        "The cage alone", ("", " "), (("mass of the tubes", mass.said), (twist, torsion.said)), left=""
    )


def push_tables(push: PushAnswer) -> tuple[Table, ...]:
    """Everything one push showed: its figures, wanted loads, what gave in order, joints, feet, tubes."""
    rows = [
        ("how it ended", push.end.words),
        *((f.label, f"{f.value.said} {_tail(f)}".strip()) for f in push.figures),
    ]
    verdicts = {True: "yes", False: "no", None: CANNOT_TELL}
    made = (
        _table(f"{push.name}: {push.title}", ("", " "), rows, left=""),
        _table("Each way the joints may behave",
               ("joints", "counts to", "because of", "energy", "largest load"),
               [(w.words + " (counts)" * w.counts, w.travel.said, w.why, w.energy.said, w.load.said)
                for w in push.ways], left="joints|because of"),
        _table("Loads wanted", ("reached", "wanted", "source"),
               [(verdicts[w.reached], w.words, w.source) for w in push.wanted], left="reached|wanted|source"),
        _table("Left to the people", ("who", "at rest", "left", "nearest", "touched at"),
               [(f"{p.person}'s {p.part}", p.rest.said, p.left.said, p.by,
                 _said(p.touched) + ("" if p.counted or p.touched is None else ", not counted"))
                for p in push.left], left="who|nearest|touched at"),
        _table("Where the load climbs again", ("travel", "load", "what takes it"),
               [(f"{c.start.said} to {c.stop.said}", f"{c.low.said} to {c.high.said}", c.words)
                for c in push.climbs], left="what takes it"),
        _order_table(push.happened), _joints_table(push.joints),
        _table("Feet on the shell",
               ("foot", "into the shell", "out of it", "used", "full at push of", "what gives first",
                "part weld used"),
               [(shown(f.foot), f.push.said, f.pull.said, _said(f.used, "rigid"), _said(f.full_at), f.governs,
                 _said(f.weld)) for f in push.feet], left="foot|what gives first"),
        _table("Tubes", ("member", "used", "where", "yields at", "bends through", "pull", "push"),
               [(shown(m.member), m.used.said, m.where, _said(m.yields_at), str(m.hinges or "–"), m.pull.said,
                 m.push.said)
                for m in push.tubes], left="member|where"),
    )  # fmt: skip
    return tuple(t for t in made if t.rows)


def _tail(f: PushFigure) -> str:
    return f.words if f.key in ("room", "beyond") and f.value.value is not None else ""


def _order_table(happened: tuple[Happened, ...]) -> Table:
    """What gave way, in order, numbered as in the pictures."""
    gave = [h for h in happened if h.number]
    rows = [(str(h.number), h.travel.said, h.load.said, h.words) for h in gave[:MOST_ROWS]]
    if len(gave) > MOST_ROWS:
        rows.append(("", "", "", f"and {len(gave) - MOST_ROWS} more places after these"))
    return _table("What gives, in order", ("No", "travel", "load", "what gives"), rows, left="what gives")


def _joints_table(joints: tuple[JointRow, ...]) -> Table:
    """Joints over their strength, most used first; the strongest used where none is over."""
    over = [j for j in joints if (j.used.value or 0.0) >= 1.0]
    rows = [
        (j.words, j.used.said, _said(j.full_at), j.governs, _said(j.weld), "; ".join(j.outside) or "–")
        for j in (over or joints[:3])[:MOST_ROWS]
    ]
    if len(over) > MOST_ROWS:
        rows.append((f"and {len(over) - MOST_ROWS} more over their strength", "", "", "", "", ""))
    heads = (
        "joint", "used", "full at push of", "what gives", "part weld used", "outside the source's limits"
    )  # fmt: skip
    title = "Joints over their strength" if over else "Joints, the most used"
    return _table(title, heads, rows, left="joint|what gives|outside the source's limits")
