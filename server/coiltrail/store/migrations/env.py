"""How Alembic reaches the application's database. Alembic runs this file for each of its commands."""

from alembic import context
from flask import current_app

from coiltrail.store import models  # noqa: F401  the tables must be known
from coiltrail.store.database import db

if context.is_offline_mode():
    raise SystemExit("Migrations run against the database itself; leave out --sql.")

with db.engine.connect() as connection:
    context.configure(
        connection=connection, target_metadata=db.metadata, **current_app.extensions["migrate"].configure_args
    )
    with context.begin_transaction():
        context.run_migrations()
