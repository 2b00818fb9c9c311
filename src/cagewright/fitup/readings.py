"""The readings file of one fit-up: what was read between which marks, and what of it can be used.

A reading that cannot be used is kept as it was entered, with the reason, and left out of the adjustment.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path
from typing import Any, cast

from cagewright.base.problems import Problem, ProblemsFound, Where, nearest_word
from cagewright.base.units import MM_PER_IN, QuantityError, parse
from cagewright.fitup.choose import as_planned
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import AXES, CAR, SIZES, Body, Kind, Network, Reading, network
from cagewright.plan.files import load
from cagewright.plan.source import where_at
from cagewright.plan.text import Source
from cagewright.plan.text import parse as tree_of
from cagewright.shape.types import Cage

KEYS = ("cagewright-readings", "plan", "step", "units", "datum", "welded", "present", "readings", "note")
READING_KEYS = ("tape", "level", "lean", "place", "axis", "says", "size", "note")
FAR = 300.0
"""A reading this far from the plan is impossible for a tube that is tacked near its place, mm (assumed)."""
FAR_LEAN = 0.35
"""The same for a lean, rad (20 degrees; assumed)."""
STRAIGHT = 5.0
"""Three tapes round three marks may break the triangle's rule by this many standard deviations."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entered:
    """One reading as it was entered.

    Attributes:
        said: the words of the file.
        where: in the file.
        reading: as used, or None.
        problem: why it is not used, or None.
    """

    said: str
    where: Where
    reading: Reading | None
    problem: Problem | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FitUp:
    """One fit-up as read.

    Attributes:
        plan: revision mark that it was taken against; empty where not said.
        step: of the build order, or 0.
        net: bodies and marks that it is about.
        entered: every reading, used or not.
    """

    plan: str
    step: int
    net: Network
    entered: tuple[Entered, ...]

    @property
    def used(self) -> tuple[Reading, ...]:
        """The readings that the adjustment takes."""
        return tuple(e.reading for e in self.entered if e.reading)

    @property
    def problems(self) -> tuple[Problem, ...]:
        """Why readings were not used."""
        return tuple(e.problem for e in self.entered if e.problem)


def read_fitup(path: Path, cage: Cage, marks: Sequence[Mark]) -> FitUp:
    """The fit-up in the file.

    Args:
        path: of the readings file.
        cage: that is fitted.
        marks: of the cage and the car.

    Raises:
        ProblemsFound: the file is broken, or names bodies or a datum that there are not.
    """
    return _fitup(load(path, file=path.as_posix()), cage, marks)


def read_fitup_text(text: str, cage: Cage, marks: Sequence[Mark], *, file: str = "readings") -> FitUp:
    """The fit-up in the text; as ``read_fitup``.

    Raises:
        ProblemsFound: the text is broken, or names bodies or a datum that there are not.
    """
    return _fitup(tree_of(text, file=file), cage, marks)


