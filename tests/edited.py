"""Edits made on the sample plans, for the tests of the edits."""

from __future__ import annotations

import difflib
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from cagewright.base.problems import ProblemsFound
from cagewright.change import edit as changes
from cagewright.job.opening import Job, job_of
from cagewright.plan.write import Document, document, load_document

EXAMPLES = Path(__file__).parents[1] / "examples"
MM = EXAMPLES / "brackwater.yaml"
INCH = EXAMPLES / "brackwater-inch.yaml"
ROLL_BAR = EXAMPLES / "roll-bar.yaml"


@dataclass(frozen=True)
class Edited:
    """The text after an edit, and what was done in words."""

    document: Document
    words: str


def apply(before: Document, plan, cage, asked: dict) -> Edited:
    """The text after the edit."""
    document, words = changes.edit(before, plan, cage, asked)
    return Edited(document=document, words=words)


@cache
def opened(path: Path = MM) -> tuple[Document, Job]:
    """The sample plan's text and what it makes."""
    text = load_document(path)
    return text, job_of(text.source, path)


def edit(asked: dict, path: Path = MM) -> Edited:
    """The sample plan's text after the edit."""
    text, job = opened(path)
    return apply(text, job.plan, job.cage, asked)


def made(edited: Edited, path: Path = MM) -> Job:
    """What the text after the edit makes, in the sample's place."""
    return job_of(edited.document.source, path)


def changed_lines(asked: dict, path: Path = MM) -> list[str]:
    """The lines that go (``-``) and come (``+``), stripped, in order."""
    text, _ = opened(path)
    after = edit(asked, path).document.text
    lines = difflib.unified_diff(text.text.splitlines(), after.splitlines(), lineterm="", n=0)
    return [f"{line[0]} {line[1:].strip()}" for line in lines if line[:3] not in ("---", "+++", "@@ ")]


def refusal(asked: dict, path: Path = MM) -> ProblemsFound:
    """What the edit, or the plan after it, is refused for."""
    try:
        made(edit(asked, path), path)
    except ProblemsFound as found:
        return found
    raise AssertionError(f"{asked} is not refused")


def in_text(text: str, asked: dict, *, buildable: bool = True) -> Edited:
    """A text after the edit; where it cannot be built, as the server has it: with neither plan nor cage."""
    before = document(text, file="plan.yaml")
    job = job_of(before.source, Path("plan.yaml")) if buildable else None
    return apply(before, job and job.plan, job and job.cage, asked)
