"""The order a cage goes together: steps from the tubes' roles, which is cut on which, and the torch."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from cagewright.base.names import shown
from cagewright.check.torch.access import Access, torch_access
from cagewright.check.torch.stages import Stage, default_stages
from cagewright.fitup.network import CAR, Body
from cagewright.plan.types import Role
from cagewright.shape.shell import Shell
from cagewright.shape.types import Cage, Joint

Where = Literal["bench", "car", "dropped"]
ENOUGH = 0.95
"""A weld of which this part can be reached is left for that step."""
GROUPS: tuple[tuple[str, frozenset[Role]], ...] = (
    ("main hoop", frozenset({"main rollbar"})),
    ("legs and side hoops", frozenset({"front rollbar", "lateral rollbar", "lateral half-rollbar"})),
    ("cross tubes between them", frozenset({"transverse member"})),
    ("backstays", frozenset({"backstay"})),
    ("diagonals and harness bars", frozenset({"diagonal", "harness bar"})),
    ("dash and roof", frozenset({"dash bar", "roof reinforcement", "longitudinal member"})),
    ("doorbars and sill bars", frozenset({"doorbar", "sill bar"})),
    (
        "posts and braces",
        frozenset({"doorbar post", "windscreen pillar reinforcement", "cage reinforcement"}),
    ),
    ("seat mounts", frozenset({"seat mount"})),
)
"""What goes in after what: common practice, no source."""
CLASS_B: tuple[tuple[float, float], ...] = (
    (30.0, 1.0), (120.0, 2.0), (400.0, 2.0), (1000.0, 3.0), (2000.0, 4.0), (4000.0, 6.0),
)  # fmt: skip
"""Linear tolerance for sizes up to, mm: ISO 13920:2023 class B (read; the smallest cell from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildStep:
    """One step of the build.

    Attributes:
        number: from 1.
        title: in words.
        where: on the bench, in the car, or in the car hung below its place.
        tack: tubes that are tacked at this step, in order.
        weld: joints and feet welded at this step.
        notes: what else to see to, in sentences.
    """

    number: int
    title: str
    where: Where
    tack: tuple[str, ...] = ()
    weld: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """What a change of order breaks: the tube or weld, and the sentence."""

    what: str
    words: str


def within_for(size: float) -> float:
    """How much a distance of ``size`` mm may be out before the next step, mm (ISO 13920:2023 class B)."""
    return next((t for limit, t in CLASS_B if size <= limit), CLASS_B[-1][1])


def build_order(cage: Cage, shell: Shell, *, moves: Mapping[str, int] | None = None) -> tuple[BuildStep, ...]:
    """The steps of the build: tack everything, group by group, then weld where the torch still gets there.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        moves: tubes that the builder wants tacked at another step, by number; ``broken_by`` tells what that
            breaks.
    """
    tacking = _moved(_tack_steps(cage), moves or {})
    steps = (*tacking, *_weld_steps(cage, shell, tacking))
    return tuple(replace(s, number=n) for n, s in enumerate(steps, start=1))


# --- tacking


def _tack_steps(cage: Cage) -> tuple[BuildStep, ...]:
    bench = default_stages(cage, body=False)
    first = bench[0].members if len(bench) > 1 else ()
    mains = {j.branch: set[str]() for j in cage.joints}
    for joint in cage.joints:
        mains[joint.branch] |= set(joint.mains)
    rank: dict[str, int] = {}
    for name in _topological([m.name for m in cage.members], mains):
        own = _group_of(cage, name)
        rank[name] = max([own, *(rank[m] for m in mains.get(name, ()) if m in rank)])
    steps = [_bench_step(first)] if first else []
    order = _topological([m.name for m in cage.members], mains)
    for g, (title, _) in enumerate(GROUPS):
        names = tuple(n for n in order if rank[n] == g and n not in first)
        hung = g == 0 and bool(first)
        if names or hung:
            steps.append(_car_step(title, names, hung=hung))
    return tuple(steps)


def _group_of(cage: Cage, name: str) -> int:
    role = next(m.role for m in cage.members if m.name == name)
    return next(g for g, (_, roles) in enumerate(GROUPS) if role in roles)


def _topological(names: Sequence[str], mains: Mapping[str, set[str]]) -> list[str]:
    """The names, each after what it is cut on; in the order given where that leaves it open."""
    left, out = list(names), list[str]()
    while left:
        ready = next((n for n in left if not (mains.get(n, set()) & set(left) - {n})), left[0])
        left.remove(ready)
        out.append(ready)
    return out


def _bench_step(names: tuple[str, ...]) -> BuildStep:
    return BuildStep(
        number=0,
        title="main hoop on the bench",
        where="bench",
        tack=names,
        notes=("Clamp the hoop flat before its bars are tacked.",),
    )


def _car_step(title: str, names: tuple[str, ...], *, hung: bool) -> BuildStep:
    if hung:
        return BuildStep(
            number=0, title="main hoop into the car", where="car", tack=names,
            notes=("Carry it through the door and tack its feet plumb and square to the car.",),
        )  # fmt: skip
    return BuildStep(number=0, title=title, where="car", tack=names)


def _moved(steps: tuple[BuildStep, ...], moves: Mapping[str, int]) -> tuple[BuildStep, ...]:
    for name, number in moves.items():
        target = min(max(number, 1), len(steps)) - 1
        steps = tuple(
            replace(s, tack=(*(t for t in s.tack if t != name), *([name] if i == target else [])))
            for i, s in enumerate(steps)
        )
    return tuple(s for s in steps if s.tack or s.notes)


# --- welding


def _weld_steps(cage: Cage, shell: Shell, tacking: Sequence[BuildStep]) -> tuple[BuildStep, ...]:
    stages = default_stages(cage, body=bool(shell.lines) or shell.scan is not None)
    accesses = torch_access(cage, shell, stages=stages)
    at: dict[str, list[Access]] = {stage.name: [] for stage in stages}
    for access in accesses:
        at[_stage_for(access)].append(access)
    out: list[BuildStep] = []
    for stage in stages:
        if stage is stages[-1] or at[stage.name]:
            out.append(_weld_step(stage, at[stage.name]))
    return tuple(out)


def _stage_for(access: Access) -> str:
    """The last stage at which enough of the weld can be reached, else the one at which most can."""
    made = [(name, share) for name, share in access.shares if share is not None]
    enough = [name for name, share in made if share >= ENOUGH]
    return enough[-1] if enough else max(made, key=lambda m: m[1])[0]


def _weld_step(stage: Stage, accesses: Sequence[Access]) -> BuildStep:
    where: Where = "dropped" if stage.drop else "car" if stage.feet else "bench"
    notes = [
        f"{shown(a.line.name)}: {100.0 * (dict(a.shares)[stage.name] or 0.0):.0f} % can be reached here; "
        f"the rest: {_rest(a)}"
        for a in accesses
        if (dict(a.shares)[stage.name] or 0.0) < ENOUGH
    ]
    if where == "dropped":
        notes.insert(
            0, "Measure everything first, cut the feet loose, let the cage hang, push it up again after."
        )
    return BuildStep(
        number=0,
        title=f"weld {stage.name}",
        where=where,
        weld=tuple(a.line.name for a in accesses),
        notes=tuple(notes),
    )


def _rest(access: Access) -> str:
    """What becomes of the arcs that cannot be welded at the last step, in words."""
    when = {
        "earlier": "at an earlier step", "body": "only with the body cut", "floor": "only if the "
            "floor is lower",
        "tubes": "before other tubes go in", "closed": "not by this torch",
    }  # fmt: skip
    words = list(dict.fromkeys(when[a.when] for a in access.arcs if a.when in when))
    return ", ".join(words) or "at the last step"


# --- what a change breaks


def broken_by(cage: Cage, shell: Shell, steps: Sequence[BuildStep]) -> tuple[Broken, ...]:
    """What the steps as they stand break: a tube before what it is cut on, a weld no torch reaches any more.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        steps: as reordered.
    """
    return (*_before_mains(cage, steps), *_shut_in(cage, shell, steps))


def _before_mains(cage: Cage, steps: Sequence[BuildStep]) -> list[Broken]:
    turn = {name: i for i, name in enumerate(n for s in steps for n in s.tack)}
    at = {name: s.number for s in steps for name in s.tack}
    out = [
        Broken(
            what=j.branch,
            words=f"{shown(j.branch)} is cut on {shown(m)}, which goes in later "
            f"(step {at[m]} after step {at[j.branch]}): nothing holds that end, and its cope cannot be tried",
        )
        for j in cage.joints
        for m in j.mains
        if j.branch in turn and m in turn and turn[m] > turn[j.branch] and at[m] != at[j.branch]
    ]
    missing = [m.name for m in cage.members if m.name not in turn]
    return out + [Broken(what=n, words=f"{shown(n)} is at no step") for n in missing]


def _shut_in(cage: Cage, shell: Shell, steps: Sequence[BuildStep]) -> list[Broken]:
    """Welds that could be reached at the step that makes them, but not with the tubes now there before it."""
    stages = _stages_of(cage, steps)
    if not stages:
        return []
    out: list[Broken] = []
    for access in torch_access(cage, shell, stages=stages):
        step = next((s for s in steps if access.line.name in s.weld), None)
        share = dict(access.shares).get(f"step {step.number}") if step else None
        if step is not None and share is None:
            out.append(
                Broken(
                    what=access.line.name,
                    words=f"{shown(access.line.name)} is welded at step {step.number}, before both its "
                    f"tubes are there",
                )
            )
        elif step is not None and share is not None and share < ENOUGH:
            out.append(
                Broken(
                    what=access.line.name,
                    words=f"{shown(access.line.name)}: a torch reaches {100.0 * share:.0f} % of it at step "
                    f"{step.number}; "
                    f"the rest {_rest(access)}",
                )
            )
    return out


def _stages_of(cage: Cage, steps: Sequence[BuildStep]) -> tuple[Stage, ...]:
    """The steps at which something is welded, as the torch sees them."""
    there: list[str] = []
    stages: list[Stage] = []
    for step in steps:
        there += step.tack
        if step.weld:
            names = tuple(m.name for m in cage.members if m.name in there)
            drop = next((s.drop for s in default_stages(cage, body=True) if s.drop), 0.0)
            stages.append(_stage_of(step, names, drop))
    return tuple(stages)


def _stage_of(step: BuildStep, names: tuple[str, ...], drop: float) -> Stage:
    return Stage(
        name=f"step {step.number}",
        members=names,
        body=step.where != "bench",
        drop=drop if step.where == "dropped" else 0.0,
        feet=step.where == "car",
    )


# --- what stands at a step


def present_at(steps: Sequence[BuildStep], number: int) -> tuple[str, ...]:
    """Names of the tubes that are there once step ``number`` is tacked."""
    return tuple(n for s in steps if s.number <= number for n in s.tack)


def welded_before(steps: Sequence[BuildStep], number: int) -> tuple[str, ...]:
    """Names of joints and feet welded before step ``number``."""
    return tuple(w for s in steps if s.number < number for w in s.weld)


def bodies_at(cage: Cage, steps: Sequence[BuildStep], number: int) -> tuple[Body, ...]:
    """What moves as one piece at that step: tubes welded together before it, every tacked tube by itself."""
    there = present_at(steps, number)
    group = {name: name for name in there}
    welded = set(welded_before(steps, number))
    for joint in cage.joints:
        if joint.name in welded:
            _join(group, joint)
    names = [m.name for m in cage.members if m.name in group]
    firsts = list(dict.fromkeys(group[n] for n in names))
    return tuple(
        Body(name=members[0], members=members)
        for members in (tuple(n for n in names if group[n] == first) for first in firsts)
    )


def _join(group: dict[str, str], joint: Joint) -> None:
    parts = [n for n in (joint.branch, *joint.mains) if n in group]
    roots = {group[n] for n in parts}
    for name, root in group.items():
        if root in roots and parts:
            group[name] = group[parts[0]]


def datum_at(steps: Sequence[BuildStep], number: int) -> str:
    """What positions are told from at that step: the car, or on the bench the first tube there."""
    step = next(s for s in steps if s.number == number)
    return CAR if step.where != "bench" else present_at(steps, number)[0]
