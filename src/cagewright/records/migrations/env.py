"""Run by alembic: the migrations on the connection that the record was opened with, in its transaction."""

from alembic import context

context.configure(
    connection=context.config.attributes["connection"],
    transactional_ddl=True,
    transaction_per_migration=False,
)
with context.begin_transaction():
    context.run_migrations()
