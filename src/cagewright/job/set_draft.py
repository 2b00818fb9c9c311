"""A bought set placed in a surveyed body: where each tube stands, what is cut off, what does not suit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path

from cagewright.base.answers import Answer, Level, Sentence, Value, figure
from cagewright.base.names import listed, shown
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say
from cagewright.base.units import LengthUnit
from cagewright.base.vectors import Vector, dot
from cagewright.check.body.in_the_way import in_the_way
from cagewright.check.library import find_books
from cagewright.check.limits_asked import limits_of
from cagewright.draft.layout import Drafted, NothingToDraft, draft
from cagewright.draft.measured import measured
from cagewright.draft.scanned import with_scan
from cagewright.draft.set_places import SetBody, SlotFit, fitted, path_of
from cagewright.draft.set_plan import SetPlan, planned
from cagewright.draft.written import drafted_text
from cagewright.job.draft import CAUTION, nothing_drafted, refuse_bare_body
from cagewright.job.opening import job_of
from cagewright.job.set_bench import SetBench, set_bench
from cagewright.job.survey import OpenSurvey
from cagewright.job.trims import TrimsAnswer, trims_told
from cagewright.plan.bench_types import BenchFirstEntry
from cagewright.plan.shop import read_shop
from cagewright.plan.survey import Survey, SurveyFile, WishesEntry
from cagewright.plan.text import parse
from cagewright.plan.tube_set import SetFile, TubeSet, read_set, where_tube
from cagewright.plan.types import Plan
from cagewright.shape.clearance import Cut, Gap, line_gaps
from cagewright.shape.resolve import resolve
from cagewright.shape.scan import Scan
from cagewright.shape.shell import Shell, shell_of
from cagewright.shape.types import Cage, Cope, End, Member, member_named
from cagewright.stock.shop import NO_SHOP

TOLD = 0.5
"""A cut or a gap of less is not told, mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedTube:
    """One tube of the set in this body.

    Attributes:
        tube: its name in the set.
        member: the plan's name for its place; empty where it has none.
        stands: where it stands, in words.
        off_start: what is cut off its own start.
        off_end: what is cut off its own end.
        kept: notches that it keeps, in words.
        gap: least to the body's lines along what follows them; None where it follows none.
        inside: how far it is in the metal.
        says: what it lacks, or what to know; empty where it suits.
    """

    tube: str
    member: str
    level: Level
    stands: str
    off_start: Value | None
    off_end: Value | None
    kept: str
    gap: Value | None
    inside: Value | None
    says: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatTried:
    """A main rollbar on sill or floor: which was taken, and what each comes to, side by side."""

    seat: str
    taken: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetDraftAnswer(Answer):
    """A set placed in a body.

    Attributes:
        title: of the set.
        tubes: each tube, in the order in which they are placed; then those that have no place.
        seats: wide on the sill and narrow on the floor, set side by side.
        body: what of the body must go by its measured lines, of tubes that the list of trims says nothing of.
        trims: what of the scan must go, piece by piece; None without a scan, or where no tube can be used.
        empty: places of the body's draft that no tube of the set fills.
        bench: what is joined before it goes in, and how it goes in; None where that was not asked, or no tube
            can be used.
    """

    title: str
    tubes: tuple[PlacedTube, ...]
    seats: tuple[SeatTried, ...]
    body: tuple[Sentence, ...]
    trims: TrimsAnswer | None
    empty: tuple[str, ...]
    bench: SetBench | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetInBody:
    """What placing a set comes to, before it is told."""

    file: SurveyFile
    bought: SetFile
    drafted: Drafted
    cage: Cage
    shell: Shell
    scan: Scan | None
    fits: tuple[SlotFit, ...]
    empty: tuple[str, ...]
    over: tuple[tuple[str, str], ...]
    made: SetPlan


def set_draft_of(survey: OpenSurvey, set_path: Path) -> tuple[SetDraftAnswer, str]:
    """The set in the surveyed body, and the text of the plan's file; empty where no tube can be used.

    Raises:
        ProblemsFound: a file has problems, or readings are missing.
    """
    if survey.survey is None:
        raise ProblemsFound(survey.problems)
    placed = set_in_body(survey.survey, read_set(set_path), survey.path.parent, name=survey.path.name)
    if placed.made.plan is None:
        return set_draft_answer(placed), ""
    text, name = _text(placed, placed.made.plan, survey, set_path), survey.path.name
    bench = set_bench(job_of(parse(text, file=name), survey.path))
    if bench.write:
        told = placed.made.plan.model_copy(update={"bench_first": BenchFirstEntry(tubes=bench.tubes)})
        text = _text(placed, told, survey, set_path)
    return replace(set_draft_answer(placed), bench=bench), text


def _text(placed: SetInBody, plan: Plan, survey: OpenSurvey, set_path: Path) -> str:
    made, drafted = placed.made, placed.drafted
    told = replace(drafted, plan=plan, comments=made.comments, said=())
    return drafted_text(told, f"{survey.path.name} with the set {set_path.name}")


