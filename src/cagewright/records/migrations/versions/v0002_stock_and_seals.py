"""The stock's ledger, and a seal on every row."""

import sqlalchemy as sa
from alembic import op

from cagewright.records.guards import guard, unguard
from cagewright.records.hashing import row_hash

revision = "0002"
down_revision = "0001"
_OLDER = ("jobs", "revisions", "entries")


def upgrade() -> None:
    """Make version 0002 of version 0001: nothing is lost, every row is sealed as it stands."""
    dialect = op.get_context().dialect.name
    _moves()
    for table in _OLDER:
        _each(unguard(table, dialect))
        op.add_column(table, sa.Column("seal", sa.String(64), nullable=False, server_default=""))
        _seal_all(table)
    for table in (*_OLDER, "moves"):
        _each(guard(table, dialect))


def _each(statements: tuple[str, ...]) -> None:
    for statement in statements:
        op.execute(statement)


def _seal_all(table: str) -> None:
    bound = op.get_bind()
    for row in bound.execute(sa.text(f"SELECT * FROM {table}")).mappings().all():
        bound.execute(
            sa.text(f"UPDATE {table} SET seal = :seal WHERE id = :id"),
            {"seal": row_hash({str(k): v for k, v in row.items()}), "id": row["id"]},
        )


def _text(name: str) -> sa.Column[str]:
    return sa.Column(name, sa.Text, nullable=False, server_default="")


def _moves() -> None:
    op.create_table(
        "moves",
        sa.Column("id", sa.Integer, primary_key=True),
        sa.Column("uid", sa.String(32), nullable=False, unique=True),
        sa.Column("job_uid", sa.String(32), sa.ForeignKey("jobs.uid")),
        *map(_text, ("kind", "name")),
        *(sa.Column(name, sa.Double, nullable=False) for name in ("od", "wall")),
        _text("steel"),
        sa.Column("length", sa.Double, nullable=False),
        sa.Column("count", sa.Integer, nullable=False),
        *map(_text, ("why", "by", "entered")),
        sa.Column("seal", sa.String(64), nullable=False, server_default=""),
        sa.CheckConstraint("kind IN ('stock', 'offcut')", name="moves_kind"),
        sqlite_autoincrement=True,
    )


def downgrade() -> None:
    """Never.

    Raises:
        NotImplementedError: a record is never taken back to an older version.
    """
    raise NotImplementedError("restore the copy that was made before the record was brought up to date")
