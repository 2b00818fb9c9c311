"""The statements that make a table append-only inside the database, whoever writes to it."""

from __future__ import annotations

FUNCTION = (
    "CREATE OR REPLACE FUNCTION cagewright_append_only() RETURNS trigger AS $$ BEGIN"
    " RAISE EXCEPTION 'the record is append-only'; END $$ LANGUAGE plpgsql"
)


def guard(table: str, dialect: str) -> tuple[str, ...]:
    """The statements that refuse any change or deletion of rows, for ``sqlite`` or ``postgresql``."""
    if dialect == "postgresql":
        return (
            FUNCTION,
            f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE OR TRUNCATE ON {table}"
            " FOR EACH STATEMENT EXECUTE FUNCTION cagewright_append_only()",
        )
    return tuple(
        f"CREATE TRIGGER {table}_no_{verb} BEFORE {verb.upper()} ON {table}"
        " BEGIN SELECT RAISE(ABORT, 'the record is append-only'); END"
        for verb in ("update", "delete")
    )


def unguard(table: str, dialect: str) -> tuple[str, ...]:
    """The statements that lift the guard, for a migration and nothing else."""
    if dialect == "postgresql":
        return (f"DROP TRIGGER {table}_only_grows ON {table}",)
    return tuple(f"DROP TRIGGER {table}_no_{verb}" for verb in ("update", "delete"))
