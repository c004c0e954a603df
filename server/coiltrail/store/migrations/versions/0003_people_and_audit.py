"""Invitations, pairing, what shut-out devices hand in, who has left, and the list of who did what."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None

ID = sa.String(length=36)
SHA256 = sa.String(length=64)


def upgrade() -> None:
    op.add_column("person", sa.Column("left_ms", sa.BigInteger(), nullable=True))
    op.create_table(
        "invitation",
        sa.Column("id", ID, nullable=False),
        sa.Column("shop_id", ID, nullable=False),
        sa.Column("token_sha256", SHA256, nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("role", sa.String(length=10), nullable=False),
        sa.Column("person_id", ID, nullable=True),
        sa.Column("invited_by", ID, nullable=True),
        sa.Column("created_ms", sa.BigInteger(), nullable=False),
        sa.Column("expires_ms", sa.BigInteger(), nullable=False),
        sa.Column("used_ms", sa.BigInteger(), nullable=True),
        sa.Column("withdrawn_ms", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_invitation_shop_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_invitation_person_id")),
        sa.ForeignKeyConstraint(["invited_by"], ["person.id"], name=op.f("fk_invitation_invited_by")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_invitation")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_invitation_token_sha256")),
    )
    op.create_table(
        "pairing",
        sa.Column("id", ID, nullable=False),
        sa.Column("token_sha256", SHA256, nullable=False),
        sa.Column("person_id", ID, nullable=False),
        sa.Column("expires_ms", sa.BigInteger(), nullable=False),
        sa.Column("used_ms", sa.BigInteger(), nullable=True),
        sa.Column("device_id", ID, nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_pairing_person_id")),
        sa.ForeignKeyConstraint(["device_id"], ["device.id"], name=op.f("fk_pairing_device_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pairing")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_pairing_token_sha256")),
    )
    op.create_index(op.f("ix_pairing_person_id"), "pairing", ["person_id"])
    op.create_table(
        "handed_in",
        sa.Column("id", ID, nullable=False),
        sa.Column("device_id", ID, nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("content_sha256", SHA256, nullable=False),
        sa.Column("photo_sha256", SHA256, nullable=True),
        sa.Column("received_ms", sa.BigInteger(), nullable=False),
        sa.Column("outcome", sa.String(length=10), nullable=True),
        sa.Column("reason", sa.Text(), nullable=True),
        sa.CheckConstraint("outcome IN ('accepted', 'left')", name=op.f("ck_handed_in_outcome")),
        sa.ForeignKeyConstraint(["device_id"], ["device.id"], name=op.f("fk_handed_in_device_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_handed_in")),
        sa.UniqueConstraint("device_id", "content_sha256", name=op.f("uq_handed_in_device_id_content_sha256")),
    )
    op.create_table(
        "audit",
        sa.Column("id", ID, nullable=False),
        sa.Column("shop_id", ID, nullable=False),
        sa.Column("at_ms", sa.BigInteger(), nullable=False),
        sa.Column("deed", sa.String(length=40), nullable=False),
        sa.Column("person_id", ID, nullable=True),
        sa.Column("device_id", ID, nullable=True),
        sa.Column("about", sa.Text(), nullable=False),
        sa.Column("address", sa.String(length=60), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_audit_shop_id")),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_audit_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_audit")),
    )
    op.create_index(op.f("ix_audit_shop_id_at_ms"), "audit", ["shop_id", "at_ms"])


def downgrade() -> None:
    for table in ("audit", "handed_in", "pairing", "invitation"):
        op.drop_table(table)
    op.drop_column("person", "left_ms")
