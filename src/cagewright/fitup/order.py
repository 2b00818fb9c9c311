"""The order a cage goes together: from what is cut on what, and from what a torch reaches in which state."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from cagewright.base.names import listed, paired, shown
from cagewright.check.torch.access import Access, torch_access
from cagewright.check.torch.poses import TORCH, Torch
from cagewright.check.torch.stages import SLIDE, Stage, body_known, whole_stages
from cagewright.fitup.network import CAR, Body
from cagewright.fitup.tacking import bench_group, standing_before, tack_steps
from cagewright.shape.shell import Shell
from cagewright.shape.types import Cage, Joint

Where = Literal["bench", "car", "slid", "dropped"]
ENOUGH = 0.95
"""A weld of which this part can be reached in a state is made in it."""
BENCH = "on the bench, before it goes in"
ROUNDS = 3
"""How often the order is turned round bars that shut the torch out."""
CLASS_B: tuple[tuple[float, float], ...] = (
    (30.0, 1.0), (120.0, 2.0), (400.0, 2.0), (1000.0, 3.0), (2000.0, 4.0), (4000.0, 6.0),
)  # fmt: skip
"""Linear tolerance for sizes up to, mm: ISO 13920:2023 class B (read; the smallest cell from memory)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildStep:
    """One step of the build.

    Attributes:
        number: from 1.
        title: in words: what is in it.
        where: on the bench, in the car, in the car slid back, or in the car hung below its place.
        tack: tubes that are tacked at this step, in order.
        weld: joints and feet welded at this step.
        parts: gussets, plates and tubes that come out again, fitted at this step.
        notes: what else to see to, in sentences.
    """

    number: int
    title: str
    where: Where
    tack: tuple[str, ...] = ()
    weld: tuple[str, ...] = ()
    parts: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWork:
    """What is joined on the bench: the tubes, which of their joints are welded there, and what to see to."""

    tubes: tuple[str, ...]
    welds: tuple[str, ...] = ()
    notes: tuple[str, ...] = ("Clamp it flat before its bars are tacked.",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Broken:
    """What a change of order breaks: the tube or weld, and the sentence."""

    what: str
    words: str


def within_for(size: float) -> float:
    """How much a distance of ``size`` mm may be out before the next step, mm (ISO 13920:2023 class B)."""
    return next((t for limit, t in CLASS_B if size <= limit), CLASS_B[-1][1])


def build_order(
    cage: Cage, shell: Shell, *, moves: Mapping[str, int] | None = None, torch: Torch = TORCH,
    bench: BenchWork | None = None,
) -> tuple[BuildStep, ...]:  # fmt: skip
    """The steps of the build.

    Everything is tacked first, and welded with all of it standing: in its place, hung low, or slid back, in
    whichever of these a torch gets all round. A weld that other tubes would shut in is made at the last step
    before them; where that is its own step, what shuts it in is put off.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        moves: tubes that the builder wants tacked at another step, by number; ``broken_by`` tells what that
            breaks.
        torch: that the shop welds with.
        bench: what is joined on the bench; where not given, what lies in the plane of the tube that carries
            the most, only tacked there unless a torch does not get round it later.
    """
    bench, moves = bench or BenchWork(tubes=bench_group(cage)), moves or {}
    body = body_known(cage, shell)
    tacking = _moved(_tacking(cage, bench, ()), moves)
    stages, states = _states(cage, tacking, body=body)
    # what a torch reaches with the whole cage there does not hang on which tube went in when
    accesses = _reached(cage, shell, stages, torch, bench.welds)
    early_in = partial(_early, cage, shell, accesses, states=states, body=body, torch=torch)
    early, later = early_in(tacking), list[tuple[str, str]]()
    for _ in range(0 if moves else ROUNDS - 1):
        more = _shut_out(accesses, early)
        if not set(more) - set(later):
            break
        later += more
        tacking = _moved(_tacking(cage, bench, later), moves)
        early = early_in(tacking)
    steps = (*_with_welds(tacking, accesses, early, states, made=bench.welds), *_parts(cage))
    return tuple(replace(s, number=n, title=_title(s)) for n, s in enumerate(steps, start=1))


# --- tacking


def _tacking(cage: Cage, bench: BenchWork, later: Sequence[tuple[str, str]]) -> tuple[BuildStep, ...]:
    steps = []
    if bench.tubes:
        carry = "Carry it in and tack its feet plumb and square to the car."
        steps = [
            BuildStep(number=0, title="", where="bench", tack=bench.tubes, notes=bench.notes),
            BuildStep(number=0, title=f"{shown(bench.tubes[0])} into the car", where="car", notes=(carry,)),
        ]
    groups = tack_steps(cage, standing_before(cage, later), bench.tubes)
    return (*steps, *(BuildStep(number=0, title="", where="car", tack=names) for names in groups))


def _moved(steps: tuple[BuildStep, ...], moves: Mapping[str, int]) -> tuple[BuildStep, ...]:
    for name, number in moves.items():
        target = min(max(number, 1), len(steps)) - 1
        steps = tuple(
            replace(s, tack=(*(t for t in s.tack if t != name), *([name] if i == target else [])))
            for i, s in enumerate(steps)
        )
    return tuple(s for s in steps if s.tack or s.notes)


def _title(step: BuildStep) -> str:
    """What is in the step, both of a pair said once: front leg left and right."""
    if step.title:
        return step.title
    where = " on the bench" if step.where == "bench" else ""
    return f"{listed(paired(step.tack), 4)}{where}"


# --- welding


def _states(
    cage: Cage, tacking: Sequence[BuildStep], *, body: bool
) -> tuple[tuple[Stage, ...], dict[str, Where]]:
    """On the bench and with the whole cage there: as the torch sees it, and where it is by its name."""
    bench = next((s for s in tacking if s.where == "bench"), None)
    first = [Stage(name=BENCH, members=bench.tack, body=False, feet=False)] if bench else []
    whole = whole_stages(cage, body=body)
    where: dict[str, Where] = {BENCH: "bench", whole[-1].name: "car"}
    for stage in whole[:-1]:
        where[stage.name] = "slid" if stage.shift[0] else "dropped"
    return (*first, *whole), {n: w for n, w in where.items() if bench or w != "bench"}


def _reached(
    cage: Cage, shell: Shell, stages: Sequence[Stage], torch: Torch, made: Sequence[str]
) -> tuple[Access, ...]:
    """Every weld not ``made`` before, with the cage in its place; where that is not enough in others."""
    wanted = {j.name for j in cage.joints} | {f.name for f in cage.feet}
    return torch_access(
        cage, shell, stages=tuple(stages), torch=torch, only=wanted - set(made), enough=ENOUGH
    )


def _state_for(access: Access, states: Mapping[str, Where]) -> str | None:
    """The state in which enough of the weld can be reached, in its place before hung low or slid back."""
    order: tuple[Where, ...] = ("car", "dropped", "slid", "bench")
    shares = {states[name]: (name, share) for name, share in access.shares if share is not None}
    return next((shares[w][0] for w in order if w in shares and shares[w][1] >= ENOUGH), None)


def _early(
    cage: Cage, shell: Shell, accesses: Sequence[Access], tacking: Sequence[BuildStep],
    states: Mapping[str, Where], *, body: bool, torch: Torch,
) -> dict[str, tuple[int, Access]]:  # fmt: skip
    """Welds that no state of the whole cage lets a torch round, and the last step of tacking that does.

    The step by its place in ``tacking``, and the access as it is then.
    """
    hard = {a.line.name for a in accesses if _state_for(a, states) is None and a.line.kind == "joint"}
    if not hard:
        return {}
    there: list[str] = []
    stages: list[Stage] = []
    for i, step in enumerate(tacking):
        there += step.tack
        if step.where == "car" and step.tack:
            names = tuple(m.name for m in cage.members if m.name in there)
            stages.append(Stage(name=str(i), members=names, body=body, feet=False))
    out: dict[str, tuple[int, Access]] = {}
    for access in torch_access(cage, shell, stages=tuple(stages), torch=torch, only=hard):
        enough = [int(n) for n, share in access.shares if share is not None and share >= ENOUGH]
        if enough:
            out[access.line.name] = (enough[-1], access)
    return out


def _shut_out(accesses: Sequence[Access], early: Mapping[str, tuple[int, Access]]) -> list[tuple[str, str]]:
    """Tubes that would have to wait for a weld that they shut in at its own step: (branch, what waits)."""
    return [
        (access.line.branch, name)
        for access in accesses
        if access.line.name not in early and max(s or 0.0 for _, s in access.shares) < ENOUGH
        for arc in access.arcs
        if arc.when == "tubes"
        for name in arc.blocked_by
        if name not in access.line.mains
    ]


def _with_welds(
    tacking: Sequence[BuildStep], accesses: Sequence[Access], early: Mapping[str, tuple[int, Access]],
    states: Mapping[str, Where], *, made: Sequence[str],
) -> tuple[BuildStep, ...]:  # fmt: skip
    """The steps of tacking with the welds that cannot wait, then the states of the whole cage in turn.

    On the bench are ``made`` those that the plan has there.
    """
    at: dict[str, list[Access]] = {name: [] for name in states}
    now: dict[int, list[Access]] = {}
    for access in accesses:
        name = access.line.name
        state = _state_for(access, states)
        if state is None and name in early:
            now.setdefault(early[name][0], []).append(access)
        else:
            at[state or _most(access)].append(access)
    bench = next((n for n, where in states.items() if where == "bench"), "")
    out = [
        replace(
            s,
            weld=(
                *(made if s.where == "bench" else ()),
                *(a.line.name for a in (at[bench] if s.where == "bench" else now.get(i, []))),
            ),
            notes=(
                *s.notes,
                *(["Weld these now: later a torch does not get round them."] if i in now else ()),
            ),
        )
        for i, s in enumerate(tacking)
    ]
    order = sorted(
        (n for n in states if n != bench), key=lambda n: ("slid", "dropped", "car").index(states[n])
    )
    out += [_weld_step(n, states[n], at[n]) for n in order if at[n] or states[n] == "car"]
    return tuple(out)


def _most(access: Access) -> str:
    return max((s for s in access.shares if s[1] is not None), key=lambda s: s[1] or 0.0)[0]


def _weld_step(name: str, where: Where, accesses: Sequence[Access]) -> BuildStep:
    notes = [
        f"{shown(a.line.name)}: {100.0 * (dict(a.shares)[name] or 0.0):.0f} % can be reached here; "
        f"the rest: {_rest(a)}"
        for a in accesses
        if (dict(a.shares)[name] or 0.0) < ENOUGH
    ]
    before = {
        "dropped": "Measure everything first, cut the feet loose, let the cage hang, push it up again after.",
        "slid": "Measure everything first, cut the foot tacks and slide the whole cage back as far as the "
        f"body lets it (counted here: {SLIDE:.0f} mm); slide it home and measure again after.",
    }  # fmt: skip
    notes = [*([before[where]] if where in before else []), *notes]
    return BuildStep(
        number=0,
        title=f"weld {name}",
        where=where,
        weld=tuple(a.line.name for a in accesses),
        notes=tuple(notes),
    )


def _parts(cage: Cage) -> tuple[BuildStep, ...]:
    """Gussets and plates, and tubes that come out again, once the rest is welded."""
    sheet = tuple(p.name for p in (*cage.gussets, *cage.plates))
    out = tuple(m.name for m in cage.members if m.removable)
    return (
        *([BuildStep(number=0, title="gussets and plates", where="car", parts=sheet)] if sheet else []),
        *([BuildStep(number=0, title="fit what comes out again", where="car", parts=out)] if out else []),
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


def broken_by(
    cage: Cage, shell: Shell, steps: Sequence[BuildStep], *, torch: Torch = TORCH
) -> tuple[Broken, ...]:
    """What the steps as they stand break: a tube before what it is cut on, a weld no torch reaches any more.

    Args:
        cage: as resolved.
        shell: what is known of the body.
        steps: as reordered.
        torch: that the shop welds with.
    """
    return (*_before_mains(cage, steps), *_shut_in(cage, shell, steps, torch))


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


def _shut_in(cage: Cage, shell: Shell, steps: Sequence[BuildStep], torch: Torch) -> list[Broken]:
    """Welds that could be reached at the step that makes them, but not with the tubes now there before it."""
    stages = stages_of(cage, steps, body=body_known(cage, shell))
    if not stages:
        return []
    out: list[Broken] = []
    for access in torch_access(cage, shell, stages=stages, torch=torch):
        step = next((s for s in steps if access.line.name in s.weld), None)
        share = dict(access.shares).get(stage_name(cage, step)) if step else None
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


def stages_of(cage: Cage, steps: Sequence[BuildStep], *, body: bool) -> tuple[Stage, ...]:
    """Where the order stands when it can weld, as the torch sees it; last, all in its place."""
    there: list[str] = []
    stages: list[Stage] = []
    for step in steps:
        there += step.tack
        if step.tack and (step.weld or step.where == "bench"):
            names = tuple(m.name for m in cage.members if m.name in there)
            known = body and step.where != "bench"
            stages.append(Stage(name=stage_name(cage, step), members=names, body=known, feet=False))
    return (*stages, *whole_stages(cage, body=body))


def stage_name(cage: Cage, step: BuildStep) -> str:
    """What the torch check calls the state in which the step welds."""
    if step.tack:
        return BENCH if step.where == "bench" else f"at step {step.number}"
    *away, last = whole_stages(cage, body=True)
    found = (s for s in away if step.where == ("slid" if s.shift[0] else "dropped"))
    return next(found, last).name


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
