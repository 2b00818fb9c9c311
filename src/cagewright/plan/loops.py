"""Members that rest on each other in a circle, so that none of them can be placed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from cagewright.plan.report import ProblemReport
from cagewright.plan.source import Keys
from cagewright.plan.types import OnMember, Sections

_Edges = Mapping[str, list[tuple[str, Keys]]]
"""By member: the members its path rests on, each with the keys of the place that says so."""


def check_loops(plan: Sections, report: ProblemReport) -> None:
    """Reports each circle of members once, at its first member's place, naming the whole loop."""
    originals = {
        e.mirror: name for name, e in plan.members.items() if e.mirror and e.mirror not in plan.members
    }
    edges = _edges(plan, originals)
    said: set[frozenset[str]] = set()
    for loop in _circles(edges):
        bare = frozenset(originals.get(name, name) for name in loop)
        if bare in said:
            continue  # the same circle on the other side of the car
        said.add(bare)
        keys = next(k for to, k in edges[loop[0]] if to == loop[1 % len(loop)])
        circle = " -> ".join((*loop, loop[0]))
        report.add(
            "circular", keys, f"members rest on each other: {circle}", "wanted one of them placed by itself"
        )


def _edges(plan: Sections, originals: Mapping[str, str]) -> dict[str, list[tuple[str, Keys]]]:
    twins = {**{name: twin for twin, name in originals.items()}, **originals}
    edges: dict[str, list[tuple[str, Keys]]] = {}
    for name, member in plan.members.items():
        rests = [
            (place.on, ("members", name, "path", i, "on"))
            for i, place in enumerate(member.path)
            if isinstance(place, OnMember)
        ]
        edges[name] = list(rests)
        if member.mirror is not None and member.mirror in originals:
            edges[member.mirror] = [(twins.get(to, to), keys) for to, keys in rests]
    return edges


def _circles(edges: _Edges) -> Iterator[list[str]]:
    """Every circle that a depth-first walk closes, from the member first in the file; without recursion."""
    order = {name: i for i, name in enumerate(edges)}
    done: set[str] = set()
    for first in edges:
        trail: list[tuple[str, Iterator[tuple[str, Keys]]]] = []
        _enter(first, trail, edges, done)
        while trail:
            step = next(trail[-1][1], None)
            if step is None:
                done.add(trail.pop()[0])
                continue
            names = [name for name, _ in trail]
            if step[0] in names:
                loop = names[names.index(step[0]) :]
                start = loop.index(min(loop, key=order.__getitem__))
                yield [*loop[start:], *loop[:start]]
            else:
                _enter(step[0], trail, edges, done)


def _enter(
    name: str, trail: list[tuple[str, Iterator[tuple[str, Keys]]]], edges: _Edges, done: set[str]
) -> None:
    if name not in done and name in edges:
        trail.append((name, iter(edges[name])))
