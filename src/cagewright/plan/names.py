"""What a plan's names refer to: every name used is known, and none is used twice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from cagewright.base.names import typed
from cagewright.plan.people import mounts_of
from cagewright.plan.places import NAME_FORM
from cagewright.plan.report import ProblemReport, listed
from cagewright.plan.source import Keys, where_in
from cagewright.plan.text import Map, Source, say
from cagewright.plan.types import AtFoot, AtPoint, OnMember, Place, Sections, ShellEntry
from cagewright.stock.catalogue import steels as built_in_steels

_KINDS: dict[str, Keys] = {
    "tube": ("tubes",),
    "point": ("points",),
    "member": ("members",),
    "foot": ("feet",),
    "plate": ("plates",),
    "body line": ("shell", "lines"),
}
_WRITE = {"point": "{name}", "foot": "{{foot: {name}}}", "member": "{{on: {name}, up: ...}}"}


Known = Mapping[str, Mapping[str, Keys]]
"""By kind, every name in the files (of entries with mistakes too) and the keys of what defines it."""


def known_names(sources: Iterable[Source]) -> Known:
    """Every name the files define, mirrors included."""
    known: dict[str, dict[str, Keys]] = {kind: {} for kind in _KINDS}
    for source in sources:
        for kind, section in _KINDS.items():
            for name, entry in _entries(source.data, section).items():
                if not NAME_FORM.fullmatch(name):
                    continue  # said to be wrong where it stands, and wherever it is used
                known[kind][name] = (*section, name)
                twin = entry.get("mirror") if isinstance(entry, Map) else None
                if isinstance(twin, str) and NAME_FORM.fullmatch(typed(twin)):
                    known[kind].setdefault(typed(twin), (*section, name, "mirror"))
    return known


def _entries(data: Any, section: Keys) -> Map:
    for key in section:
        data = data.get(str(key)) if isinstance(data, Map) else None
    return data if isinstance(data, Map) else Map(flow=False)


def check_names(plan: Sections, known: Known, report: ProblemReport) -> None:
    """Reports every name that refers to nothing, and every name given twice."""
    check_mirrors(plan, known, report)
    for keys, kind, name in references(plan):
        if name not in known[kind]:
            _unknown(keys, kind, name, known, report)
    _check_steels(plan, report)


def _unknown(keys: Keys, kind: str, name: str, known: Known, report: ProblemReport) -> None:
    if report.passed_over():
        return
    found = f"{report.label(keys)} is '{name}'"
    other = next((k for k in _WRITE if k != kind and name in known[k]), None)
    if other is not None:
        wanted = f"wanted a {kind}; {name} is a {other}, written {_WRITE[other].format(name=name)}"
        report.add(f"unknown-{kind}", keys, found, wanted)
        return
    wanted = f"wanted the name of a {kind}: {listed(known[kind]) or 'the plan has none yet'}"
    report.add(f"unknown-{kind}", keys, found, wanted, like=(name, known[kind]))


def places(plan: Sections) -> Iterator[tuple[Keys, Place]]:
    """Every place of the plan with its keys."""
    for name, member in plan.members.items():
        yield from ((("members", name, "path", i), p) for i, p in enumerate(member.path))
        yield from ((("members", name, "planned", i), p) for i, p in enumerate(member.planned))
    for name, plate in plan.plates.items():
        yield from ((("plates", name, "corners", i), p) for i, p in enumerate(plate.corners))
    for name, push in plan.pushes.items():
        if push.at is not None:
            yield ("pushes", name, "at"), push.at
    yield from (((*keys, "at"), mount.at) for _, _, keys, mount in mounts_of(plan))
    clamps = plan.bench_first.clamps if plan.bench_first else {}
    yield from ((("bench_first", "clamps", name), place) for name, place in clamps.items())


def references(plan: Sections) -> Iterator[tuple[Keys, str, str]]:
    """Every use of a name: its keys in their long form, the kind of thing it must name, the name."""
    for keys, place in places(plan):
        yield from _of_place(keys, place)
    for name, member in plan.members.items():
        here: Keys = ("members", name)
        yield (*here, "tube"), "tube", member.tube
        for which, mains in member.cut or ():
            yield from (((*here, "cut", which, i), "member", main) for i, main in enumerate(mains))
    for name, foot in plan.feet.items():
        yield from _of_spot(("feet", name, "at"), foot.at)
    for name, plate in plan.plates.items():
        for i, hole in enumerate(plate.holes):
            yield from _of_spot(("plates", name, "holes", i, "at"), hole.at)
    for name, gusset in plan.gussets.items():
        yield from ((("gussets", name, "between", i), "member", n) for i, n in enumerate(gusset.between))
        yield from _of_spot(("gussets", name, "near"), gusset.near)
    for i, name in enumerate(plan.bench_first.tubes if plan.bench_first else ()):
        yield ("bench_first", "tubes", i), "member", name
    if plan.shell is not None:
        yield from _of_shell(plan.shell)


def _of_shell(shell: ShellEntry) -> Iterator[tuple[Keys, str, str]]:
    for name, line in shell.lines.items():
        for i, spot in enumerate(line.path):
            yield from _of_spot(("shell", "lines", name, "path", i), spot)
    for name, metal in shell.metal.items():
        for i, spot in enumerate(metal.path):
            yield from _of_spot(("shell", "metal", name, "path", i), spot)
    for i, pair in enumerate(shell.scan.points if shell.scan else ()):
        yield from _of_spot(("shell", "scan", "points", i, "car"), pair.car)


def _of_place(keys: Keys, place: Place) -> Iterator[tuple[Keys, str, str]]:
    if isinstance(place, AtPoint):
        yield (*keys, "point"), "point", place.point
    elif isinstance(place, AtFoot):
        yield (*keys, "foot"), "foot", place.foot
    elif isinstance(place, OnMember):
        yield (*keys, "on"), "member", place.on
        yield from _of_spot((*keys, "near"), place.near)


def _of_spot(keys: Keys, spot: object) -> Iterator[tuple[Keys, str, str]]:
    if isinstance(spot, str):
        yield keys, "point", spot
    elif isinstance(spot, AtPoint):
        yield (*keys, "point"), "point", spot.point


def check_mirrors(plan: Sections, known: Known, report: ProblemReport) -> None:
    """Reports a mirror that has the name of something else, or of itself."""
    for kind, name, twin in _mirrors(plan):
        keys: Keys = (*_KINDS[kind], name, "mirror")
        taken = known[kind].get(twin)
        if twin == name:
            report.add("name-taken", keys, f"{kind} {name} is its own mirror", "wanted a name of its own")
        elif taken is not None and taken != keys:
            where = where_in(report.sources, taken)
            found = f"the mirror of {name} has the name {say(twin)}, already given at {where}"
            report.add("name-taken", keys, found, f"wanted a name that no other {kind} has")


def _mirrors(plan: Sections) -> Iterator[tuple[str, str, str]]:
    lines = plan.shell.lines if plan.shell else {}
    groups: dict[str, Mapping[str, Any]] = {
        "point": plan.points,
        "member": plan.members,
        "foot": plan.feet,
        "plate": plan.plates,
        "body line": lines,
    }
    for kind, entries in groups.items():
        yield from ((kind, name, e.mirror) for name, e in entries.items() if e.mirror is not None)


def _check_steels(plan: Sections, report: ProblemReport) -> None:
    built_in = built_in_steels()
    for name in plan.steels:
        if name in built_in:
            found = f"steel {say(name)} is a built-in one"
            report.add(
                "name-taken", ("steels", name), found, "wanted a name of its own for the mill sheet's figures"
            )
    known = dict.fromkeys([*plan.steels, *built_in])
    for name, tube in plan.tubes.items():
        if tube.steel not in known:
            keys = ("tubes", name, "steel")
            wanted = f"wanted a steel of the plan or a built-in one: {listed(known)}"
            found = f"{report.label(keys)} is {say(tube.steel)}"
            report.add("unknown-steel", keys, found, wanted, like=(tube.steel, known))