def set_in_body(read: Survey, tubes: TubeSet, folder: Path, *, name: str) -> SetInBody:
    """The set placed in the body.

    Args:
        read: the survey.
        tubes: the set.
        folder: of the survey's file.
        name: of the survey's file.

    Raises:
        ProblemsFound: as for ``set_draft_of``.
    """
    _all_known(tubes)
    refuse_bare_body(read, name)
    found = with_scan(read, folder)
    whole = found.survey
    file = whole.file.model_copy(update={"wishes": _wishes(whole.file, tubes.file)})
    shop = read_shop(folder / file.shop) if file.shop else NO_SHOP
    books = find_books(file.car.rules, folder, Where(file=name))
    try:
        drafted = draft(file, limits_of(books), shop)
    except NothingToDraft as nothing:
        raise ProblemsFound(nothing_drafted(nothing, whole, name)) from None
    cage = resolve(drafted.plan)
    shell, car = shell_of(cage, None), measured(file)
    sides = [abs(float(car.points[n][1])) for n in ("sill_side_left", "sill_side_right") if n in car.points]
    body = SetBody(
        cage=cage, shell=shell, gap=file.wishes.gap, floor=car.floor, side=min(sides, default=None)
    )
    fits, empty, over = fitted(tubes.file, body)
    made = planned(tubes.file.title, drafted.plan, fits, cage)
    return SetInBody(
        file=file, bought=tubes.file, drafted=drafted, cage=cage, shell=shell, scan=found.scan,
        fits=tuple(fits), empty=tuple(slot.member.name for slot in empty), over=tuple(dict.fromkeys(over)),
        made=made,
    )  # fmt: skip


def _all_known(tubes: TubeSet) -> None:
    """Refuses a set of which a tube that would be placed has no wall: the plan's tubes have one.

    Raises:
        ProblemsFound: one for each such tube.
    """
    wanting = [n for n, t in tubes.file.tubes.items() if t.wall is None and t.od is not None and not t.spare]
    if wanting:
        raise ProblemsFound([
            Problem(
                code="set-untold", where=where_tube(tubes, name, "wall"),
                found=f"nobody can tell the wall of {shown(name)}", wanted="calliper it at the open end",
            )
            for name in wanting
        ])  # fmt: skip


def _wishes(file: SurveyFile, bought: SetFile) -> WishesEntry:
    """The builder's wishes with what the set has: a draft has places for its tubes and no others."""
    count = {
        role: sum((2 if t.twin else 1) for t in bought.tubes.values() if t.role == role and not t.spare)
        for role in {t.role for t in bought.tubes.values()}
    }
    bars = count.get("doorbar", 0) // 2
    roof = {1: "diagonal", 2: "V", 3: "X"}.get(count.get("roof reinforcement", 0), file.wishes.roof)
    return file.wishes.model_copy(
        update={
            "doorbars": min(bars, 4) or file.wishes.doorbars,
            "roof": roof,
            "rear": "diagonal" if count.get("diagonal", 0) > 1 else "none",
            "harness_bar": "harness bar" in count,
            "dash_bar": "dash bar" in count,
            "pillar_braces": "cage reinforcement" in count,
        }
    )


def set_draft_answer(placed: SetInBody) -> SetDraftAnswer:
    """The set in the body, told."""
    units = placed.file.units
    used = {fit.slot.member.name for fit in placed.made.used}
    refused = {fit.slot.member.name: why for fit, why in placed.made.refused}
    cage = placed.made.cage
    gaps = {} if cage is None else {gap.member: gap for gap in line_gaps(cage, placed.shell)}
    rows = [_row(fit, placed, refused.get(fit.slot.member.name, ""), units) for fit in placed.fits]
    rows += [
        PlacedTube(
            tube=name, member="", level="cannot tell" if why.startswith("cannot") else "look at", stands="",
            off_start=None, off_end=None, kept="", gap=None, inside=None, says=why,
        )
        for name, why in placed.over
    ]  # fmt: skip
    hoop = next((fit for fit in placed.fits if fit.seat), None)
    trims = None if cage is None or placed.scan is None else trims_told(cage, in_the_way(cage, placed.scan))
    listed_there = {row.member for row in trims.trims} if trims else set[str]()
    body = _body_words([g for n, g in gaps.items() if shown(n) not in listed_there], hoop, units)
    left = len(rows) - len(used)
    return SetDraftAnswer(
        headline=f"{len(used)} of {len(rows)} tubes of {placed.bought.title} have their place"
        + (f", {left} have not" if left else ""),
        level="fail"
        if not used
        else "look at"
        if left or body or listed_there or any(row.level != "fine" for row in rows)
        else "fine",
        cautions=(CAUTION, *(trims.cautions if trims else ())),
        title=placed.bought.title,
        tubes=tuple(rows),
        seats=() if hoop is None else _seats(hoop, units),
        body=body,
        trims=trims,
        empty=placed.empty,
        bench=None,
    )


