"""Which tubes are best joined on the bench: the most weld made in easy positions, of what still goes in.

A set of tubes can be joined there when each stands on others of the set as it is cut, and all hang together.
What a weld there is worth is the length of it that lies in PA or PB (ISO 6947) in one of the ways the work is
turned on the bench, less what lies so in the car. A weld whose far end still has to find the car, and whose
lean may take it further than a tolerance, is only tacked there, and so worth nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from cagewright.base.vectors import UP, Vector, length
from cagewright.check.torch.weld_points import WeldLoop, weld_lines
from cagewright.check.torch.weld_position import easy
from cagewright.fitup.carry import Passing
from cagewright.fitup.order import within_for
from cagewright.fitup.shrink import PRIOR_SPREAD, shrinkage_of
from cagewright.fitup.tacking import standing_before
from cagewright.shape.types import Cage

Names = frozenset[str]
WHOLE = 8
"""Up to so many tubes every set that can be joined is looked at in turn, the best first."""
WORTH = 1.0
"""Sets whose easy lengths differ by less than this are alike, mm: the smaller is taken."""
SURE = 1.96
"""Half a 95 % range over a standard deviation."""
TURNS: tuple[Vector, ...] = tuple(
    np.array(v) / np.sqrt(sum(c * c for c in v))
    for v in product((-1.0, 0.0, 1.0), repeat=3)
    if 0 < sum(c != 0.0 for c in v) < 3
)
"""What of the car is up in each of the ways the work may lie: on a side, or half way between two."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWeld:
    """One joint as the bench could make it.

    Attributes:
        name: of the joint.
        branch: the tube cut there.
        tubes: all that have to be there.
        length: of the weld, mm.
        bench: of it in PA or PB in some way of lying on the bench, mm.
        car: the same with the cage upright in its place, mm.
        far: of the tube cut there, what its other end meets; empty where nothing.
        doubt: how far the weld's lean may leave that end from where it is expected, mm (95 %).
        allowed: how far it may be out (ISO 13920 class B for the tube's length), mm.
    """

    name: str
    branch: str
    tubes: Names
    length: float
    bench: float
    car: float
    far: Names
    doubt: float
    allowed: float

    def leans_too_far(self, held: Names) -> bool:
        """Whether its tube's far end, where none of those tubes holds it, may come out too far."""
        return bool(self.far) and not self.far <= held and self.doubt > self.allowed


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchChoice:
    """What the search for a set came to.

    Attributes:
        tubes: to be joined on the bench, in the plan's order; none where no set that is worth it was found to
            go in.
        worth: weld length made in PA or PB that would not be in the car, mm.
        most: the same if everything could be joined, mm.
        tried: sets that were looked at for a way in.
        proved: every set worth more was ruled out by the search for a way: where that ended with "no way
            found" of one, this is no proof that it cannot go in.
        larger: sets worth more that did not go in, the best first, with what was found of each.
    """

    tubes: tuple[str, ...]
    worth: float
    most: float
    tried: int
    proved: bool
    larger: tuple[tuple[Names, Passing], ...]


def bench_welds(cage: Cage, *, factor: float = 1.0) -> tuple[BenchWeld, ...]:
    """Every joint of tube to tube as the bench could make it; ``factor`` is the shop's own shrinkage."""
    lines = {line.name: line for line in weld_lines(cage) if line.kind == "joint"}
    members = {m.name: m for m in cage.members}
    mains = {j.name: frozenset(j.mains) for j in cage.joints}
    out: list[BenchWeld] = []
    for joint in cage.joints:
        if joint.name not in lines:
            continue
        branch = members[joint.branch]
        other = branch.ends[1 if joint.which == "start" else 0]
        meets = mains.get(other.joint or "", frozenset({other.foot} if other.foot else ()))
        reach = float(length(other.cut.origin - joint.point))
        lean = shrinkage_of(cage, joint.name, factor=factor).lean
        bench, car = easy_lengths(lines[joint.name])
        out.append(
            BenchWeld(
                name=joint.name, branch=joint.branch, tubes=frozenset({joint.branch, *joint.mains}),
                length=float(lines[joint.name].run.sum()), bench=bench, car=car, far=meets,
                doubt=SURE * PRIOR_SPREAD * lean * reach, allowed=within_for(reach),
            )
        )  # fmt: skip
    return tuple(out)


def easy_lengths(line: WeldLoop) -> tuple[float, float]:
    """Length of the weld in PA or PB in some way of lying on the bench, and upright in the car, mm."""
    some = np.any([easy(line, up) for up in TURNS], axis=0)
    return float(line.run[some].sum()), float(line.run[easy(line, UP)].sum())


def held_true(welds: Sequence[BenchWeld], there: Names) -> Names:
    """Those of the tubes there that can be welded true: of the rest a far end has yet to find the car.

    Such a tube is only tacked, and so holds nothing that lands on it.
    """
    held = there
    while True:
        loose = {w.branch for w in welds if w.tubes <= held and w.leans_too_far(held)}
        if not loose:
            return held
        held -= loose