def _fitup(source: Source, cage: Cage, marks: Sequence[Mark]) -> FitUp:
    if not source.readable or source.problems:
        raise ProblemsFound(
            source.problems or [_problem(source, (), "unreadable", "the file is empty", "wanted readings")]
        )
    data = source.data
    wrong = [
        _problem(
            source,
            (k,),
            "unknown-key",
            f"there is no key '{k}'",
            f"wanted one of {', '.join(KEYS)}",
            (k, KEYS),
        )
        for k in data
        if k not in KEYS
    ]
    if data.get("cagewright-readings") != 1:
        wrong.append(
            _problem(
                source,
                ("cagewright-readings",),
                "wrong-version",
                "the file does not start as readings do",
                "wanted 'cagewright-readings: 1'",
            )
        )
    if data.get("units", "mm") not in {"mm", "in"}:
        wrong.append(
            _problem(source, ("units",), "unknown-word", f"units are '{data['units']}'", "wanted mm or in")
        )
    if not isinstance(data.get("readings"), list):
        wrong.append(
            _problem(
                source,
                ("readings",),
                "wrong-type",
                "there is no list of readings",
                "wanted 'readings:' with '- tape: [a, b]' below",
            )
        )
    bodies, more = _bodies(source, cage)
    wrong += more
    datum = str(data.get("datum", CAR))
    if datum != CAR and datum not in {b.name for b in bodies}:
        wrong.append(
            _problem(
                source,
                ("datum",),
                "unknown-datum",
                f"the datum is '{datum}'",
                f"wanted '{CAR}' or the first member of what is held",
                (datum, [b.name for b in bodies]),
            )
        )
    if datum != CAR and len(bodies) < 2:
        wrong.append(
            _problem(
                source,
                ("datum",),
                "nothing-moves",
                "nothing but the datum is there",
                "wanted at least one more member",
            )
        )
    if wrong:
        raise ProblemsFound(wrong)
    net = network(marks, bodies, datum=datum)
    step = data.get("step", 0)
    return FitUp(
        plan=str(data.get("plan", "")),
        step=step if isinstance(step, int) else 0,
        net=net,
        entered=_crossed(tuple(_entered(source, net, marks, i) for i in range(len(data["readings"])))),
    )


def _problem(
    source: Source,
    keys: tuple[str | int, ...],
    code: str,
    found: str,
    wanted: str,
    like: tuple[str, Sequence[str]] | None = None,
) -> Problem:
    near = nearest_word(*like) if like else None
    return Problem(code=code, where=where_at(source, keys), found=found, wanted=wanted, nearest=near)


# --- bodies


def _bodies(source: Source, cage: Cage) -> tuple[list[Body], list[Problem]]:
    """Welded groups, then every other member that is there by itself."""
    known = [m.name for m in cage.members]
    wrong: list[Problem] = []
    groups = _groups(source, "welded", known, wrong)
    there = (
        _names(source, ("present",), source.data.get("present"), known, wrong)
        if "present" in source.data
        else known
    )
    taken: set[str] = set()
    for i, group in enumerate(groups):
        wrong += [
            _problem(
                source, ("welded", i), "twice", f"'{m}' is welded in two groups", "wanted each member once"
            )
            for m in group
            if m in taken
        ]
        taken |= set(group)
    bodies = [Body(name=g[0], members=tuple(g)) for g in groups if g]
    return bodies + [Body(name=m, members=(m,)) for m in there if m not in taken], wrong


def _groups(source: Source, key: str, known: list[str], wrong: list[Problem]) -> list[list[str]]:
    given = source.data.get(key, [])
    if not isinstance(given, list):
        wrong.append(
            _problem(
                source, (key,), "wrong-type", f"{key} is no list", f"wanted '{key}: [[main_hoop, diagonal]]'"
            )
        )
        return []
    return [_names(source, (key, i), g, known, wrong) for i, g in enumerate(cast("list[Any]", given))]


def _names(
    source: Source, keys: tuple[str | int, ...], given: Any, known: list[str], wrong: list[Problem]
) -> list[str]:
    names = [str(n) for n in cast("list[Any]", given)] if isinstance(given, list) else [str(given)]
    wrong += [
        _problem(
            source,
            keys,
            "unknown-member",
            f"there is no member '{n}'",
            "wanted members of the plan",
            (n, known),
        )
        for n in names
        if n not in known
    ]
    return list(dict.fromkeys(n for n in names if n in known))


# --- readings


class _Refused(Exception):
    """Why a reading cannot be used: code, found, wanted, and a word with its likes."""

    def __init__(
        self, code: str, found: str, wanted: str, like: tuple[str, Sequence[str]] | None = None
    ) -> None:
        super().__init__(found)
        self.code, self.found, self.wanted, self.like = code, found, wanted, like


