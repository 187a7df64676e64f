"""Runs the steps on the connection it is given, all in one transaction."""

from __future__ import annotations

from alembic import context

from webapp.models import Base

context.configure(
    connection=context.config.attributes["connection"],
    target_metadata=Base.metadata,
    transactional_ddl=True,  # SQLite can, if we say BEGIN ourselves: a step cut short leaves nothing behind
    render_as_batch=True,
    compare_server_default=True,
)
with context.begin_transaction():
    context.run_migrations()
