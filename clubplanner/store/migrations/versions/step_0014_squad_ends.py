"""Squads that end from a date on (`squad_end`)."""

import sqlalchemy as sa
from alembic import op

revision = "0014"
down_revision = "0013"
branch_labels = None
depends_on = None

KINDS = {
    "squad_id": "typeof({}) = 'integer'",
    "from_day": "typeof({}) = 'text'",
    "why": "typeof({}) = 'text'",
    "goes_on_in_id": "{0} IS NULL OR typeof({0}) = 'integer'",
}


def upgrade() -> None:
    """Apply the step."""
    rules = KINDS if op.get_bind().dialect.name == "sqlite" else {}
    op.create_table(
        "squad_end",
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("from_day", sa.Date(), nullable=False),
        sa.Column("why", sa.String(), nullable=False),
        sa.Column("goes_on_in_id", sa.Integer(), nullable=True),
        sa.CheckConstraint("goes_on_in_id <> squad_id", name=op.f("ck_squad_end_goes_elsewhere")),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_squad_end_squad_id")),
        sa.ForeignKeyConstraint(
            ["goes_on_in_id"], ["squad.id"], name=op.f("fk_squad_end_goes_on_in_id")
        ),
        sa.PrimaryKeyConstraint("squad_id", name=op.f("pk_squad_end")),
        *(
            sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_squad_end_{name}_kind"))
            for name, rule in rules.items()
        ),
    )
