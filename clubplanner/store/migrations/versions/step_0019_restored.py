"""When the records were brought back from a backup, and what that meant (`restored`)."""

import sqlalchemy as sa
from alembic import op

revision = "0019"
down_revision = "0018"
branch_labels = None
depends_on = None

KINDS = {
    "at": "typeof(\"at\") = 'integer'",
    "taken_at": '"taken_at" IS NULL OR typeof("taken_at") = \'integer\'',
    "change_id": '"change_id" IS NULL OR typeof("change_id") = \'integer\'',
    "found": "typeof(\"found\") = 'text'",
    "seen_at": '"seen_at" IS NULL OR typeof("seen_at") = \'integer\'',
}
"""What SQLite would let pass by itself."""


def upgrade() -> None:
    """Apply the step."""
    is_sqlite = op.get_bind().dialect.name == "sqlite"
    op.create_table(
        "restored",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", sa.BigInteger(), nullable=False),
        sa.Column("taken_at", sa.BigInteger(), nullable=True),
        sa.Column("change_id", sa.Integer(), nullable=True),
        sa.Column("found", sa.JSON(), nullable=False),
        sa.Column("seen_at", sa.BigInteger(), nullable=True),
        sa.ForeignKeyConstraint(
            ["change_id"],
            ["booking_change.id"],
            name=op.f("fk_restored_change_id"),
            ondelete="SET NULL",
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_restored")),
        *(
            sa.CheckConstraint(rule, name=op.f(f"ck_restored_{name}_kind"))
            for name, rule in (KINDS if is_sqlite else {}).items()
        ),
    )
    op.create_index(op.f("ix_restored_change_id"), "restored", ["change_id"])
