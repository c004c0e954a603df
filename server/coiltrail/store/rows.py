"""All rows of a database as files, one table a file and one row a line of JSON, and back.

The shape is read from the database itself, so that a backup of an older release can be read back by a newer one. What
is derived from the log is left out.
"""

import json
from collections.abc import Iterator
from pathlib import Path

from sqlalchemy import Connection, MetaData, Table, insert, inspect, select, text

REVISION_TABLE = "alembic_version"
DERIVED = ("case_summary", "case_part")  # made anew from the log
_FTS5 = "case_words"  # SQLite's index of the words, and what its tables' names begin with
ROWS_AT_ONCE = 500


def revision(connection: Connection) -> str | None:
    """The step of the migrations that the database stands at; None where it has no tables yet."""
    if not inspect(connection).has_table(REVISION_TABLE):
        return None
    return connection.execute(text(f"SELECT version_num FROM {REVISION_TABLE}")).scalar()


def write(connection: Connection, folder: Path) -> dict[str, int]:
    """Write every table to ``folder`` as ``<table>.jsonl``. Gives the number of rows by table."""
    return {table.name: _write_table(connection, table, folder) for table in _tables(connection)}


def read(connection: Connection, folder: Path) -> None:
    """Insert what ``write`` wrote into the empty tables of a database at the same revision."""
    for table in _tables(connection):
        some = []
        for row in _lines(folder / f"{table.name}.jsonl"):
            some.append(row)
            if len(some) == ROWS_AT_ONCE:
                connection.execute(insert(table), some)
                some = []
        if some:
            connection.execute(insert(table), some)


def drop_all(connection: Connection) -> None:
    """Take every table away."""
    if connection.dialect.name == "sqlite":
        connection.execute(text(f"DROP TABLE IF EXISTS {_FTS5}"))
    every = MetaData()
    every.reflect(connection)
    every.drop_all(connection)


def _tables(connection: Connection) -> list[Table]:
    """Those that others refer to come first."""
    every = MetaData()
    every.reflect(
        connection, only=lambda name, _: name not in (REVISION_TABLE, *DERIVED) and not name.startswith(_FTS5)
    )
    return every.sorted_tables


def _write_table(connection: Connection, table: Table, folder: Path) -> int:
    count = 0
    in_order = select(table).order_by(*table.primary_key.columns)
    with (folder / f"{table.name}.jsonl").open("w", encoding="ascii") as file:
        for row in connection.execution_options(yield_per=ROWS_AT_ONCE).execute(in_order).mappings():
            file.write(json.dumps(dict(row)) + "\n")
            count += 1
    return count


def _lines(path: Path) -> Iterator[dict]:
    with path.open(encoding="ascii") as file:
        for line in file:
            yield json.loads(line)
