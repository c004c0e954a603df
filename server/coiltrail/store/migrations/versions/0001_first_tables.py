"""The first tables."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.create_table(
        "owner_link",
        sa.Column("token_sha256", sa.String(length=64), nullable=False),
        sa.Column("created_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("token_sha256", name=op.f("pk_owner_link")),
    )
    op.create_table(
        "shop",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("phone", sa.String(length=40), nullable=False),
        sa.Column("epoch", sa.String(length=36), nullable=False),
        sa.Column("next_number", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_shop")),
    )
    op.create_table(
        "sign_in_failures",
        sa.Column("key", sa.String(length=64), nullable=False),
        sa.Column("count", sa.Integer(), nullable=False),
        sa.Column("last_ms", sa.BigInteger(), nullable=False),
        sa.PrimaryKeyConstraint("key", name=op.f("pk_sign_in_failures")),
    )
    op.create_table(
        "entry",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("number", sa.BigInteger(), autoincrement=False, nullable=False),
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("case_id", sa.String(length=36), nullable=False),
        sa.Column("kind", sa.String(length=40), nullable=False),
        sa.Column("device", sa.String(length=36), nullable=False),
        sa.Column("n", sa.BigInteger(), nullable=False),
        sa.Column("at_ms", sa.BigInteger(), nullable=False),
        sa.Column("at_counter", sa.BigInteger(), nullable=False),
        sa.Column("content", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_entry_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "number", name=op.f("pk_entry")),
        sa.UniqueConstraint("shop_id", "id", name=op.f("uq_entry_shop_id_id")),
    )
    op.create_index(op.f("ix_entry_shop_id_case_id"), "entry", ["shop_id", "case_id"])

    op.create_table(
        "person",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("name_key", sa.Text(), nullable=False),
        sa.Column("role", sa.String(length=10), nullable=False),
        sa.Column("password_hash", sa.String(length=200), nullable=False),
        sa.CheckConstraint("role IN ('owner', 'mechanic', 'desk')", name=op.f("ck_person_role")),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_person_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
        sa.UniqueConstraint("shop_id", "name_key", name=op.f("uq_person_shop_id_name_key")),
    )
    op.create_table(
        "photo_file",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("sha256", sa.String(length=64), nullable=False),
        sa.Column("size", sa.Integer(), nullable=True),
        sa.Column("received", sa.Integer(), nullable=False),
        sa.Column("complete", sa.Boolean(), nullable=False),
        sa.Column("unfit", sa.Text(), nullable=True),
        sa.Column("media_type", sa.String(length=40), nullable=True),
        sa.Column("width", sa.Integer(), nullable=True),
        sa.Column("height", sa.Integer(), nullable=True),
        sa.Column("first_named_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_photo_file_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "sha256", name=op.f("pk_photo_file")),
    )
    op.create_index(op.f("ix_photo_file_shop_id_complete"), "photo_file", ["shop_id", "complete"])

    op.create_table(
        "tag",
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("entry_id", sa.String(length=36), nullable=False),
        sa.Column("code", sa.String(length=10), nullable=False),
        sa.Column("case_id", sa.String(length=36), nullable=False),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_tag_shop_id")),
        sa.PrimaryKeyConstraint("shop_id", "entry_id", name=op.f("pk_tag")),
    )
    op.create_index(op.f("ix_tag_shop_id_code"), "tag", ["shop_id", "code"])

    op.create_table(
        "device",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("person_id", sa.String(length=36), nullable=False),
        sa.Column("name", sa.String(length=120), nullable=False),
        sa.Column("token_sha256", sa.String(length=64), nullable=True),
        sa.Column("created_ms", sa.BigInteger(), nullable=False),
        sa.Column("last_seen_ms", sa.BigInteger(), nullable=False),
        sa.Column("revoked_ms", sa.BigInteger(), nullable=True),
        sa.Column("unsynced", sa.Text(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_device_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_device")),
        sa.UniqueConstraint("token_sha256", name=op.f("uq_device_token_sha256")),
    )
    op.create_index(op.f("ix_device_person_id"), "device", ["person_id"])

    op.create_table(
        "set_aside",
        sa.Column("id", sa.String(length=36), nullable=False),
        sa.Column("shop_id", sa.String(length=36), nullable=False),
        sa.Column("device_id", sa.String(length=36), nullable=True),
        sa.Column("content", sa.Text(), nullable=False),
        sa.Column("content_sha256", sa.String(length=64), nullable=False),
        sa.Column("field", sa.String(length=200), nullable=False),
        sa.Column("message", sa.Text(), nullable=False),
        sa.Column("received_ms", sa.BigInteger(), nullable=False),
        sa.ForeignKeyConstraint(["device_id"], ["device.id"], name=op.f("fk_set_aside_device_id")),
        sa.ForeignKeyConstraint(["shop_id"], ["shop.id"], name=op.f("fk_set_aside_shop_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_set_aside")),
        sa.UniqueConstraint("shop_id", "content_sha256", name=op.f("uq_set_aside_shop_id_content_sha256")),
    )


def downgrade() -> None:
    for table in (
        "set_aside",
        "device",
        "tag",
        "photo_file",
        "person",
        "entry",
        "sign_in_failures",
        "shop",
        "owner_link",
    ):
        op.drop_table(table)
