"""The database handle, and the one way to write to it."""

import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from flask import Flask
from flask_sqlalchemy import SQLAlchemy
from sqlalchemy import Connection, MetaData, event
from sqlalchemy.dialects import postgresql, sqlite
from sqlalchemy.orm import DeclarativeBase, Session

BUSY_SECONDS = 30  # how long a SQLite writer waits for another


class Model(DeclarativeBase):
    """Base of all tables. Constraints get names, so that migrations can speak of them on any database."""

    metadata = MetaData(
        naming_convention={
            "ix": "ix_%(table_name)s_%(column_0_N_name)s",
            "uq": "uq_%(table_name)s_%(column_0_N_name)s",
            "ck": "ck_%(table_name)s_%(constraint_name)s",
            "fk": "fk_%(table_name)s_%(column_0_N_name)s",
            "pk": "pk_%(table_name)s",
        }
    )


db = SQLAlchemy(model_class=Model)


def connect(app: Flask, url: str) -> None:
    """Give ``app`` its database."""
    options: dict = {"pool_size": 10, "max_overflow": 30}
    if url.startswith("sqlite"):
        options["connect_args"] = {"timeout": BUSY_SECONDS}
    else:
        options["pool_pre_ping"] = True  # a server may have ended the connection meanwhile
    app.config.update(SQLALCHEMY_DATABASE_URI=url, SQLALCHEMY_ENGINE_OPTIONS=options)
    db.init_app(app)
    with app.app_context():
        if db.engine.dialect.name == "sqlite":
            event.listen(db.engine, "connect", _set_up_sqlite)
            event.listen(db.engine, "begin", _begin_sqlite)


@contextmanager
def writing(*, durable: bool = True) -> Iterator[Session]:
    """A transaction that writes: commits at the end, rolls back on any error.

    ``durable`` False: it need not be on the disk when it ends, and may be lost when the machine loses its power, never
    when the server ends. For what is simply done again.

    On SQLite it takes the write lock at once. A transaction that read first and then writes could find
    that another has written in between, and would have to fail.
    """
    db.session.rollback()  # whatever was only read so far
    connection = db.session.connection(execution_options={"writing": True, "durable": durable})
    if not durable and connection.dialect.name == "postgresql":
        connection.exec_driver_sql("SET LOCAL synchronous_commit = off")
    db.session.info[_AFTERWARDS] = afterwards = []
    try:
        yield db.session
        db.session.commit()
    except BaseException:
        db.session.rollback()
        raise
    for act in afterwards:
        act()


_AFTERWARDS = "when committed"


def when_committed(session: Session, act: Callable[[], None]) -> None:
    """Let ``act`` be done once the transaction of ``writing`` has ended well: what no rollback could undo."""
    session.info[_AFTERWARDS].append(act)


def add_if_missing(session: Session, *rows: Model) -> None:
    """Insert each row, all of one table, unless one with its key is there; also when another transaction inserts it."""
    insert = {"sqlite": sqlite.insert, "postgresql": postgresql.insert}[session.get_bind().dialect.name]
    table = type(rows[0]).__table__
    values = [{column.name: getattr(row, column.name) for column in table.columns} for row in rows]
    session.execute(insert(table).on_conflict_do_nothing(), values)


def _set_up_sqlite(connection: sqlite3.Connection, _record: object) -> None:
    connection.isolation_level = None  # the driver shall not begin transactions by itself
    for pragma in ("journal_mode = WAL", "foreign_keys = ON", "synchronous = FULL"):
        connection.execute("PRAGMA " + pragma)


def _begin_sqlite(connection: Connection) -> None:
    options = connection.get_execution_options()
    if options.get("writing"):
        connection.exec_driver_sql(f"PRAGMA synchronous = {'FULL' if options['durable'] else 'NORMAL'}")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if options.get("writing") else "BEGIN")
