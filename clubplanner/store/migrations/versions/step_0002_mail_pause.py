"""While the mail server takes nothing, all mails wait."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "mail_pause",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("since", Instant(), nullable=False),
        sa.Column("tries", sa.Integer(), nullable=False),
        sa.Column("next_try_at", Instant(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_mail_pause_one_pause")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail_pause")),
    )
