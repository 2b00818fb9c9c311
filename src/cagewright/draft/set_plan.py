"""A bought set in its places as a plan: every tube with its own bends, its ends cut or kept as they came."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from cagewright.base.answers import CANNOT_TELL
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.vectors import Vector
from cagewright.draft.layout import Comments
from cagewright.draft.set_places import SlotFit, heel_way, notch_past
from cagewright.plan.source import Keys
from cagewright.plan.tube_set import SetTubeEntry
from cagewright.plan.types import Plan, Which
from cagewright.shape.given import notch_end, stands
from cagewright.shape.resolve import resolve
from cagewright.shape.tube_shape import places_of
from cagewright.shape.types import Cage, Cope, member_named

WORTH = 0.25
"""A notch that leaves a gap of more than this share of the diameter is cut again (ours)."""
ROUNDS = 12
"""Tubes that cannot be built as they stand are left out one after the other, so many times at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPlan:
    """A set as a plan.

    Attributes:
        plan: as a plan file would say it; None where no tube can be used.
        cage: what it is resolved to, or None.
        comments: over the entries of the file.
        used: the tubes in it.
        refused: the others, by the name of the place, with the reason.
    """

    plan: Plan | None
    cage: Cage | None
    comments: Comments
    used: tuple[SlotFit, ...]
    refused: tuple[tuple[SlotFit, str], ...]


def planned(title: str, drafted: Plan, fits: Sequence[SlotFit], drafted_cage: Cage) -> SetPlan:
    """The tubes that suit as a plan, in the body that ``drafted`` has; without one where none can be used.

    Args:
        title: of the set, which its tubes are marked with.
        drafted: the plan drafted for the body: its car, driver, shell.
        fits: the tubes in their places.
        drafted_cage: the same plan resolved.

    Raises:
        ProblemsFound: the plan cannot be built, whatever is left out.
    """
    used = {fit.slot.member.name: fit for fit in fits if fit.suits}
    refused = [(fit, fit.why) for fit in fits if not fit.suits]
    for _ in range(ROUNDS):
        _drop_unheld(used, refused)
        if not used:
            break
        plan = _plan(title, drafted, used, drafted_cage)
        try:
            cage = resolve(plan, _by_keys)
        except ProblemsFound as found:
            if not _drop_named(used, refused, found.problems):
                raise
            continue
        if _recut(used, cage):
            continue
        comments = {("members", name): _comment(fit) for name, fit in used.items()}
        return SetPlan(
            plan=plan, cage=cage, comments=comments, used=tuple(used.values()), refused=tuple(refused)
        )
    return SetPlan(plan=None, cage=None, comments={}, used=(), refused=tuple(refused))


def _recut(used: dict[str, SlotFit], cage: Cage) -> bool:
    """Gives up the notches that were cut for something else; whether there were any."""
    some = False
    for name, fit in [*used.items()]:
        member = member_named(cage, name)
        for own, keeps in enumerate(fit.kept):
            which: Which = "start" if (own == 0) != fit.placed.turned else "end"
            if keeps and float(stands(notch_end(cage, name, which)).pushed.max()) > WORTH * member.tube.od:
                kept = (fit.kept[0] and own != 0, fit.kept[1] and own != 1)
                fit = used[name] = replace(fit, kept=kept)
                some = True
    return some


def _by_keys(keys: Keys) -> Where:
    return Where(file="/".join(map(str, keys)))


def _drop_unheld(used: dict[str, SlotFit], refused: list[tuple[SlotFit, str]]) -> None:
    """Takes out every tube that lands on one that is not there."""
    while True:
        gone = next((n for n, fit in used.items() if _mains(fit) - used.keys()), None)
        if gone is None:
            return
        fit = used.pop(gone)
        missing = sorted(_mains(fit) - used.keys())[0].replace("_", " ")
        refused.append((fit, f"it stands on {missing}, which is not there"))


def _mains(fit: SlotFit) -> set[str]:
    return {e.cut.mains[0] for e in fit.slot.member.ends if isinstance(e.cut, Cope)}


def _drop_named(
    used: dict[str, SlotFit], refused: list[tuple[SlotFit, str]], problems: Sequence[Problem]
) -> bool:
    """Takes out the tubes that the problems are about; whether there were any."""
    some = False
    for problem in problems:
        parts = problem.where.file.split("/")
        name = parts[1] if len(parts) > 1 and parts[0] == "members" else ""
        if name in used:
            refused.append((used.pop(name), f"it cannot be built in: {problem.found}"))
            some = True
    return some


def _plan(title: str, drafted: Plan, used: Mapping[str, SlotFit], cage: Cage) -> Plan:
    data = drafted.model_dump(exclude_defaults=True)
    for key in ("members", "feet", "tubes", "points", "gussets", "belts", "people", "seat"):
        data.pop(key, None)
    data["title"] = f"{drafted.title}: {title}"
    data |= {"cagewright": 1, "units": "mm", "tubes": {}, "members": {}, "feet": {}}
    data |= _people(drafted, used)
    for name, fit in used.items():
        key = _tube_name(fit.piece.tube)
        data["tubes"][key] = {
            "od": fit.piece.tube.od, "wall": fit.piece.tube.wall, "steel": fit.piece.tube.steel or CANNOT_TELL
        }  # fmt: skip
        data["members"][name] = _member(title, key, fit)
        data["feet"] |= _feet(fit, drafted, cage)
    data["gussets"] = {
        name: {**gusset.model_dump(exclude_defaults=True)}
        for name, gusset in drafted.gussets.items()
        if set(gusset.between) <= used.keys() and not gusset.mirror
    }
    if not data["gussets"]:
        del data["gussets"]
    return Plan.model_validate(data).model_copy(update={"units": drafted.units})


