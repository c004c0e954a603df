"""Entries that are to stand without what is personal, and links by which an owner reads a report."""

import sqlalchemy as sa
from alembic import op

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

ID = sa.String(length=36)
SHA256 = sa.String(length=64)


def upgrade() -> None:
    op.create_table(
        "erasure",
        sa.Column("shop_id", ID, nullable=False),
        sa.Column("entry_id", ID, nullable=False),
        sa.Column("case_id", ID, nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_erasure_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "entry_id", name=op.f("pk_erasure")),
    )
    for table in ("entry", "set_aside"):
        op.add_column(table, sa.Column("blanked_sha256", SHA256, nullable=True))
    op.create_table(
        "report_link",
        sa.Column("id", ID, nullable=False),
        sa.Column("shop_id", ID, nullable=False),
        sa.Column("case_id", ID, nullable=False),
        sa.Column("token_sha256", SHA256, nullable=False),
        sa.Column("made_by", ID, nullable=False),
        sa.Column("made_ms", sa.BigInteger(), nullable=False),
        sa.Column("expires_ms", sa.BigInteger(), nullable=False),
        sa.Column("withdrawn_ms", sa.BigInteger(), nullable=True),
        sa.Column("content", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_report_link_shop_id")),
        sa.ForeignKeyConstraint(["made_by"], ["person.id"], name=op.f("fk_report_link_made_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_report_link")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_report_link_token_sha256")),
    )
    op.create_index(op.f("ix_report_link_shop_id_case_id"), "report_link", ["shop_id", "case_id"])


def downgrade() -> None:
    op.drop_table("report_link")
    for table in ("set_aside", "entry"):
        op.drop_column(table, "blanked_sha256")
    op.drop_table("erasure")
