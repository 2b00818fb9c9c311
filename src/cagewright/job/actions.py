"""What to do, first: findings that ask for the same, of one tube or many, as one thing to do."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from cagewright.base.answers import Level
from cagewright.base.names import paired
from cagewright.check.body.near_driver import PADDED
from cagewright.check.findings import (
    LEVEL,
    NO_SOURCE,
    WORST_FIRST,
    Finding,
    Judge,
    Known,
    Verdict,
    said_verdict,
)
from cagewright.check.hand import by_paper
from cagewright.check.vocabulary import MEASURES
from cagewright.shape.types import Cage, mounts_of
from cagewright.stock.sections import size_words

ACTED_ON: tuple[Verdict, ...] = WORST_FIRST[:4]
"""The verdicts that ask for something to be done."""
MOST_NAMES = 6
"""More names than this are counted, not listed."""
MOST_WAYS = 3
"""One rule asks for at most so many different things by itself; more become one thing to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Action:
    """One thing to do.

    Attributes:
        head: what such things are listed under: ``Looks broken, by the book``.
        words: what, to which tubes or places, how far.
        why: clause, how it is known, what was measured and what is wanted.
        said: the verdict, as its judge calls it.
        tubes: names of the tubes that it is about.
        findings: ids of the findings that it settles.
    """

    head: str
    words: str
    why: str
    judge: Judge
    verdict: Verdict
    said: str
    level: Level
    tubes: tuple[str, ...]
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A finding as it goes into an action: with its id, the tubes it is about, its source and its words."""

    id: str
    finding: Finding
    tubes: tuple[str, ...]
    source: str
    measured: str
    limit: str


_NUMBER = r"(?<![\w.\-+/])(?:\d+ \d+/\d+|\d+/\d+|\d+(?:\.\d+)?)(?![\w\-]|\.\d)"
HEADS: dict[Verdict, str] = {
    "fail": "Fails", "looks broken": "Looks broken", "look at": "To look at",
    "cannot tell": "You must supply",
}  # fmt: skip
BY: dict[Judge, str] = {"by the book": "by the book", "own check": "own checks"}
_SIDES = ("left side", "right side")
HOW_SAID: dict[Known, str] = {
    "remembered": "from memory", "restated": "restated twice", "restated once": "restated once",
}  # fmt: skip
"""What is added to a source that was not read."""


def names_of(cage: Cage) -> tuple[str, ...]:
    """Every name of the plan that a finding may say."""
    kinds = (cage.members, cage.joints, cage.feet, cage.gussets, cage.plates, cage.lines)
    return (*(one.name for kind in kinds for one in kind), *(mount.name for mount, _ in mounts_of(cage)))


class Wording:
    """An advice taken apart: what is the same for all its places, and the names and figures that differ."""

    def __init__(self, cage: Cage) -> None:
        """The wording of a cage's advices: its names are what may differ."""
        names = sorted(names_of(cage), key=len, reverse=True)
        slots = "|".join((*(rf"\b{re.escape(name)}\b" for name in names), *_SIDES, _NUMBER))
        self._slots = re.compile(f"({slots})")

    def apart(self, advice: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """What is the same, and what may differ, in turn."""
        parts = self._slots.split(advice)
        return tuple(parts[::2]), tuple(parts[1::2])

    def together(self, advices: Sequence[str]) -> str:
        """One advice for all of them; they are the same but for names and figures."""
        taken = [self.apart(advice) for advice in advices]
        same = taken[0][0]
        slots = (_slot(values) for values in zip(*(differ for _, differ in taken), strict=True))
        return "".join(part for pair in zip(same, (*slots, ""), strict=True) for part in pair)


def _slot(values: tuple[str, ...]) -> str:
    """The names listed, the figures from the least to the greatest, or both sides as each side."""
    different = list(dict.fromkeys(values))
    if len(different) == 1:
        return different[0]
    if all(value in _SIDES for value in different):
        return "each side"
    if not all(re.fullmatch(_NUMBER, value) for value in different):
        return few(different)
    low, high = (pick(different, key=_size) for pick in (min, max))
    return f"{low} to {high}"


def _size(said: str) -> float:
    parts = (part.partition("/") for part in said.split())
    return sum(float(top) / float(bottom or 1.0) for top, _, bottom in parts)


def few(names: Iterable[str], what: str = "places") -> str:
    """The names, both sides of one as one; of many, how many."""
    every = list(dict.fromkeys(names))
    words = paired(every)
    if len(words) > MOST_NAMES:
        return f"{len(every)} {what}"
    return ", ".join(words) if any(" and " in word for word in words[:-1]) else _and(words)


def _and(words: Iterable[str]) -> str:
    *first, last = words
    return f"{', '.join(first)} and {last}" if first else last


def actions_of(cage: Cage, told: Iterable[Told], read: Callable[[str], str]) -> tuple[Action, ...]:
    """What to do, in the order of what it costs the builder.

    Args:
        cage: what was checked.
        told: the findings, worst first.
        read: writes the plan's names as they are read.
    """
    wording = Wording(cage)
    asked = [one for one in told if one.finding.verdict in ACTED_ON]
    groups = [group for rule in _by(asked, _one_rule) for group in _ways(wording, rule)]
    merged: dict[object, list[Told]] = {}
    for group in groups:
        merged.setdefault(_one_remedy(wording, group), []).extend(group)
    made = [_action(cage, wording, group, read) for group in merged.values()]
    return tuple(sorted(made, key=_cost))


def _cost(action: Action) -> tuple[int, bool, int]:
    return ACTED_ON.index(action.verdict), action.judge == "own check", -len(action.tubes)


def _by(told: Iterable[Told], key: Callable[[Told], object]) -> list[list[Told]]:
    groups: dict[object, list[Told]] = {}
    for one in told:
        groups.setdefault(key(one), []).append(one)
    return list(groups.values())


def _one_rule(one: Told) -> object:
    f = one.finding
    return f.judge, f.verdict, f.book, f.rule


def _ways(wording: Wording, rule: list[Told]) -> list[list[Told]]:
    """The findings of one rule by what they ask for; all of them together where that is too many things."""
    if rule[0].finding.rule == PADDED:
        return [rule]
    ways = _by(rule, lambda one: wording.apart(_todo(one))[0])
    return ways if len(ways) <= MOST_WAYS else [rule]


def _one_remedy(wording: Wording, group: list[Told]) -> object:
    """The same for rules that one deed settles: the same words, or the same paper."""
    f = group[0].finding
    paper = PADDED if f.rule == PADDED else f.verdict == "cannot tell" and by_paper(f.measure)
    advice = paper or {wording.apart(_todo(one)) for one in group}.pop()
    return f.judge, f.verdict, f.book, advice if paper or len(_todo(group[0])) > 0 else f.rule


def head_of(finding: Finding) -> str:
    """What findings of that verdict and judge are listed under; an own check does not fail."""
    own = finding.judge == "own check"
    return (
        f"{'Problems' if own and finding.verdict == 'fail' else HEADS[finding.verdict]}, {BY[finding.judge]}"
    )


def _todo(one: Told) -> str:
    return one.finding.advice or one.finding.why


def _action(cage: Cage, wording: Wording, group: list[Told], read: Callable[[str], str]) -> Action:
    first = group[0].finding
    words = read(_words(cage, wording, group))
    return Action(
        head=head_of(first),
        words=words[:1].upper() + words[1:],
        why=_why(group),
        judge=first.judge,
        verdict=first.verdict,
        said=said_verdict(first.verdict, first.judge),
        level=LEVEL[first.verdict],
        tubes=tuple(dict.fromkeys(name for one in group for name in one.tubes)),
        findings=tuple(one.id for one in group),
    )


def _words(cage: Cage, wording: Wording, group: list[Told]) -> str:
    first = group[0].finding
    where, single = _where(group)
    if first.rule == PADDED:
        return f"pad {where}: the padding list says from where to where"
    paper = first.verdict == "cannot tell" and by_paper(first.measure)
    if paper:
        return (
            f"{paper} for {_sizes(cage, group)}: {_and(dict.fromkeys(one.finding.measure for one in group))}"
        )
    advices = [_todo(one) for one in group]
    if len({wording.apart(advice)[0] for advice in advices}) > 1:
        return f"{first.title}: {where}, each in its own way"
    said = wording.together(advices)
    of_the_cage = first.measure in MEASURES and MEASURES[first.measure].per == "cage"
    if not where or of_the_cage or _named_in(wording, group):
        return said
    return f"{where}: {said if single else said.replace(' it ', ' each ')}"


def _named_in(wording: Wording, group: list[Told]) -> bool:
    """Whether the advice itself says which tube, joint or foot it is about."""
    first = group[0].finding
    about = {*group[0].tubes, *first.where.members, *first.where.joints, *first.where.feet}
    return bool(about & set(wording.apart(_todo(group[0]))[1]))


def _where(group: list[Told]) -> tuple[str, bool]:
    """The tubes, feet or joints that it is about, in words, and whether that is a single one."""
    feet = dict.fromkeys(name for one in group for name in one.finding.where.feet)
    joints = dict.fromkeys(name for one in group for name in one.finding.where.joints)
    tubes = dict.fromkeys(name for one in group for name in one.tubes)
    if joints and len(joints) > len(tubes):
        return f"{len(joints)} joints", False
    if feet:
        return f"{'foot' if len(feet) == 1 else 'feet'} {few(feet)}", len(feet) == 1
    return (few(tubes, "tubes"), len(tubes) == 1) if tubes else ("", False)


def _sizes(cage: Cage, group: list[Told]) -> str:
    """The sizes and steels of the tubes, as they are ordered."""
    about = {name for one in group for name in one.tubes}
    tubes = dict.fromkeys(m.tube for m in cage.members if m.name in about)
    return _and(dict.fromkeys(f"{size_words(t.section, cage.units)} {t.steel.name}" for t in tubes))


def _how(finding: Finding) -> str:
    return NO_SOURCE if NO_SOURCE in finding.why else HOW_SAID.get(finding.known, "")


_LIMIT = re.compile(r"\bwanted\b|\b(?:at|more|less) (?:least|most|than)\b|\bdeg\b")
_NOTHING = re.compile(r"at least 0(?![.\d])")
"""A limit that is on one side or the other of a line: its title says it."""
MOST_TITLES = 2
"""What is wanted is said of so many clauses, where figures alone do not say what they are of."""


def _why(group: list[Told]) -> str:
    """Clauses, how they are known, what was measured and what is wanted."""
    sources = dict.fromkeys(one.source for one in group)
    known = dict.fromkeys(_how(one.finding) for one in group)
    titles = dict.fromkeys(one.finding.title for one in group)
    first = group[0]
    reading = first.measured if len({one.measured for one in group}) == 1 else ""
    alike = len({one.limit for one in group}) == 1 == len(sources)
    wanted = (
        f"wanted {first.limit}"
        if alike and first.limit not in {"", "yes"} and not _NOTHING.match(first.limit)
        else ""
    )
    bare = len(titles) <= MOST_TITLES and not re.search("[a-z]{3}", _LIMIT.sub("", f"{reading} {wanted}"))
    title = "; ".join(titles) if bare and not by_paper(first.finding.measure) else ""
    said = ", ".join(part for part in (title, reading, wanted) if part)
    return ": ".join(part for part in (", ".join([*sources, *filter(None, known)]), said) if part)
