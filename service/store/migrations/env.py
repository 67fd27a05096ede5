"""Runs the migrations on the connection, and in the transaction, that `migrate` hands over."""

from alembic import context

from service.store.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    transactional_ddl=True,  # SQLite can, once BEGIN is issued by us
    render_as_batch=True,
)
with context.begin_transaction():
    context.run_migrations()
