"""A plan's own file and the files it includes, each read once."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath

from cagewright.base.problems import Problem, printable
from cagewright.plan.source import where_at
from cagewright.plan.text import (
    MOST_BYTES,
    MOST_VALUES,
    Seq,
    Source,
    decoded,
    failed,
    parse,
    read_bytes,
    say,
)

MOST_FILES = 50
"""Most files of one plan."""


def load(path: Path, *, file: str, most: int = MOST_VALUES) -> Source:
    """The file as a tree; a source with its problems where it cannot be read."""
    raw = read_bytes(path, file=file)
    text = raw if isinstance(raw, Problem) else decoded(raw, file=file)
    return failed([text], file=file) if isinstance(text, Problem) else parse(text, file=file, most=most)


@dataclass(slots=True)
class _Gathering:
    """What has been read so far; ``read`` by path below the plan's own ``folder``, ``order`` as merged."""

    folder: Path | None
    read: dict[PurePosixPath, Source]
    order: list[Source]
    problems: list[Problem]
    whole: bool = True

    def refuse(self, source: Source, item: int, code: str, found: str, wanted: str) -> None:
        where = where_at(source, ("include", item))
        self.problems.append(Problem(code=code, where=where, found=found, wanted=wanted))
        self.whole = False

    def full(self) -> bool:
        held = self.read.values()
        return len(held) >= MOST_FILES or sum(len(s.text) for s in held) > MOST_BYTES


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The files of a plan.

    Attributes:
        sources: every file that could be read, an included one before the file that names it.
        problems: what kept the others from being read.
        whole: False where a file is missing from ``sources``.
    """

    sources: tuple[Source, ...]
    problems: tuple[Problem, ...]
    whole: bool


def gather(main: Source, folder: Path | None) -> Gathered:
    """The plan's own file and all it includes.

    Without a folder includes are a problem.
    """
    state = _Gathering(folder=folder, read={}, order=[], problems=[])
    _include(main, (PurePosixPath(PurePosixPath(main.file).name),), state)
    return Gathered(sources=(*state.order, main), problems=tuple(state.problems), whole=state.whole)


def _include(source: Source, chain: tuple[PurePosixPath, ...], state: _Gathering) -> None:
    for item, name in _named(source):
        inside = _inside(chain[-1].parent, name)
        if inside is None:
            found = f"{say(name)} is outside the plan's own folder"
            state.refuse(
                source, item, "outside", found, "wanted a path such as body/shell.yaml below the plan"
            )
        elif inside in chain:
            loop = " -> ".join(printable(str(f)) for f in (*chain[chain.index(inside) :], inside))
            state.refuse(source, item, "include-loop", f"files include each other: {loop}", "wanted no loop")
        elif inside not in state.read:
            _read(source, item, (*chain, inside), state)


def _read(source: Source, item: int, chain: tuple[PurePosixPath, ...], state: _Gathering) -> None:
    inside, folder = chain[-1], state.folder
    if folder is None:
        found = f"there is no folder to find {printable(str(inside))} in"
        state.refuse(source, item, "no-file", found, "wanted a plan that stands in a file")
    elif state.full():
        wanted = f"wanted at most {MOST_FILES} files and {MOST_BYTES // 1000} kB together"
        state.refuse(source, item, "too-big", "more is included than one plan can hold", wanted)
    elif not _stays(folder / inside, folder):
        found = f"{printable(str(inside))} leads out of the plan's own folder"
        state.refuse(source, item, "outside", found, "wanted a file in that folder")
    else:
        left = MOST_VALUES - sum(s.values for s in state.read.values())
        found_file = load(folder / inside, file=(folder / inside).as_posix(), most=left)
        _take(found_file, source, item, chain, state)


def _take(
    found: Source, source: Source, item: int, chain: tuple[PurePosixPath, ...], state: _Gathering
) -> None:
    state.problems.extend(_at_include(p, source, item) for p in found.problems)
    state.read[chain[-1]] = found
    if not found.readable:
        state.whole = False
        return
    _include(found, chain, state)
    state.order.append(found)


def _at_include(problem: Problem, source: Source, item: int) -> Problem:
    """A file that is not there is the mistake of the line that names it."""
    if problem.code != "no-file":
        return problem
    return replace(problem, where=where_at(source, ("include", item)))


def _named(source: Source) -> Iterator[tuple[int, str]]:
    names = source.data.get("include")
    if isinstance(names, Seq):
        yield from ((i, name) for i, name in enumerate(names) if isinstance(name, str))


def _inside(beside: PurePosixPath, name: str) -> PurePosixPath | None:
    """The name as a path from the plan's own folder, or None where it leads out of it."""
    if not name.strip() or name.startswith("/") or set(name) & set("\\:\0"):
        return None
    parts: list[str] = []
    for part in (beside / name).parts:
        if part == ".." and not parts:
            return None
        if part == "..":
            parts.pop()
        else:
            parts.append(part)
    return PurePosixPath(*parts) if parts else None


def _stays(path: Path, folder: Path) -> bool:
    try:
        return path.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError, RuntimeError):
        return False
