"""Steps from one shape of the database to the next (Alembic, through Flask-Migrate)."""

from pathlib import Path

from flask import Flask
from flask_migrate import Migrate, upgrade

from ..database import db


def register(app: Flask) -> None:
    """Let ``flask db`` commands find the steps: ``flask --app coiltrail.app db revision --autogenerate``."""
    Migrate(app, db, directory=Path(__file__).parent)


def apply(app: Flask) -> None:
    """Bring the database of ``app`` to the newest shape."""
    with app.app_context():
        upgrade()
