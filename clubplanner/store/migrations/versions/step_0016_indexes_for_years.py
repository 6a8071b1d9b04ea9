"""Indexes that keep years of records from being read for what is to come."""

import sqlalchemy as sa
from alembic import op

revision = "0016"
down_revision = "0015"
branch_labels = None
depends_on = None

HAS_AREA = sa.text("area_id IS NOT NULL")


def upgrade() -> None:
    """Apply the step."""
    op.drop_index(op.f("ix_changed_booking_area_id"), table_name="changed_booking")
    op.create_index(
        op.f("ix_changed_booking_area_id"),
        "changed_booking",
        ["area_id"],
        sqlite_where=HAS_AREA,
        postgresql_where=HAS_AREA,
    )
    op.create_index(op.f("ix_closure_ends_at"), "closure", ["ends_at"])
    op.create_index(op.f("ix_share_out_published_at"), "share_out", ["published_at"])
    op.create_index(op.f("ix_swap_offer_state"), "swap_offer", ["state"])
    op.create_index("ix_waiting_ask_state_squad_id", "waiting_ask", ["state", "squad_id"])
