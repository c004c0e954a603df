"""The migrations give exactly the tables that the models describe."""

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from flask_migrate import downgrade
from sqlalchemy import inspect, text

from coiltrail.store.database import db
from coiltrail.store.migrations import apply

_SCHEMA = text("SELECT type, name, tbl_name FROM sqlite_master WHERE name NOT LIKE 'alembic%' ORDER BY name")


def test_migrated_database_is_what_the_models_describe(empty_app):
    with empty_app.app_context(), db.engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True, "compare_server_default": True})
        assert compare_metadata(context, db.metadata) == []


def test_constraints_and_indexes_are_the_models_too(empty_app):
    """Autogeneration overlooks check constraints and some unique ones, so names are compared as well."""
    with empty_app.app_context():
        with db.engine.connect() as connection:
            migrated = connection.execute(_SCHEMA).all()
            names = _constraints(connection)
        db.drop_all()
        db.create_all()
        with db.engine.connect() as connection:
            assert connection.execute(_SCHEMA).all() == migrated
            assert _constraints(connection) == names
        assert "ck_person_role" in names


def test_applying_twice_changes_nothing(empty_app):
    apply(empty_app)
    with empty_app.app_context():
        assert "entry" in inspect(db.engine).get_table_names()


def test_stepping_back_leaves_nothing(empty_app):
    with empty_app.app_context():
        downgrade(revision="base")
        assert inspect(db.engine).get_table_names() == ["alembic_version"]


def _constraints(connection):
    found = inspect(connection)
    return {
        constraint["name"]
        for table in db.metadata.tables
        for constraint in (
            *found.get_check_constraints(table),
            *found.get_unique_constraints(table),
            *found.get_foreign_keys(table),
            found.get_pk_constraint(table),
        )
    }
