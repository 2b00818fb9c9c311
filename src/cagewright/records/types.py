"""What the record holds, as it is handed out: plain frozen rows, apart from any database."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

EntryKind = Literal["reading", "photo", "tick", "sign-off", "note", "hours", "inspection"]
TickKind = Literal["tack", "check", "weld", "pull", "cut", "close", "paint"]
ReadingSort = Literal["tape", "level", "lean", "place"]
Axis = Literal["", "back", "across", "up"]
PieceKind = Literal["stock", "offcut"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopJob:
    """One job of the shop.

    Attributes:
        uid: its name among all records everywhere, 32 hexadecimal digits.
        name: short, as used in the shop; no other job of this record has it.
        customer: as the shop calls him; may be empty.
        reference: the customer's own reference; may be empty.
        title: of the work; may be empty.
        units: what a bare number on this job's tape means, ``mm`` or ``in``.
        by: who entered it.
        entered: when, UTC in ISO 8601.
    """

    uid: str
    name: str
    customer: str
    reference: str
    title: str
    units: Literal["mm", "in"]
    by: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanText:
    """A text file that a plan is made of: its path from the plan's folder, and its text."""

    path: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanRevision:
    """A plan as it stood.

    Attributes:
        uid: its name among all records.
        job_uid: the job's.
        mark: the revision mark printed on the papers.
        file: name of the plan file.
        text: the plan, as written.
        others: the files it includes and its shop file.
        note: why it was changed; may be empty.
        by: who entered it.
        entered: when, UTC in ISO 8601.
    """

    uid: str
    job_uid: str
    mark: str
    file: str
    text: str
    others: tuple[PlanText, ...]
    note: str
    by: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordEntry:
    """One line of a job's history.

    Attributes:
        id: its number in this record.
        uid: its name among all records.
        job_uid: the job's.
        revision_uid: the plan revision that was on the bench; None where there was none.
        corrects_uid: the older entry that this one stands for now; None where it corrects nothing.
        kind: what sort of line it is.
        step: of the build order; may be empty.
        subject: a reading's first mark, what is ticked, what a photo shows, what is signed for or worked at,
            the row of a rule book that was read on a finished car.
        other: a reading's second mark, a photo's SHA-256, the signer's standing, the rule book; may be empty.
        text: as entered: the reading, the photo's reference, what was done, the hours, or the digest that
            was signed.
        unit: as entered with a reading; may be empty.
        sort: of a reading: a tape between two marks, a level (how much the second is above the first), a
            lean off the plumb from the first up to the second, or the place of one mark; else empty.
        axis: of a lean or a place: back, across or up; else empty.
        value: the reading in mm or rad, the time worked in h; None where it is no quantity.
        used: whether it counts; a reading with something wrong is kept and not used.
        why: what is wrong with it, or why it was corrected.
        note: the builder's.
        by: who took it.
        taken: when it was taken, as stated, else when it was entered.
        entered: when it was entered, UTC in ISO 8601.
    """

    id: int
    uid: str
    job_uid: str
    revision_uid: str | None
    corrects_uid: str | None
    kind: EntryKind
    step: str
    subject: str
    other: str
    text: str
    unit: str
    sort: Literal["", "tape", "level", "lean", "place"]
    axis: Axis
    value: float | None
    used: bool
    why: str
    note: str
    by: str
    taken: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobHistory:
    """All that is recorded of a job, in the order it was entered.

    Attributes:
        job: whose.
        revisions: plans as they stood.
        entries: every line, also those corrected since.
        current: the lines that stand: not corrected by a later one.
    """

    job: ShopJob
    revisions: tuple[PlanRevision, ...]
    entries: tuple[RecordEntry, ...]
    current: tuple[RecordEntry, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A reading that was kept.

    Attributes:
        entry: as kept.
        wrong: what is wrong with it, in words; empty where it is used.
    """

    entry: RecordEntry
    wrong: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPiece:
    """Tube to be had or taken: bought lengths by size, or one named piece left over.

    Attributes:
        kind: bought, or left over from earlier work.
        name: on an offcut; empty for bought lengths.
        od: mm.
        wall: mm.
        steel: the steel's name.
        length: mm.
        count: how many.
    """

    kind: PieceKind
    name: str = ""
    od: float
    wall: float
    steel: str
    length: float
    count: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class StockMove:
    """One line of the stock's ledger: pieces that came (count above 0) or went (below 0).

    Attributes:
        uid: its name among all records.
        job_uid: the job that they went to or came from; None for a delivery.
        piece: what; its count is signed.
        why: in words.
        by: who.
        entered: when, UTC in ISO 8601.
    """

    uid: str
    job_uid: str | None
    piece: StockPiece
    why: str
    by: str
    entered: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Health:
    """What a check of a record found.

    Attributes:
        record: its file or address.
        version: of its tables.
        rows: how many rows each table has.
        faults: what is wrong, in words; empty where it is sound.
    """

    record: str
    version: str
    rows: dict[str, int]
    faults: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescued:
    """Rows that could be read from a damaged record.

    Attributes:
        rows: by table, each row by column.
        sealed: by table, how many of them carry a seal that fits.
        lost: by table, how many rows are known to have been there and could not be read.
    """

    rows: dict[str, tuple[dict[str, object], ...]]
    sealed: dict[str, int]
    lost: dict[str, int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Brought:
    """What an import brought in.

    Attributes:
        job: whose.
        added: rows that are new here, by table.
        known: rows that were here before, by table.
        papers: names of the papers in the file.
    """

    job: ShopJob
    added: dict[str, int]
    known: dict[str, int]
    papers: tuple[str, ...]
