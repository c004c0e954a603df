"""The migrations give exactly the tables that the models describe."""

import json

from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from flask_migrate import downgrade, upgrade
from sqlalchemy import inspect, text

from coiltrail.store import chain, log
from coiltrail.store.database import db, writing
from coiltrail.store.migrations import apply
from coiltrail.store.models import SetAside
from tests.phone import Phone

_SCHEMA = text("SELECT type, name, tbl_name FROM sqlite_master WHERE name NOT LIKE 'alembic%' ORDER BY name")
_INDEX_OF_WORDS = text("SELECT sql FROM sqlite_master WHERE sql LIKE '%case_words%' ORDER BY name")


def not_the_index(name, kind, _):
    """SQLite's index of words is no table that SQLAlchemy knows; its statements are compared below."""
    return kind != "table" or not name.startswith("case_words")


def test_migrated_database_is_what_the_models_describe(empty_app):
    with empty_app.app_context(), db.engine.connect() as connection:
        context = MigrationContext.configure(
            connection, opts={"compare_type": True, "compare_server_default": True, "include_name": not_the_index}
        )
        assert compare_metadata(context, db.metadata) == []


def test_constraints_and_indexes_are_the_models_too(empty_app):
    """Autogeneration overlooks check constraints and some unique ones, so names are compared as well."""
    with empty_app.app_context():
        with db.engine.connect() as connection:
            migrated = connection.execute(_SCHEMA).all()
            index = connection.execute(_INDEX_OF_WORDS).all()
            names = _constraints(connection)
        db.drop_all()
        db.create_all()
        with db.engine.connect() as connection:
            assert connection.execute(_SCHEMA).all() == migrated
            assert connection.execute(_INDEX_OF_WORDS).all() == index
            assert len(index) > 4
            assert _constraints(connection) == names
        assert "ck_person_role" in names


def test_applying_twice_changes_nothing(empty_app):
    apply(empty_app)
    with empty_app.app_context():
        assert "entry" in inspect(db.engine).get_table_names()


def test_a_log_from_before_the_chain_gets_one(empty_app):
    """What was taken in by the first release counts as if it had been taken in today."""
    phone = Phone(None)
    entries = [phone.entry() for _ in range(3)]
    shown, hidden = phone.entry(body={"text": ""}), {"id": 5}
    with empty_app.app_context():
        downgrade(revision="0001")
        with db.engine.begin() as connection:
            connection.execute(text("INSERT INTO shop VALUES ('shop', 'Shop', '', 'epoch', 4)"))
            for number, entry in enumerate(entries, 1):
                connection.execute(
                    text("INSERT INTO entry VALUES ('shop', :number, :id, :case, :kind, :device, :n, 0, 0, :content)"),
                    entry | {"number": number, "content": written(entry)},
                )
            for row, entry in enumerate((shown, hidden)):
                connection.execute(
                    text("INSERT INTO set_aside VALUES (:row, 'shop', NULL, :content, :row, 'text', 'why', :row)"),
                    {"row": str(row), "content": written(entry)},
                )
        upgrade()
        with writing() as session:
            shop = log.lock(session, "shop")
            links = [""]
            for entry in (*entries, shown):
                links.append(chain.link(links[-1], written(entry)))
            assert chain.head_of(session, shop) == (4, links[-1])
            assert not any(chain.contradicts(session, shop, head) for head in enumerate(links))
        page = log.page_after("shop", 0, 10**6, set())
        assert page.entries == entries
        assert page.set_aside == [{"id": shown["id"], "field": "text", "message": "why", "entry": shown}]
        assert {row.entry_id for row in db.session.query(SetAside)} == {shown["id"], None}


def written(entry):
    return json.dumps(entry, separators=(",", ":"))


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
