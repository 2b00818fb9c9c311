"""Do the fewest check readings tell a sound next car from one that differs, or can they not tell?"""

from dataclasses import dataclass
from functools import cache

import numpy as np

from bodies import levels, taped
from cagewright.draft.measured import measured
from cagewright.draft.next_car import ALIKE_SHELLS, CHALK, BodyMove, Kind, fewest_checks, kind_of
from cagewright.draft.next_judged import NextCar, judged
from cagewright.plan.readings import AXES, DRIVERS, parts_of, points_of, reading_rows
from car_bodies import car_survey, marks, random_car

SEED = 14
SMALL, FULL = 30, 1000
"""Next cars a size of shift; readings of theirs and of the bodies to 2 mm (1 sd)."""
TIMES = (0.0, 2.0, 5.0)
BODIES = 8
"""Most made-up bodies that take turns."""
TAPE = 2.0


@dataclass(frozen=True, kw_only=True)
class Kept:
    """A made-up body: where its marks are (mm), what its own survey makes of its kind, and which to read."""

    where: dict[str, np.ndarray]
    edges: dict[str, object]
    kind: Kind
    rows: tuple[int, ...]


@cache
def body(seed: int) -> Kept:
    """The made-up body of that number."""
    car = random_car(seed)
    edges = {"hoop": car.hoop, "sill": car.sill, "floor": car.floor, "door": car.door}
    where = levels(sill=car.sill, floor=car.floor, door=car.door) | marks(car)
    kind = kind_of([measured(car_survey(car, noise=TAPE, seed=seed))], tape=TAPE)
    return Kept(where=where, edges=edges, kind=kind, rows=fewest_checks(kind))


def free(name: str) -> set[int]:
    """Along which axes the mark is the body's own."""
    found: set[int] = set()
    for row in reading_rows():
        for part in parts_of(row):
            for n, v in zip(points_of(row, part), row.values, strict=False):
                if n == name:
                    found |= {AXES[v]} if row.each else {AXES[w] for w in row.values}
    return found


def sound(one: Kept, random: np.random.Generator) -> dict[str, np.ndarray]:
    """Where the marks of a sound car of the kind are."""
    line, where = random.normal(0.0, CHALK), {}
    at = {n for row in reading_rows() if row.at for part in parts_of(row) for n in points_of(row, part)}
    for name, place in one.where.items():
        mine = free(name)
        sizes = [ALIKE_SHELLS if axis in mine else CHALK if name in at else 0.0 for axis in range(3)]
        where[name] = place + random.normal(0.0, 1.0, 3) * sizes + np.array([line * (name in at), 0.0, 0.0])
    return where


def stands_elsewhere(one: Kept, times: float, random: np.random.Generator) -> dict[str, np.ndarray]:
    """A shift of so many times what is stated: one of those that are looked for, how each mark goes."""
    able = [m for m, row in zip(one.kind.moves, one.kind.shows.T, strict=True) if np.abs(row).max() > 1e-6]
    move: BodyMove = able[int(random.integers(len(able)))]
    by = move.by.reshape(-1, 3) * times * move.stated * float(random.choice([-1.0, 1.0]))
    return {name: by[i] for i, name in enumerate(_names(one)) if by[i].any()}


def dented(one: Kept, times: float, random: np.random.Generator) -> dict[str, np.ndarray]:
    """A shift that no table has: one mark and what lies round it, less with the distance."""
    names = [n for n in _names(one) if n in one.where and {1, 2} <= free(n) and n not in DRIVERS]
    name = names[int(random.integers(len(names)))]
    axis = int(random.choice(sorted(free(name))))
    size = times * float(np.median([m.stated for m in one.kind.moves]))
    way = np.eye(3)[axis] * size * float(random.choice([-1.0, 1.0]))
    near = {n: float(np.linalg.norm(one.where[n] - one.where[name])) for n in names}
    return {n: way * np.exp(-((d / 300.0) ** 2)) for n, d in near.items()}


@cache
def _order(seed: int) -> tuple[str, ...]:
    return tuple(measured(car_survey(random_car(seed), noise=TAPE, seed=seed)).settled.points)


def _names(one: Kept) -> tuple[str, ...]:
    return next(_order(seed) for seed in range(BODIES) if body(seed) is one)


def verdict(one: Kept, shift: dict[str, np.ndarray], random: np.random.Generator) -> NextCar:
    """What the check readings say of a next car with that shift."""
    where = sound(one, random)
    where |= {name: where[name] + by for name, by in shift.items() if name in where}
    told = taped(where, **one.edges)
    keys = [one.kind.keys[i] for i in one.rows]
    read = {(id, part): told[id][part][0] + float(random.normal(0.0, TAPE)) for id, part in keys}
    return judged(one.kind, read).verdict


def figures(size: int, seed: int) -> dict[str, float]:
    """How many readings, and the shares of what is said at each size of shift."""
    random = np.random.default_rng(seed)
    found: dict[str, float] = {"cars": size}
    bodies = min(BODIES, max(2, size // 20))
    counts = [len(body(i).rows) for i in range(bodies)]
    found |= {"least_readings": min(counts), "most_readings": max(counts)}
    found |= {"of_readings": len(body(0).kind.keys)}
    for name, shifted in (("", stands_elsewhere), ("dent_", dented)):
        for times in TIMES if not name else TIMES[1:]:
            said = [
                verdict(one, shifted(one, times, random), random)
                for one in (body(i % bodies) for i in range(size))
            ]
            for words in ("the same", "differs", "bent", "cannot tell"):
                found[f"{name}{words.replace(' ', '_')}_at_{times:g}"] = round(said.count(words) / size, 4)
    return found


def check(found: dict[str, float]) -> None:
    """Hold what the study is to show.

    Raises:
        AssertionError: it does not.
    """
    slack = 2.0 * (0.05 * 0.95 / found["cars"]) ** 0.5  # the lot's own, two standard deviations
    slack = slack if found["cars"] < FULL else 0.0
    assert found["most_readings"] <= 24
    assert found["differs_at_0"] + found["bent_at_0"] < 0.05 + slack
    assert found["the_same_at_5"] < 0.05 + slack
    assert found["cannot_tell_at_0"] < 0.10 + slack
    assert found["cannot_tell_at_5"] < 0.10 + slack
    # a dent at one mark alone is not promised: docs/survey.md tells how often it shows, by the full size
    assert found["dent_the_same_at_5"] < 0.5 or found["cars"] < FULL
