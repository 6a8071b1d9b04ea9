"""Indexes for a club's size: of what no share-out moves, of what was published of a stretch."""

import sqlalchemy as sa
from alembic import op

revision = "0024"
down_revision = "0023"
branch_labels = None
depends_on = None

STANDS = sa.text("is_fixed OR purpose <> 'training' OR squad_id IS NULL")


def upgrade() -> None:
    """Apply the step."""
    op.create_index(
        "ix_booking_standing_starts_at",
        "booking",
        ["starts_at"],
        sqlite_where=STANDS,
        postgresql_where=STANDS,
    )
    op.create_index(
        "ix_share_out_stretch_id_published_at",
        "share_out",
        ["stretch_id", "published_at"],
    )
