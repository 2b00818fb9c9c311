"""Readings taken on a finished car for the rows of a rule book."""

from cagewright.records.migrations.entry_kinds import allow

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Let the history hold inspections."""
    allow(("reading", "photo", "tick", "sign-off", "note", "hours", "inspection"))


def downgrade() -> None:
    """Never.

    Raises:
        NotImplementedError: a record is never taken back to an older version.
    """
    raise NotImplementedError("restore the copy that was made before the record was brought up to date")
