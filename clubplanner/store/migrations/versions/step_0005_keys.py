"""Why a rule was overruled, and how many evenings in a row a squad may have."""

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply the step."""
    op.add_column(
        "booking", sa.Column("overruled", sa.String(), nullable=False, server_default=sa.text("''"))
    )
    with op.batch_alter_table("ask", recreate="always") as batch:
        batch.add_column(sa.Column("most_in_a_row", sa.Integer(), nullable=True))
        batch.create_check_constraint(
            op.f("ck_ask_less_than_a_week"), "most_in_a_row BETWEEN 1 AND 6"
        )
