"""What is asked of a plan's alternatives: which there are, a new one, one less, and what one looks like."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.base.say import say_size
from cagewright.change.before import told
from cagewright.compare.cases import cases_of
from cagewright.frame.push_names import DEFAULT, push_names
from cagewright.job.history.state import without_folder
from cagewright.job.opening import Job
from cagewright.job.scene.scene import drawn_scene
from cagewright.job.scene.types import Scene
from cagewright.job.studies.files import (
    OWN,
    Study,
    renamed,
    studies_of,
    study_of,
    take_away,
    with_alternative,
    without_alternative,
    write,
)
from cagewright.job.studies.made import PickedTubes, made, members_changed, sizes_for
from cagewright.plan.alternatives import Alternatives, read_alternatives_text
from cagewright.shape.resolve import resolve

SIZES_TRIED = 6
"""So many sizes are tried for one that can be built."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyAlternative:
    """One alternative of a file, and what each of its changes does, where they can be made."""

    name: str
    note: str
    on_top_of: str
    changes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyFile:
    """One alternatives file beside a plan.

    Attributes:
        id: ``own``, or made from its path.
        own: it is the plan's own.
        there: it is there; the plan's own may not be yet.
        fits: its changes can be made on the plan.
        as_planned: what the plan itself is called.
    """

    id: str
    own: bool
    file: str
    there: bool
    fits: bool
    problems: tuple[Problem, ...]
    title: str
    question: str
    as_planned: str
    pushes: tuple[str, ...]
    alternatives: tuple[StudyAlternative, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeOffer:
    """A size that can be had: ``od`` and ``wall`` in mm, and as it is ordered."""

    od: float
    wall: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Studies:
    """Every alternatives file beside a plan, and what alternatives can be made and pushed with.

    Attributes:
        studies: the files, the plan's own first.
        pushes: names of those there are.
        usual: the push where none is named.
        sizes: that can be had.
    """

    studies: tuple[StudyFile, ...] = ()
    pushes: tuple[str, ...] = ()
    usual: str = DEFAULT
    sizes: tuple[SizeOffer, ...] = ()
    revision: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeAlternative:
    """An alternative made: its name, what is noted of it, and the tubes it changes."""

    name: str
    note: str
    changed: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlternativeCage:
    """The cage of an alternative, to lay over the plan's, and the tubes that are not as planned."""

    name: str
    scene: Scene
    changed: tuple[str, ...]


def studies(job: Job) -> Studies:
    """The alternatives files beside the plan."""
    units = job.cage.units
    return Studies(
        studies=tuple(_row(study) for study in studies_of(job.plan, job.path)),
        pushes=tuple(job.cache.get(("push names", job.key), lambda: push_names(job.cage))),
        sizes=tuple(
            SizeOffer(od=od, wall=wall, words=say_size(od, wall, units))
            for od, wall in sizes_for(job.shop, units)
        ),
        revision=job.cage.revision,
    )


def _row(study: Study) -> StudyFile:
    read = study.read
    alternatives = [
        StudyAlternative(
            name=a.name, note=a.note, on_top_of=a.on_top_of or "", changes=study.words.get(a.name, ())
        )
        for a in (read.alternatives if read else ())
    ]
    return StudyFile(
        id=study.id,
        own=study.own,
        file=study.path.name,
        there=study.path.is_file(),
        fits=read is not None and not study.problems,
        problems=tuple(without_folder(p) for p in study.problems),
        title=read.title if read else "Your alternatives" if study.own else study.path.name,
        question=read.question if read else "",
        as_planned=read.as_planned if read else "as planned",
        pushes=read.pushes if read else (),
        alternatives=tuple(alternatives),
    )


def add(job: Job, picked: PickedTubes, *, trial: bool = False) -> MadeAlternative:
    """The alternative made of what is picked, written into the plan's own file; ``trial`` only looks.

    Of sizes, the first that can be built is taken.

    Raises:
        ProblemsFound: it cannot be made or built; of several sizes, what the first came to.
    """
    own = study_of(job.plan, job.path, OWN)
    taken = [a.name for a in own.read.alternatives] if own and own.read else []
    first: ProblemsFound | None = None
    for skip in range(SIZES_TRIED if picked.what in {"heavier", "lighter"} else 1):
        try:
            entry = made(job.plan, job.cage, job.shop, replace(picked, skip=skip), taken=taken)
            document = with_alternative(job.plan, job.path, entry)
            changed = _changed(job, read_alternatives_text(document.text), entry["name"])
        except ProblemsFound as found:
            first = first or found
            continue
        if not trial:
            write(document, job.path)
        return MadeAlternative(name=entry["name"], note=entry.get("note", ""), changed=changed)
    raise first or ValueError("nothing was tried")


def _changed(job: Job, read: Alternatives, name: str) -> tuple[str, ...]:
    """Names of the tubes that the alternative changes.

    Raises:
        ProblemsFound: it cannot be made or built, or changes nothing.
    """
    cases = cases_of(job.plan, read)
    plan = next(c.case.plan for c in cases if c.case.name == name)
    changed = members_changed(job.cage, resolve(plan))
    if not changed and plan == cases[0].case.plan:
        found, wanted = "that changes nothing", "wanted something else than the plan has"
        raise ProblemsFound(told("no-change", Where(file="alternatives"), found, wanted))
    return changed


def rename(job: Job, name: str, to: str) -> None:
    """Call an alternative of the plan's own file otherwise.

    Raises:
        ProblemsFound: there is none of that name.
    """
    write(renamed(job.plan, job.path, name, to), job.path)


def take_out(job: Job, name: str) -> bool:
    """Take an alternative out of the plan's own file; whether any is left.

    Raises:
        ProblemsFound: there is none of that name, or another stands on top of it.
    """
    left = without_alternative(job.plan, job.path, name)
    if left is None:
        take_away(job.path)
    else:
        write(left, job.path)
    return left is not None


def cage_of(job: Job, study: str, number: int) -> AlternativeCage:
    """The cage of one alternative of a file: its number from 1, 0 for the plan.

    Raises:
        ProblemsFound: there is none of that number, or it cannot be built.
    """
    found = study_of(job.plan, job.path, study)
    cases = cases_of(job.plan, found.read) if found and found.read else ()
    if not 0 <= number < len(cases):
        said = "there is no such alternative"
        raise ProblemsFound(told("no-alternative", Where(file="alternatives"), said, "wanted one"))
    case = cases[number].case
    cage = resolve(case.plan)
    scene = drawn_scene(cage, case.plan)
    return AlternativeCage(name=case.name, scene=scene, changed=members_changed(job.cage, cage))
