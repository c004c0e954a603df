"""What cases are found by, and the parts of the shelf: derived from the log, filled after this step."""

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.postgresql import TSVECTOR

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

FTS5 = (
    "CREATE VIRTUAL TABLE case_words USING fts5(words, content='case_summary', content_rowid='key', detail=none, "
    "columnsize=0, prefix='2 3', tokenize='unicode61 remove_diacritics 0')",
    "CREATE TRIGGER case_summary_added AFTER INSERT ON case_summary BEGIN "
    "INSERT INTO case_words(rowid, words) VALUES (new.key, new.words); END",
    "CREATE TRIGGER case_summary_gone AFTER DELETE ON case_summary BEGIN "
    "INSERT INTO case_words(case_words, rowid, words) VALUES ('delete', old.key, old.words); END",
    "CREATE TRIGGER case_summary_changed AFTER UPDATE OF words ON case_summary BEGIN "
    "INSERT INTO case_words(case_words, rowid, words) VALUES ('delete', old.key, old.words); "
    "INSERT INTO case_words(rowid, words) VALUES (new.key, new.words); END",
)


def upgrade() -> None:
    op.create_table(
        "case_summary",
        sa.Column("key", sa.Integer(), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("case_id", sa.String(length=36), nullable=False),
        sa.Column("rule", sa.Integer(), nullable=False),
        sa.Column("closed", sa.Boolean(), nullable=False),
        sa.Column("opened_ms", sa.BigInteger(), nullable=False),
        sa.Column("last_ms", sa.BigInteger(), nullable=False),
        sa.Column("vin", sa.String(length=40), nullable=True),
        sa.Column("plate", sa.String(length=40), nullable=True),
        sa.Column("calls_since", sa.BigInteger(), nullable=True),
        sa.Column("shown", sa.Text(), nullable=False),
        sa.Column("words", sa.Text().with_variant(TSVECTOR(), "postgresql"), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_case_summary_shop_id")),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_case_summary")),
        sa.UniqueConstraint("shop_id", "case_id", name=op.f("uq_case_summary_shop_id_case_id")),
    )
    for columns in (["key"], ["closed", "key"], ["vin"], ["plate"], ["calls_since"]):
        name = op.f(f"ix_case_summary_shop_id_{'_'.join(columns)}")
        op.create_index(name, "case_summary", ["shop_id", *columns])
    op.create_table(
        "case_part",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("case_id", sa.String(length=36), nullable=False),
        sa.Column("part_id", sa.String(length=80), nullable=False),
        sa.Column("kind", sa.String(length=20), nullable=False),
        sa.Column("brand", sa.String(length=80), nullable=True),
        sa.Column("part_number", sa.String(length=80), nullable=True),
        sa.Column("closed_ms", sa.BigInteger(), nullable=True),
        sa.Column("fitted", sa.Boolean(), nullable=True),
        sa.Column("failed", sa.Boolean(), nullable=True),
        sa.Column("months", sa.Integer(), nullable=True),
        sa.Column("next", sa.String(length=20), nullable=True),
        sa.Column("deadline", sa.String(length=10), nullable=True),
        sa.Column("shown", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_case_part_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "case_id", "part_id", name=op.f("pk_case_part")),
    )
    for column in ("next", "brand"):
        op.create_index(op.f(f"ix_case_part_shop_id_{column}"), "case_part", ["shop_id", column])
    if op.get_bind().dialect.name == "postgresql":
        op.execute("CREATE INDEX ix_case_summary_words ON case_summary USING gin (words) WITH (fastupdate = off)")
    else:
        for statement in FTS5:
            op.execute(statement)


def downgrade() -> None:
    if op.get_bind().dialect.name == "sqlite":
        op.execute("DROP TABLE case_words")
    op.drop_table("case_part")
    op.drop_table("case_summary")
