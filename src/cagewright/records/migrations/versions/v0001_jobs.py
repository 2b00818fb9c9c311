"""Jobs, plan revisions and their history."""

import sqlalchemy as sa
from alembic import op

from cagewright.records.guards import guard

revision = "0001"
down_revision = None


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def _started() -> tuple[sa.Column[int], sa.Column[str]]:
    return (
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("uid", sa.String(32), nullable=False, unique=True),
    )


def upgrade() -> None:
    """Make the tables of version 0001."""
    _jobs()
    _revisions()
    _entries()
    dialect = op.get_context().dialect.name
    for table in ("jobs", "revisions", "entries"):
        for statement in guard(table, dialect):
            op.execute(statement)


def _jobs() -> None:
    words = ("customer", "reference", "title", "units", "by", "entered")
    name = sa.Column("name", sa.Text, nullable=False, unique=True)
    op.create_table("jobs", *_started(), name, *map(_text, words), sqlite_autoincrement=True)


def _revisions() -> None:
    words = ("mark", "file", "text", "others", "note", "by", "entered")
    job = sa.Column("job_uid", sa.String(32), sa.ForeignKey("jobs.uid"), nullable=False)
    op.create_table("revisions", *_started(), job, *map(_text, words), sqlite_autoincrement=True)


def _entries() -> None:
    op.create_table(
        "entries",
        *_started(),
        sa.Column("job_uid", sa.String(32), sa.ForeignKey("jobs.uid"), nullable=False, index=True),
        sa.Column("revision_uid", sa.String(32), sa.ForeignKey("revisions.uid")),
        sa.Column("corrects_uid", sa.String(32), sa.ForeignKey("entries.uid"), unique=True),
        *map(_text, ("kind", "step", "subject", "other", "text", "unit", "sort", "axis")),
        sa.Column("value", sa.Double),
        sa.Column("used", sa.Boolean, nullable=False),
        *map(_text, ("why", "note", "by", "taken", "entered")),
        sa.CheckConstraint("kind IN ('reading', 'photo', 'tick', 'sign-off', 'note')", name="entries_kind"),
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    """Never.

    Raises:
        NotImplementedError: a record is never taken back to an older version.
    """
    raise NotImplementedError("restore the copy that was made before the record was brought up to date")
