"""What parts of the shelf are found by: derived from the log, filled after this step."""

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"
branch_labels = None
depends_on = None


def upgrade() -> None:
    op.add_column("case_part", sa.Column("words", sa.Text(), nullable=True))


def downgrade() -> None:
    op.drop_column("case_part", "words")
