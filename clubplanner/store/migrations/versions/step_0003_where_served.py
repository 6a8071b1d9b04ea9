"""Where the pages were last served."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "served",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("served_at", Instant(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_served_one_place")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_served")),
    )
