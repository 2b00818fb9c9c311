"""The alternatives files beside a plan: the plan's own, written here, and others that fit it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from cagewright.base.files import write_atomically
from cagewright.base.problems import Problem, ProblemsFound, Where
from cagewright.compare.cases import cases_of
from cagewright.plan.alternatives import Alternatives, read_alternatives, read_alternatives_text
from cagewright.plan.emit import entry
from cagewright.plan.types import Plan
from cagewright.plan.write import Document, document, load_document, remove, save, set_value

OWN = "own"
"""The id of the plan's own alternatives file."""
DEEPEST = 2
"""How many folders down other studies are looked for."""
MOST = 100
"""Most studies beside one plan."""
_STUDY = re.compile(rb"^cagewright_alternatives[ \t]*:", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """An alternatives file beside a plan.

    Attributes:
        id: ``own``, or made from its path below the plan's folder.
        path: of the file; the plan's own may not be there yet.
        read: what it says; None where it is not there or has problems.
        problems: of the file, or of its changes on this plan; empty where it fits.
        words: by alternative, what each of its changes does, where it fits.
    """

    id: str
    path: Path
    read: Alternatives | None
    problems: tuple[Problem, ...]
    words: Mapping[str, tuple[str, ...]] = field(default_factory=dict[str, tuple[str, ...]])

    @property
    def own(self) -> bool:
        """Whether it is the plan's own, which is written here."""
        return self.id == OWN


def own_path(plan: Path) -> Path:
    """Where the plan's own alternatives stand."""
    return plan.with_name(f"{plan.stem}.alternatives.yaml")


def paths_of(plan: Path) -> dict[str, Path]:
    """Every alternatives file beside the plan by id, its own first whether it is there or not."""
    mine = own_path(plan)
    found = {OWN: mine}
    for path in sorted(_yaml_below(plan.parent, DEEPEST)):
        if len(found) < MOST and path != mine and _STUDY.search(_head(path)):
            found[_id_of(path.relative_to(plan.parent))] = path
    return found


def _yaml_below(folder: Path, deep: int) -> list[Path]:
    inside = [p for p in folder.iterdir() if not p.name.startswith(".")]
    files = [p for p in inside if p.suffix in {".yaml", ".yml"} and p.is_file() and not p.is_symlink()]
    deeper = [p for p in inside if deep and p.is_dir() and not p.is_symlink()]
    return [*files, *(f for p in deeper for f in _yaml_below(p, deep - 1))]


def _head(path: Path) -> bytes:
    try:
        with path.open("rb") as stream:
            return stream.read(4096)
    except OSError:
        return b""


def _id_of(path: Path) -> str:
    return re.sub(r"[^a-z0-9]+", "-", path.with_suffix("").as_posix().lower()).strip("-") or "study"


def studies_of(plan: Plan, path: Path) -> tuple[Study, ...]:
    """Every alternatives file beside the plan, held to the plan."""
    return tuple(_study(plan, id, file) for id, file in paths_of(path).items())


def study_of(plan: Plan, path: Path, id: str) -> Study | None:
    """The alternatives file of that id, held to the plan; None where there is none."""
    file = paths_of(path).get(id)
    return None if file is None else _study(plan, id, file)


def _study(plan: Plan, id: str, file: Path) -> Study:
    if not file.is_file():
        return Study(id=id, path=file, read=None, problems=())
    try:
        read = read_alternatives(file)
    except ProblemsFound as found:
        return Study(id=id, path=file, read=None, problems=found.problems)
    try:
        words = {changed.case.name: changed.words for changed in cases_of(plan, read)}
    except ProblemsFound as found:
        return Study(id=id, path=file, read=read, problems=found.problems)
    return Study(id=id, path=file, read=read, problems=(), words=words)


# --- the plan's own file


def own_document(plan: Plan, path: Path) -> Document | None:
    """The plan's own alternatives as a document; None where it has none yet.

    Raises:
        ProblemsFound: the file is no YAML.
    """
    file = own_path(path)
    return load_document(file) if file.is_file() else None


def first_text(plan: Plan, alternative: dict[str, Any]) -> str:
    """The text of a new alternatives file that holds one alternative."""
    head = [
        f"# Alternatives to {plan.title.splitlines()[0] if plan.title else 'the plan'}, made on the page.",
        entry("cagewright_alternatives", 2, 0),
        entry("title", f"Alternatives to {plan.title}", 0),
        entry("units", plan.units, 0),
    ]
    return "\n".join([*head, entry("alternatives", [alternative], 0)]) + "\n"


def with_alternative(plan: Plan, path: Path, alternative: dict[str, Any]) -> Document:
    """The plan's own alternatives with one more, in the words of today; nothing is written yet.

    Raises:
        ProblemsFound: the file has problems, or says something that meant another thing in its version.
    """
    now = own_document(plan, path)
    file = own_path(path).name
    if now is None:
        return document(first_text(plan, alternative), file=file)
    read = read_alternatives_text(now.text, file=file)
    if read.cagewright_alternatives == 1:
        cases_of(plan, read)
        now = set_value(now, ("cagewright_alternatives",), 2)
    return set_value(now, ("alternatives", len(read.alternatives)), alternative)


def write(changed: Document, path: Path) -> Alternatives:
    """Write the plan's own alternatives; what they say.

    Raises:
        ProblemsFound: they would have problems, or the file cannot be written.
    """
    file = own_path(path)
    read = read_alternatives_text(changed.text, file=file.name)
    save(changed, file)
    return read


def without_alternative(plan: Plan, path: Path, name: str) -> Document | None:
    """The plan's own alternatives without that one; None where none is left.

    Raises:
        ProblemsFound: there is none of that name, or another stands on top of it.
    """
    now = own_document(plan, path)
    read = read_alternatives_text(now.text, file=own_path(path).name) if now else None
    number = _number(read, name)
    if now is None or read is None or number is None:
        raise ProblemsFound([_problem(path, f"there is no alternative '{name}'", "wanted one of the list")])
    over = [a.name for a in read.alternatives if a.on_top_of == name]
    if over:
        found = f"'{over[0]}' stands on top of '{name}'"
        raise ProblemsFound([_problem(path, found, f"wanted '{over[0]}' taken out first")])
    return None if len(read.alternatives) == 1 else remove(now, ("alternatives", number))


def renamed(plan: Plan, path: Path, name: str, to: str) -> Document:
    """The plan's own alternatives with that one called otherwise.

    Raises:
        ProblemsFound: there is none of that name.
    """
    now = own_document(plan, path)
    read = read_alternatives_text(now.text, file=own_path(path).name) if now else None
    number = _number(read, name)
    if now is None or read is None or number is None:
        raise ProblemsFound([_problem(path, f"there is no alternative '{name}'", "wanted one of the list")])
    for i, other in enumerate(read.alternatives):
        if other.on_top_of == name:
            now = set_value(now, ("alternatives", i, "on_top_of"), to)
    return set_value(now, ("alternatives", number, "name"), to)


def take_away(path: Path) -> None:
    """Put the plan's own alternatives file aside: its last alternative was taken out."""
    file = own_path(path)
    if file.is_file():
        write_atomically(file.with_suffix(".yaml.old"), file.read_bytes())
        file.unlink()


def _number(read: Alternatives | None, name: str) -> int | None:
    names = [a.name for a in read.alternatives] if read else []
    return names.index(name) if name in names else None


def _problem(path: Path, found: str, wanted: str) -> Problem:
    return Problem(
        code="unknown-alternative", where=Where(file=own_path(path).name), found=found, wanted=wanted
    )