def _entered(source: Source, net: Network, marks: Sequence[Mark], i: int) -> Entered:
    keys = ("readings", i)
    given = source.data["readings"][i]
    said, where = _said(given), where_at(source, keys)
    try:
        reading = _reading(given, str(source.data.get("units", "mm")), net, marks)
    except _Refused as no:
        problem = _problem(source, keys, no.code, f"'{said}': {no.found}", no.wanted, no.like)
        return Entered(said=said, where=where, reading=None, problem=problem)
    return Entered(said=said, where=where, reading=reading, problem=None)


def _said(given: Any) -> str:
    if not isinstance(given, Mapping):
        return str(given)
    items = cast("Mapping[str, Any]", given).items()
    return ", ".join(f"{k}: {' to '.join(map(str, v)) if isinstance(v, list) else v}" for k, v in items)


def _reading(given: Any, units: str, net: Network, marks: Sequence[Mark]) -> Reading | None:
    """The reading, or None where its blank is not filled in yet.

    Raises:
        _Refused: it cannot be used.
    """
    if not isinstance(given, Mapping):
        raise _Refused("wrong-type", "is no reading", "wanted '{tape: [mark, mark], says: 1234 mm}'")
    row = cast("Mapping[str, Any]", given)
    strange = next((k for k in row if k not in READING_KEYS), None)
    if strange is not None:
        raise _Refused(
            "unknown-key",
            f"has '{strange}'",
            f"wanted {', '.join(READING_KEYS)}",
            (str(strange), READING_KEYS),
        )
    kind = _kind(row)
    a, b = _ends(row, kind, net, marks)
    axis = _axis(row, kind)
    says = row.get("says")
    if says is None or says == "":
        return None
    seen = _number(says, kind, units)
    size = _number(row["size"], kind, "mm") if "size" in row else SIZES[kind]
    if not size > 0.0:
        raise _Refused(
            "bad-quantity", f"has the size {row['size']}", "wanted a standard deviation of more than 0"
        )
    name = f"{a} to {b}" if kind == "tape" else f"{kind} of {a}{f' to {b}' if b else ''}"
    reading = Reading(
        name=name if axis < 0 or kind == "level" else f"{name}, {AXES[axis]}",
        kind=kind,
        a=a,
        b=b,
        axis=axis,
        seen=seen,
        size=size,
    )
    _possible(reading, says, net)
    return reading


def _kind(row: Mapping[str, Any]) -> Kind:
    kinds = [k for k in SIZES if k in row]
    if len(kinds) != 1:
        raise _Refused("one-of", "says not what it is", "wanted one of tape, level, lean, place")
    return kinds[0]


def _ends(row: Mapping[str, Any], kind: Kind, net: Network, marks: Sequence[Mark]) -> tuple[str, str]:
    given = row[kind]
    names = [str(n) for n in cast("list[Any]", given)] if isinstance(given, list) else [str(given)]
    if len(names) != (1 if kind == "place" else 2):
        raise _Refused(
            "wrong-count", f"names {len(names)} marks", "wanted one mark for a place, two for the rest"
        )
    for n in names:
        if n not in net.index:
            there = n in {m.name for m in marks}
            found = f"mark '{n}' is on a tube that is not there yet" if there else f"there is no mark '{n}'"
            raise _Refused(
                "unknown-mark", found, "wanted marks of what is there (see: marks)", (n, list(net.index))
            )
    if len(set(names)) != len(names):
        raise _Refused("same-mark", f"runs from '{names[0]}' to itself", "wanted two marks")
    return names[0], names[1] if len(names) > 1 else ""


def _axis(row: Mapping[str, Any], kind: Kind) -> int:
    axis = row.get("axis")
    wanted = {"tape": (), "level": (), "lean": AXES[:2], "place": AXES}[kind]
    if not wanted:
        return -1 if kind == "tape" else 2
    if axis not in wanted:
        raise _Refused("unknown-word", f"has the axis '{axis}'", f"wanted axis: one of {', '.join(wanted)}")
    return AXES.index(str(axis))


