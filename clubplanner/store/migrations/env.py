"""What Alembic runs: the caller's connection, in the caller's transaction."""

from __future__ import annotations

from alembic import context

from clubplanner.store.tables.base import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    render_as_batch=True,
    transactional_ddl=True,
)
with context.begin_transaction():
    context.run_migrations()