def _row(fit: SlotFit, placed: SetInBody, why: str, units: LengthUnit) -> PlacedTube:
    name, found = fit.slot.member.name, fit.placed
    cage = placed.made.cage
    offs: list[Value | None] = [None, None]
    if cage is not None and any(m.name == name for m in cage.members):
        member = member_named(cage, name)
        offs = [figure(max(v, 0.0), "length", units, places=0) for v in cut_off(fit, member)]
    says = [why] if why else []
    if fit.swapped:
        says.append(f"marked {fit.piece.tube.side}, but it fits on the {fit.slot.side}")
    if found.deep > TOLD:
        says.append(f"{say(found.deep, 'length', units, places=0)} into the body")
    says += [
        f"a box of {say(e.more, 'length', units, places=0)} under its {word}"
        for word, e in zip(("start", "end"), found.ends, strict=True)
        if e.more > TOLD and fit.seat
    ]
    kept = [word for word, keeps in zip(("start", "end"), fit.kept, strict=True) if keeps]
    return PlacedTube(
        tube=fit.piece.entry,
        member=name,
        level="fail" if why else "look at" if says else "fine",
        stands=_stands(fit, units),
        off_start=offs[0],
        off_end=offs[1],
        kept=listed(kept),
        gap=None if found.gaps is None else figure(max(found.gaps[0], 0.0), "length", units),
        inside=figure(found.deep, "length", units) if found.deep > TOLD else None,
        says="; ".join(says),
    )


def cut_off(fit: SlotFit, member: Member) -> tuple[float, float]:
    """What comes off the tube's own start and end, furthest point to finished furthest point, mm."""
    path = path_of(fit)
    tips = (path.pieces[0].start, path.pieces[-1].stop)
    ends = member.ends[::-1] if fit.placed.turned else member.ends
    return _off(tips[0], member, ends[0]), _off(tips[1], member, ends[1])


def _off(tip: Vector, member: Member, end: End) -> float:
    at = member.path.pieces[0].start if end.which == "start" else member.path.pieces[-1].stop
    return float(dot(at + end.trim * end.cut.axis - tip, end.cut.axis))


def _stands(fit: SlotFit, units: LengthUnit) -> str:
    """Where both ends stand: on which tube or foot, and its height and distance back."""
    words: list[str] = []
    for own, word in enumerate(("start", "end")):
        end = fit.slot.member.ends[own if not fit.placed.turned else 1 - own]
        at = fit.placed.ends[own].at
        on = shown(end.cut.mains[0] if isinstance(end.cut, Cope) else end.foot or "")
        back, across, up = (say(float(v), "length", units, places=0) for v in at)
        words.append(f"{word} on {on} at {back} back, {across} across, {up} up")
    return "; ".join(words)


def _seats(hoop: SlotFit, units: LengthUnit) -> tuple[SeatTried, ...]:
    return tuple(
        SeatTried(seat=fit.seat, taken=fit is hoop, words=_seat_words(fit, units))
        for fit in sorted((hoop, *hoop.others), key=lambda fit: fit.seat, reverse=True)
    )


def _seat_words(fit: SlotFit, units: LengthUnit) -> str:
    wide = "wide on the sill" if fit.seat == "sill" else "narrow on the floor"
    off = [say(abs(e.more), "length", units, places=0) for e in fit.placed.ends]
    cut = [
        f"{v} {'cut off' if e.more <= 0.0 else 'missing at'} its {w}"
        for v, e, w in zip(off, fit.placed.ends, ("start", "end"), strict=True)
    ]
    words = [f"{wide}: {', '.join(cut)}"]
    if fit.placed.gaps is not None:
        least, mean = (say(v, "length", units) for v in fit.placed.gaps)
        words.append(f"gap {least} at the least, {mean} on average")
    if fit.placed.deep > TOLD:
        words.append(f"{say(fit.placed.deep, 'length', units)} into the body")
    return "; ".join([*words, *([fit.why] if fit.why else [])])


def _body_words(gaps: Iterable[Gap], hoop: SlotFit | None, units: LengthUnit) -> tuple[Sentence, ...]:
    """What of the body must go: where a tube cuts into its measured lines, legs in the side over a sill."""
    found = [_cut_words(gap, cut, units) for gap in gaps for cut in gap.cuts if cut.depth > TOLD]
    if hoop is None or hoop.seat != "sill":
        return tuple(found)
    name = hoop.slot.member.name
    for word, end in zip(("start", "end"), hoop.placed.ends, strict=True):
        if end.aside > TOLD:
            off = say(end.aside, "length", units)
            words = (
                f"the {word} of {shown(name)} stands {off} off the sill's top: in the body's side or past it"
            )
            found.append(Sentence(words=words, level="look at", about=(name,)))
    return tuple(found)


def _cut_words(gap: Gap, cut: Cut, units: LengthUnit) -> Sentence:
    x, y, z = (say(float(v), "length", units, places=0) for v in cut.at)
    deep, long = say(cut.depth, "length", units), say(cut.stop - cut.start, "length", units, places=0)
    words = (
        f"{shown(gap.member)} stands {deep} into {shown(gap.panel or gap.to)} over {long}, deepest at "
        f"{x} back, {y} across, {z} up: trim it only where it may be cut, else move the tube"
    )
    return Sentence(words=words, level="look at", about=(gap.member,))
