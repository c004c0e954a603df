"""What was set aside joins the count of the log, and every number carries a hash of the log up to it."""

import hashlib
import json
import re

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None

UUID = re.compile("[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}")


def upgrade() -> None:
    op.add_column("entry", sa.Column("chain", sa.String(length=32), nullable=True))
    with op.batch_alter_table("set_aside") as table:
        table.add_column(sa.Column("entry_id", sa.String(length=36), nullable=True))
        table.add_column(sa.Column("number", sa.BigInteger(), nullable=True))
        table.add_column(sa.Column("chain", sa.String(length=32), nullable=True))
        table.add_column(sa.Column("settled_ms", sa.BigInteger(), nullable=True))
        table.create_unique_constraint(op.f("uq_set_aside_shop_id_number"), ["shop_id", "number"])
    op.create_index(op.f("ix_set_aside_shop_id_entry_id"), "set_aside", ["shop_id", "entry_id"])
    _fill()
    with op.batch_alter_table("entry") as table:
        table.alter_column("chain", nullable=False)


def downgrade() -> None:
    op.drop_index(op.f("ix_set_aside_shop_id_entry_id"), "set_aside")
    with op.batch_alter_table("set_aside") as table:
        table.drop_constraint(op.f("uq_set_aside_shop_id_number"), type_="unique")
        for column in ("settled_ms", "chain", "number", "entry_id"):
            table.drop_column(column)
    with op.batch_alter_table("entry") as table:
        table.drop_column("chain")


def _fill() -> None:
    """Chain what the log holds, then number what was set aside, oldest first."""
    connection = op.get_bind()
    for shop_id, next_number in connection.execute(sa.text("SELECT id, next_number FROM shop")).all():
        shop = {"shop": shop_id}
        chain = ""
        entries = "SELECT number, content FROM entry WHERE shop_id = :shop ORDER BY number"
        for number, content in connection.execute(sa.text(entries), shop).all():
            chain = _link(chain, content)
            connection.execute(
                sa.text("UPDATE entry SET chain = :chain WHERE shop_id = :shop AND number = :number"),
                shop | {"chain": chain, "number": number},
            )
        aside = "SELECT id, content FROM set_aside WHERE shop_id = :shop ORDER BY received_ms, id"
        for row_id, content in connection.execute(sa.text(aside), shop).all():
            entry = json.loads(content)
            if not _is_named(entry):
                continue
            chain = _link(chain, content)
            connection.execute(
                sa.text("UPDATE set_aside SET entry_id = :entry, number = :number, chain = :chain WHERE id = :id"),
                {"entry": entry["id"], "number": next_number, "chain": chain, "id": row_id},
            )
            next_number += 1
        connection.execute(
            sa.text("UPDATE shop SET next_number = :next WHERE id = :shop"), shop | {"next": next_number}
        )


def _link(before: str, content: str) -> str:
    return hashlib.sha256((before + content).encode()).hexdigest()[:32]


def _is_named(entry: object) -> bool:
    """Whether it is an entry by its envelope, so that a phone can keep it."""
    return (
        isinstance(entry, dict)
        and all(isinstance(entry.get(name), str) and UUID.fullmatch(entry[name]) for name in ("id", "case", "device"))
        and all(isinstance(entry.get(name), str) for name in ("kind", "by"))
        and isinstance(entry.get("body"), dict)
        and isinstance(entry.get("n"), int)
        and isinstance(entry.get("at"), list)
        and [type(part) for part in entry["at"]] == [int, int]
        and (entry.get("when") is None or _is_time(entry["when"]))
    )


def _is_time(when: object) -> bool:
    return (
        isinstance(when, dict)
        and len(when) == 1
        and any(isinstance(when.get(name), int) for name in ("ms", "before_arrival"))
    )