def _people(drafted: Plan, used: Mapping[str, SlotFit]) -> dict[str, Any]:
    """Who sits in the car; belts only where every bar that they are fixed to is there."""
    data = drafted.model_dump(exclude_defaults=True, include={"driver", "people", "belts", "seat"})
    held = {place.on for place in _places(data) if place.on}
    if not held <= used.keys():
        data.pop("belts", None)
        for who in data.get("people", {}).values():
            who.pop("belts", None)
    return data


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    on: str


def _places(data: Any) -> list[_Held]:
    """Every place on a member, wherever it stands."""
    if isinstance(data, Mapping):
        own = [_Held(on=data["on"])] if isinstance(data.get("on"), str) else []
        return own + [one for value in data.values() for one in _places(value)]
    if isinstance(data, list | tuple):
        return [one for value in data for one in _places(value)]
    return []


def _tube_name(tube: SetTubeEntry) -> str:
    size = f"bought_{tube.od or 0.0:g}x{tube.wall or 0.0:g}".replace(".", "p")
    steel = "".join(c if c.isalnum() else "_" for c in tube.steel or "unknown")
    return f"{size}_{steel}"


def _member(title: str, tube: str, fit: SlotFit) -> dict[str, Any]:
    piece, found = fit.piece, fit.placed
    places = places_of(piece.shape, found.frame)
    path: list[Any] = [
        {"at": _rounded(at), "clr": clr} for at, clr in zip(places[1:-1], piece.shape.radii, strict=True)
    ]
    path = [_end_place(fit, 0, places), *path, _end_place(fit, 1, places)]
    given = {("end" if i != found.turned else "start"): cut for i, cut in _given(fit)}
    cut = {
        e.which: e.cut.mains[0] for e in fit.slot.member.ends if isinstance(e.cut, Cope)
    }  # fmt: skip
    said: dict[str, Any] = {"role": fit.slot.member.role, "tube": tube}
    said["path"] = path[::-1] if found.turned else path
    said |= {"cut": cut} if cut else {}
    said |= {"given": given} if given else {}
    return {**said, "bought": title, "note": f"tube {piece.entry} of the set"}


def _end_place(fit: SlotFit, own: int, places: Vector) -> Any:
    """The place at the tube's own start (0) or end (1): its foot, or where its axis passes the other's."""
    which = own if not fit.placed.turned else 1 - own
    end = fit.slot.member.ends[which]
    if end.foot is not None and not isinstance(end.cut, Cope):
        return {"foot": end.foot}
    if fit.kept[own]:
        _, axis = heel_way(fit.piece, fit.placed, own)
        entry = fit.piece.tube.start if own == 0 else fit.piece.tube.end
        past = notch_past(entry, (fit.piece.tube.od or 0.0) / 2.0)
        return _rounded(places[0 if own == 0 else -1] - past * axis)
    return _rounded(fit.placed.ends[own].at)


def _given(fit: SlotFit) -> list[tuple[int, dict[str, Any]]]:
    found: list[tuple[int, dict[str, Any]]] = []
    for own, keeps in enumerate(fit.kept):
        if not keeps:
            continue
        entry = fit.piece.tube.start if own == 0 else fit.piece.tube.end
        way, _ = heel_way(fit.piece, fit.placed, own)
        twin = fit.piece.hand == "second" and fit.piece.tube.twin == "mirrored"
        sign = (1.0 if own == 0 else -1.0) * (-1.0 if twin else 1.0)
        said = {"angle": f"{math.degrees(entry.angle):.4f} deg", "od": entry.od}
        said |= {"offset": sign * entry.offset} if entry.offset else {}
        found.append((own, {**said, "heel": [round(float(v), 5) + 0.0 for v in way]}))
    return found


def _feet(fit: SlotFit, drafted: Plan, cage: Cage) -> dict[str, Any]:
    feet = {foot.name: foot for foot in cage.feet}
    made: dict[str, Any] = {}
    for own, reached in enumerate(fit.placed.ends):
        end = fit.slot.member.ends[own if not fit.placed.turned else 1 - own]
        if end.foot is None or isinstance(end.cut, Cope):
            continue
        foot = feet[end.foot]
        at = np.array(reached.at)
        if reached.more > 0.0:  # short of its seat: it stands on a box
            at = at + reached.more * heel_way(fit.piece, fit.placed, own)[1]
        entry: dict[str, Any] = {"at": _rounded(at), "on": fit.seat or foot.seat, "plate": list(foot.plate)}
        if foot.bolts is not None:
            entry["bolts"] = foot.bolts.model_dump(exclude_defaults=True)
        if abs(float(foot.normal[2]) - 1.0) > 1e-9:
            entry["normal"] = [round(float(v), 4) for v in foot.normal]
        made[end.foot] = entry
    return made


def _rounded(at: Vector) -> list[float]:
    return [round(float(v), 2) + 0.0 for v in at]


def _comment(fit: SlotFit) -> str:
    words = [f"tube {fit.piece.entry} of the set"]
    words += [f"its {fit.piece.tube.certificate}"] if fit.piece.tube.certificate else []
    return "; ".join(words)
