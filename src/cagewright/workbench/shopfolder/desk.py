"""The desk: the plans of one shop folder, and those of them that are open."""

from __future__ import annotations

import re
import threading
from dataclasses import dataclass
from pathlib import Path

from cagewright.base.files import write_atomically
from cagewright.job.history.file import MOST_BYTES
from cagewright.job.history.log import EditsLog
from cagewright.job.history.open_plan import OpenPlan

INSIDE = ".cagewright"
"""The folder in the shop folder that the workbench keeps its own files in."""
DEEPEST = 3
"""How many folders down plans are looked for."""
MOST = 500
"""Most plans on one desk."""
_PLAN = re.compile(rb"^(?:\xef\xbb\xbf)?cagewright[ \t]*:", re.MULTILINE)
_SURVEY = re.compile(rb"^(?:\xef\xbb\xbf)?cagewright_survey[ \t]*:", re.MULTILINE)
_BODY = re.compile(rb"^(?:\xef\xbb\xbf)?cagewright_body[ \t]*:", re.MULTILINE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A plan of the folder.

    Attributes:
        id: its name in addresses.
        name: its path from the folder.
        title: its own title, or its name.
        changed: when its file was written last, seconds since 1970.
    """

    id: str
    name: str
    title: str
    changed: float


class Desk:
    """A shop folder and its open plans.

    Attributes:
        folder: the shop folder.
        first: the id of the plan that was asked for, None where the folder was.
        log: every revision of its plans and surveys.
    """

    def __init__(self, folder: Path, first: Path | None = None) -> None:
        """The desk of that folder.

        Args:
            folder: it must be there and be open to writing.
            first: the plan that was asked for; it is listed whatever it is called.

        Raises:
            ProblemsFound: the log of the folder cannot be opened.
        """
        self.folder = folder.resolve()
        self._lock = threading.RLock()
        self._paths: dict[str, Path] = {}
        self._opened: dict[str, OpenPlan] = {}
        self.log = EditsLog(self.folder / INSIDE / "edits.db")
        for left in (self.folder / INSIDE / "incoming").glob(
            "*"
        ):  # the log is this desk's alone, so they are too
            left.unlink(missing_ok=True)
        self.first = self._id_of(first.resolve()) if first else None

    def close(self) -> None:
        """Let go of the log."""
        self.log.close()

    def plans(self) -> list[Listed]:
        """The plans in the folder, by name."""
        found = {path: _head(path) for path in _files(self.folder)}
        plans = [path for path, head in found.items() if _PLAN.search(head)]
        return [self._listed(path, found[path]) for path in plans]

    def surveys(self) -> list[str]:
        """The surveys in the folder, by their paths from it."""
        return self._that_say(_SURVEY)

    def bodies(self) -> list[str]:
        """The bodies with a file of their own, by their paths from the folder."""
        return self._that_say(_BODY)

    def _that_say(self, key: re.Pattern[bytes]) -> list[str]:
        return [self._name(path) for path in _files(self.folder) if key.search(_head(path))]

    def opened(self, id: str) -> OpenPlan:
        """The open plan of that id, opened now if it is not yet.

        Raises:
            KeyError: there is no such plan.
            ProblemsFound: its file is gone.
        """
        with self._lock:
            if id not in self._paths:
                self.plans()
            path = self._paths[id]
            if id not in self._opened:
                name = self._name(path)
                self._opened[id] = OpenPlan(id=id, name=name, path=path, log=self.log, folder=self.folder)
            return self._opened[id]

    def open_ones(self) -> tuple[OpenPlan, ...]:
        """The plans that are open."""
        with self._lock:
            return tuple(self._opened.values())

    def add(self, name: str, data: bytes, folder: Path | None = None) -> str:
        """The id of a new plan with that text; a number is added to a name that is taken.

        Args:
            name: of the plan; only letters and figures of its last part are taken.
            data: its text.
            folder: where to, the shop folder or one in it.

        Raises:
            ProblemsFound: the file cannot be written.
        """
        with self._lock:
            path = free_name(folder or self.folder, slug(Path(name).stem), ".yaml")
            write_atomically(path, data)
            return self._id_of(path)

    def _listed(self, path: Path, head: bytes) -> Listed:
        found = re.search(rb"^title[ \t]*:[ \t]*(.+?)[ \t]*(?:\s#.*)?\r?$", head, re.MULTILINE)
        title = found[1].decode("utf-8", "replace").strip("'\"") if found else path.stem
        name = self._name(path)
        return Listed(id=self._id_of(path), name=name, title=title, changed=path.stat().st_mtime)

    def _name(self, path: Path) -> str:
        return path.relative_to(self.folder).as_posix()

    def _id_of(self, path: Path) -> str:
        with self._lock:
            known = {p: id for id, p in self._paths.items()}
            if path in known:
                return known[path]
            stem = slug(Path(self._name(path)).with_suffix("").as_posix())
            id, n = stem, 2
            while id in self._paths:
                id, n = f"{stem}-{n}", n + 1
            self._paths[id] = path
            return id


def slug(name: str) -> str:
    """The name in small letters, figures and hyphens, never empty."""
    return re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:60].strip("-") or "plan"


def free_name(folder: Path, stem: str, suffix: str) -> Path:
    """A file that is not there yet: the name, or the name with a number."""
    path, n = folder / f"{stem}{suffix}", 2
    while path.exists():
        path, n = folder / f"{stem}-{n}{suffix}", n + 1
    return path


def _files(folder: Path, deep: int = DEEPEST) -> list[Path]:
    """The YAML files of the folder and the folders in it, by name, hidden ones left out."""
    found: list[Path] = []
    try:
        inside = sorted(folder.iterdir())
    except OSError:
        return found
    for path in inside:
        if path.name.startswith(".") or path.is_symlink():
            continue
        if path.is_dir() and deep > 1:
            found.extend(_files(path, deep - 1))
        elif path.suffix.lower() in {".yaml", ".yml"} and path.is_file():
            found.append(path)
    return found[:MOST]


def _head(path: Path) -> bytes:
    """The first of the file; nothing where it cannot be read or is too large for a plan."""
    try:
        if path.stat().st_size > MOST_BYTES:
            return b""
        with path.open("rb") as stream:
            return stream.read(20_000)
    except OSError:
        return b""
