"""Steps from one shape of the database to the next (Alembic, through Flask-Migrate)."""

from pathlib import Path

from alembic.script import ScriptDirectory
from alembic.util import CommandError
from flask import Flask, current_app
from flask_migrate import Migrate, upgrade

from .. import derived
from ..database import db


def register(app: Flask) -> None:
    """Let ``flask db`` commands find the steps: ``flask --app coiltrail.app db revision --autogenerate``."""
    Migrate(app, db, directory=Path(__file__).parent)


def apply(app: Flask) -> None:
    """Bring the database of ``app`` to the newest shape, and what is derived from the log up to today's rule."""
    with app.app_context():
        upgrade()
        derived.reindex(only_old=True)


def knows(revision: str) -> bool:
    """Whether this release has the step ``revision``."""
    steps = ScriptDirectory.from_config(current_app.extensions["migrate"].migrate.get_config())
    try:
        return steps.get_revision(revision) is not None
    except CommandError:
        return False


def newest() -> str | None:
    """The last step of this release."""
    return ScriptDirectory.from_config(current_app.extensions["migrate"].migrate.get_config()).get_current_head()
