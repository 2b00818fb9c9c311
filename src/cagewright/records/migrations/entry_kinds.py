"""What sorts of lines the table of entries takes: a later version takes one more."""

from __future__ import annotations

import re
from collections.abc import Sequence

import sqlalchemy as sa
from alembic import op

from cagewright.records.guards import guard, unguard


def allow(kinds: Sequence[str]) -> None:
    """Let the table of entries take these kinds and no others; its rows, seals and guards stay as they are.

    SQLite cannot change a constraint: the table is made anew and filled from the old one.

    Args:
        kinds: as they are from this version on.
    """
    dialect = op.get_context().dialect.name
    for statement in unguard("entries", dialect):
        op.execute(statement)
    said = ", ".join(f"'{kind}'" for kind in kinds)
    if dialect == "postgresql":
        op.execute("ALTER TABLE entries DROP CONSTRAINT entries_kind")
        op.execute(f"ALTER TABLE entries ADD CONSTRAINT entries_kind CHECK (kind IN ({said}))")
    else:
        _made_anew(said)
    for statement in guard("entries", dialect):
        op.execute(statement)


def _made_anew(said: str) -> None:
    bound = op.get_bind()
    made = str(bound.scalar(sa.text("SELECT sql FROM sqlite_master WHERE type='table' AND name='entries'")))
    # a line that corrects another refers to this table: to the new one, also under the name that it gets
    made = re.sub(r'REFERENCES "?entries"?(?=\W)', "REFERENCES entries_anew", made)
    head, _, rest = made.partition("CONSTRAINT entries_kind CHECK (kind IN (")
    after = rest.partition("))")[2]
    body = head.partition("(")[2]
    last = bound.scalar(sa.text("SELECT seq FROM sqlite_sequence WHERE name='entries'"))
    op.execute(f"CREATE TABLE entries_anew ({body}CONSTRAINT entries_kind CHECK (kind IN ({said})){after}")
    op.execute("INSERT INTO entries_anew SELECT * FROM entries")
    op.execute("DROP TABLE entries")
    op.execute("ALTER TABLE entries_anew RENAME TO entries")
    op.create_index("ix_entries_job_uid", "entries", ["job_uid"])
    if last is not None:  # a number that a line has had is never given again
        op.execute(f"UPDATE sqlite_sequence SET seq = {int(last)} WHERE name = 'entries'")