def worth_of(welds: Sequence[BenchWeld], there: Names) -> float:
    """Weld length, mm, that lies in PA or PB where those tubes are joined on the bench and not in the car."""
    held = held_true(welds, there)
    return sum(max(w.bench - w.car, 0.0) for w in welds if w.tubes <= held)


def standing_on(cage: Cage) -> Mapping[str, Names]:
    """For each tube that can be on the bench: what it is cut on, with all that is cut on in turn.

    Rails that are welded along the sill, and tubes that come out again, are never among them, nor what rests
    on such.
    """
    before = standing_before(cage)
    never = {m.name for m in cage.members if m.lie is not None or m.removable}
    whole: dict[str, Names] = {}
    for name in before:
        found, left = {name}, [name]
        while left:
            more = before[left.pop()] - found
            found |= more
            left += more
        if not found & never:
            whole[name] = frozenset(found)
    return whole


def base_first(cage: Cage, tubes: Sequence[str]) -> tuple[str, ...]:
    """The tubes in the plan's order, after the first that stands by itself: the others are set to it."""
    rests = standing_on(cage)
    base = next(n for n in tubes if len(rests[n]) == 1)
    return (base, *(m.name for m in cage.members if m.name in tubes and m.name != base))


def joined_sets(rests: Mapping[str, Names]) -> Iterator[Names]:
    """Every set of two tubes or more in which each stands on others of the set and all hang together."""
    found: set[Names] = set()
    left = [rests[name] for name in rests if len(rests[name]) == 1]
    while left:
        one = left.pop()
        for name in rests:
            more = one | rests[name]
            if name not in one and one & rests[name] and more not in found:
                found.add(more)
                left.append(more)
    yield from found


def best_for_bench(
    cage: Cage, passes: Callable[[Names], Passing], *, factor: float = 1.0, whole: int = WHOLE
) -> BenchChoice:
    """The set to join on the bench.

    Up to ``whole`` tubes all sets are looked at, the most worth first, and the first that goes in is the
    best. Of a larger cage a set is grown from each tube that stands by itself: what adds the most and still
    goes in is added until nothing more does; the best of those is told, and is not proved best.

    Args:
        cage: as resolved.
        passes: whether a set goes in and can stand.
        factor: the shop's own shrinkage.
        whole: tubes up to which every set is looked at.
    """
    welds, rests = bench_welds(cage, factor=factor), standing_on(cage)
    known = _Known(passes)
    every = frozenset(rests)
    if len(rests) <= whole:
        found = _by_worth(welds, joined_sets(rests), known)
    else:
        grown = [_grown(welds, rests, name, known) for name in rests if len(rests[name]) == 1]
        found = min(grown, key=lambda s: (-worth_of(welds, s), len(s)), default=frozenset())
    worth = worth_of(welds, found)
    larger = [s for s in known.said if known.said[s] != "goes" and worth_of(welds, s) > worth + WORTH]
    larger.sort(key=lambda s: (len(s), -worth_of(welds, s)))
    return BenchChoice(
        tubes=tuple(m.name for m in cage.members if m.name in found) if worth > WORTH else (),
        worth=worth, most=worth_of(welds, every), tried=len(known.said), proved=len(rests) <= whole,
        larger=tuple((s, known.said[s]) for s in larger),
    )  # fmt: skip


class _Known:
    """What was found: part of a set that goes in does too; what holds one that did not is not tried."""

    def __init__(self, passes: Callable[[Names], Passing]) -> None:
        self.passes = passes
        self.said: dict[Names, Passing] = {}

    def goes(self, names: Names) -> bool:
        for one, said in self.said.items():
            if said == "goes" and names <= one:
                return True
            if said != "goes" and names >= one:
                return False
        self.said[names] = self.passes(names)
        return self.said[names] == "goes"


def _by_worth(welds: Sequence[BenchWeld], sets: Iterator[Names], known: _Known) -> Names:
    """The first that goes in, the most worth first; of those alike the smaller."""
    ranked = [(s, worth_of(welds, s)) for s in sets]
    ranked.sort(key=lambda pair: (-round(pair[1] / WORTH), len(pair[0]), sorted(pair[0])))
    return next((s for s, worth in ranked if worth > WORTH and known.goes(s)), frozenset())


def _grown(welds: Sequence[BenchWeld], rests: Mapping[str, Names], root: str, known: _Known) -> Names:
    """What can be joined to that tube: each time what adds the most and still goes in."""
    there = frozenset({root})
    while True:
        now = worth_of(welds, there)
        more = {there | rests[name] for name in rests if rests[name] & there and name not in there}
        gains = sorted(
            ((worth_of(welds, s) - now, s) for s in more), key=lambda g: (-g[0], len(g[1]), sorted(g[1]))
        )
        step = next((s for gain, s in gains if gain > WORTH and known.goes(s)), None)
        if step is None:
            return there
        there = step
