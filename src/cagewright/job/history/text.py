"""A plan's text as the workbench holds it: from and to the bytes of its file, and the files that it names."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from pathlib import Path

from cagewright.base.problems import Problem, Where
from cagewright.plan.text import Map, Seq, decoded, failed, parse, say
from cagewright.plan.write import Document


def document_of(data: bytes, *, file: str) -> Document:
    """The bytes of a plan file as a document, with its problems where it is none."""
    mark = "\ufeff" if data.startswith(b"\xef\xbb\xbf") else ""
    text = decoded(data, file=file)
    source = failed([text], file=file) if isinstance(text, Problem) else parse(text, file=file)
    return Document(source=source, newline="\r\n" if "\r\n" in source.text else "\n", mark=mark)


def bytes_of(document: Document) -> bytes:
    """What the plan file holds."""
    return (document.mark + document.text).encode("utf-8")


def strays_of(
    text: Document, home: Path, folder: Path, *, known: Collection[str] = ()
) -> tuple[Problem, ...]:
    """A problem for each file outside the shop folder that a plan's text names.

    The browser may have sent the text: it must not make the workbench read whatever this machine holds.

    Args:
        text: of the plan.
        home: the folder that the plan stands in.
        folder: the shop folder.
        known: names that the plan file had before, which a builder wrote there by hand.
    """
    wanted = f"wanted a file in the folder {folder.name}, or below it"
    return tuple(
        Problem(
            code="outside",
            where=Where(file=text.source.file),
            found=f"{say(name)} is outside the shop folder",
            wanted=wanted,
        )
        for name in named_in(text)
        if name not in known and not _inside(home, name, folder)
    )


def _inside(home: Path, name: str, folder: Path) -> bool:
    try:
        return (home / name).resolve().is_relative_to(folder)
    except (OSError, ValueError, RuntimeError):
        return False


def named_in(text: Document) -> Iterator[str]:
    """The files that the plan's own text names: shop, included files, scan."""
    data = text.source.data
    shell = data.get("shell")
    scan = shell.get("scan") if isinstance(shell, Map) else None
    included = data.get("include")
    names = [data.get("shop"), scan.get("file") if isinstance(scan, Map) else None]
    names += included if isinstance(included, Seq) else []
    yield from (name for name in names if isinstance(name, str))
