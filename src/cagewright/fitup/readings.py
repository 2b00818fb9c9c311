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
from cagewright.fitup.adjust import Adjusted, adjust
from cagewright.fitup.choose import as_planned
from cagewright.fitup.entries import Refused, reading_of
from cagewright.fitup.marks import Mark
from cagewright.fitup.network import CAR, Body, Network, Reading, network
from cagewright.plan.files import load
from cagewright.plan.source import where_at
from cagewright.plan.text import Source
from cagewright.plan.text import parse as tree_of
from cagewright.shape.types import Cage

KEYS = (
    "cagewright-readings",
    "plan",
    "step",
    "units",
    "datum",
    "welded",
    "present",
    "held",
    "readings",
    "note",
)
MOST_CROSSED = 80
"""Triangles are looked for among at most this many marks."""
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
        where: the list of readings in its file.
        net: bodies and marks that it is about.
        entered: every reading, used or not.
    """

    plan: str
    step: int
    where: Where
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


def adjusted_readings(fit: FitUp) -> Adjusted:
    """Where the readings have every body.

    Raises:
        ProblemsFound: everything is held, or nothing was read that can be used.
    """
    if not fit.net.bodies:
        code, found, wanted = "nothing-moves", "every tube is held", "wanted at least one that can move"
    elif fit.used:
        return adjust(fit.net, fit.used)
    else:
        blank = len(fit.entered) - len(fit.problems)
        code, wanted = "nothing-read", "wanted 'says:' with what the tape reads, for one reading at least"
        found = f"{blank} of {len(fit.entered)} readings are not read yet, and none can be used"
    raise ProblemsFound([Problem(code=code, where=fit.where, found=found, wanted=wanted), *fit.problems])


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
    known = [m.name for m in cage.members]
    held = _names(source, ("held",), data["held"], known, wrong) if "held" in data else []
    if wrong:
        raise ProblemsFound(wrong)
    net = network(marks, bodies, datum=datum, held=held)
    step = data.get("step", 0)
    return FitUp(
        plan=str(data.get("plan", "")),
        step=step if isinstance(step, int) else 0,
        where=where_at(source, ("readings",)),
        net=net,
        entered=_crossed(tuple(_entered(source, net, marks, i) for i in range(len(data["readings"]))), net),
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


def _entered(source: Source, net: Network, marks: Sequence[Mark], i: int) -> Entered:
    keys = ("readings", i)
    given = source.data["readings"][i]
    said, where = _said(given), where_at(source, keys)
    try:
        reading = reading_of(given, str(source.data.get("units", "mm")), net, marks)
    except Refused as no:
        problem = _problem(source, keys, no.code, f"'{said}': {no.found}", no.wanted, no.like)
        return Entered(said=said, where=where, reading=None, problem=problem)
    return Entered(said=said, where=where, reading=reading, problem=None)


def _said(given: Any) -> str:
    if not isinstance(given, Mapping):
        return str(given)
    items = cast("Mapping[str, Any]", given).items()
    return ", ".join(f"{k}: {' to '.join(map(str, v)) if isinstance(v, list) else v}" for k, v in items)


def _crossed(entered: tuple[Entered, ...], net: Network) -> tuple[Entered, ...]:
    """The readings with a tape that breaks a triangle named: the one that breaks most, then furthest off."""
    tapes = {
        frozenset((e.reading.a, e.reading.b)): e for e in entered if e.reading and e.reading.kind == "tape"
    }
    broken: list[Entered] = []
    names = sorted({n for pair in tapes for n in pair})
    for three in combinations(names, 3) if len(names) <= MOST_CROSSED else ():
        sides = [tapes.get(frozenset(pair)) for pair in combinations(three, 2)]
        if all(sides):
            broken += _breaks(cast("list[Entered]", sides))
    if not broken:
        return entered
    worst = max(broken, key=lambda e: (sum(e is b for b in broken), _off(e, net)))
    return tuple(_not_closing(e) if e is worst else e for e in entered)


def _off(entered: Entered, net: Network) -> float:
    reading = cast("Reading", entered.reading)
    return abs(reading.seen - as_planned(net, reading))


def _breaks(sides: list[Entered]) -> list[Entered]:
    read = [cast("Reading", e.reading) for e in sides]
    longest = max(range(3), key=lambda k: read[k].seen)
    rest = sum(r.seen for k, r in enumerate(read) if k != longest)
    slack = STRAIGHT * sum(r.size**2 for r in read) ** 0.5
    return sides if read[longest].seen > rest + slack else []


def _not_closing(e: Entered) -> Entered:
    problem = Problem(
        code="impossible", where=e.where, found=f"'{e.said}': does not close a triangle with the "
            f"tapes beside it",
        wanted="wanted a distance no longer than the way round by the other two",
    )  # fmt: skip
    return Entered(said=e.said, where=e.where, reading=None, problem=problem)
