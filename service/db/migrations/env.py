"""What Alembic runs: migrations on the connection it is handed."""

from alembic import context

from service.db.tables import metadata

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=metadata,
    # SQLite alters a table by making it anew.
    render_as_batch=True,
    compare_type=True,
)
with context.begin_transaction():
    context.run_migrations()
