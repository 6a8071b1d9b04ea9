"""For how long things are kept (`keeping`)."""

import sqlalchemy as sa
from alembic import op

revision = "0017"
down_revision = "0016"
branch_labels = None
depends_on = None

KINDS = {"ask": "typeof({}) = 'text'", "days": "typeof({}) = 'text'"}


def upgrade() -> None:
    """Apply the step."""
    rules = KINDS if op.get_bind().dialect.name == "sqlite" else {}
    op.create_table(
        "keeping",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("ask", sa.String(), nullable=False),
        sa.Column("days", sa.JSON(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_keeping_one_choice")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_keeping")),
        *(
            sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_keeping_{name}_kind"))
            for name, rule in rules.items()
        ),
    )
