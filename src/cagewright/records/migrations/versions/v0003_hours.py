"""Hours that were worked."""

from cagewright.records.migrations.entry_kinds import allow

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Let the history hold hours."""
    allow(("reading", "photo", "tick", "sign-off", "note", "hours"))


def downgrade() -> None:
    """Never.

    Raises:
        NotImplementedError: a record is never taken back to an older version.
    """
    raise NotImplementedError("restore the copy that was made before the record was brought up to date")