def _number(says: Any, kind: Kind, units: str) -> float:
    try:
        return parse(says, "angle") if kind == "lean" else parse(says, "length", bare=units)
    except QuantityError as wrong:
        raise _Refused("bad-quantity", f"'{says}' cannot be read", str(wrong)) from None


def _possible(reading: Reading, says: Any, net: Network) -> None:
    """Nothing, where the reading can be true of a tube tacked near its place.

    Raises:
        _Refused: in the wrong units, no distance, between marks that cannot move, or too far from the plan.
    """
    plan = as_planned(net, reading)
    if reading.kind == "tape" and reading.seen <= 0.0:
        raise _Refused("impossible", "is no distance", "wanted more than 0")
    ends = [int(net.body[net.index[n]]) for n in (reading.a, reading.b) if n]
    if len(ends) == 2 and ends[0] == ends[1]:
        raise _Refused(
            "same-body",
            "both marks are on one body, so it says nothing of where that is",
            "wanted marks of two bodies",
        )
    if set(ends) == {-1}:
        raise _Refused("same-body", "the mark does not move", "wanted a mark of a body that can move")
    off, far = abs(reading.seen - plan), FAR_LEAN if reading.kind == "lean" else FAR
    if off <= far:
        return
    if reading.kind != "lean":
        for factor, words in (
            (MM_PER_IN, "inches, read as mm"),
            (1.0 / MM_PER_IN, "mm, read as inches"),
            (10.0, "cm, read as mm"),
        ):
            if abs(reading.seen * factor - plan) < 0.05 * abs(plan):
                raise _Refused(
                    "mixed-units",
                    f"looks like {words} (the plan has {plan:.0f} mm)",
                    f"write the unit: '{says} ...'",
                )
    shown = f"{plan:.0f} mm" if reading.kind != "lean" else f"{plan * 57.29578:.1f} deg"
    raise _Refused(
        "impossible",
        f"the plan has {shown}",
        f"wanted a reading within {far * (57.29578 if reading.kind == 'lean' else 1):.0f} of it: read it again",
    )


def _crossed(entered: tuple[Entered, ...]) -> tuple[Entered, ...]:
    """The readings with tapes that break a triangle named: of the three the one that breaks most triangles."""
    tapes = {
        frozenset((e.reading.a, e.reading.b)): e for e in entered if e.reading and e.reading.kind == "tape"
    }
    broken: dict[int, int] = {}
    names = sorted({n for pair in tapes for n in pair})
    for three in combinations(names, 3) if len(names) <= 60 else ():
        sides = [tapes.get(frozenset(pair)) for pair in combinations(three, 2)]
        if all(sides):
            for e in _breaks(cast("list[Entered]", sides)):
                broken[id(e)] = broken.get(id(e), 0) + 1
    most = max(broken.values(), default=0)
    return tuple(
        _not_closing(e) if most and broken.get(id(e)) == most and _alone(broken, most) else e for e in entered
    )


def _alone(broken: dict[int, int], most: int) -> bool:
    """Whether one reading breaks more triangles than any other; where not, the adjustment has to tell."""
    return sum(n == most for n in broken.values()) == 1


def _breaks(sides: list[Entered]) -> list[Entered]:
    read = [cast("Reading", e.reading) for e in sides]
    longest = max(range(3), key=lambda k: read[k].seen)
    rest = sum(r.seen for k, r in enumerate(read) if k != longest)
    slack = STRAIGHT * sum(r.size**2 for r in read) ** 0.5
    return sides if read[longest].seen > rest + slack else []


def _not_closing(e: Entered) -> Entered:
    problem = Problem(
        code="impossible", where=e.where, found=f"'{e.said}': does not close a triangle with the tapes beside it",
        wanted="wanted a distance no longer than the way round by the other two",
    )  # fmt: skip
    return Entered(said=e.said, where=e.where, reading=None, problem=problem)
