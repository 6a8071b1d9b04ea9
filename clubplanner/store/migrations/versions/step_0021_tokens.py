"""Tokens of people's other programs (`token`)."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0021"
down_revision = "0020"
branch_labels = None
depends_on = None

NUMBER, TEXT, YES_OR_NO = "typeof({}) = 'integer'", "typeof({}) = 'text'", "{} IN (0, 1)"
OR_NONE = "{0} IS NULL OR typeof({0}) = 'integer'"
KINDS = {
    "person_id": NUMBER,
    "purpose": TEXT,
    "secret_hash": TEXT,
    "may_change": YES_OR_NO,
    "created_at": NUMBER,
    "ends_at": NUMBER,
    "used_at": OR_NONE,
    "revoked_at": OR_NONE,
}
"""What SQLite would let pass by itself."""


def upgrade() -> None:
    """Apply the step."""
    is_sqlite = op.get_bind().dialect.name == "sqlite"
    op.create_table(
        "token",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("purpose", sa.String(), nullable=False),
        sa.Column("secret_hash", sa.String(), nullable=False),
        sa.Column("may_change", sa.Boolean(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.Column("used_at", Instant(), nullable=True),
        sa.Column("revoked_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_token_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_token")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_token_secret_hash")),
        *(
            sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_token_{name}_kind"))
            for name, rule in (KINDS if is_sqlite else {}).items()
        ),
    )
    op.create_index(op.f("ix_token_person_id"), "token", ["person_id"])
