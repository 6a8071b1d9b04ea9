"""Secrets of webhooks that were exchanged, and count for a while beside the new one."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0023"
down_revision = "0022"
branch_labels = None
depends_on = None

KINDS = {
    **dict.fromkeys(("webhook_id", "until"), "typeof({}) = 'integer'"),
    "secret": "typeof({}) = 'text'",
}


def upgrade() -> None:
    """Apply the step."""
    is_sqlite = op.get_bind().dialect.name == "sqlite"
    op.create_table(
        "webhook_secret",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("webhook_id", sa.Integer(), nullable=False),
        sa.Column("secret", sa.String(), nullable=False),
        sa.Column("until", Instant(), nullable=False),
        sa.ForeignKeyConstraint(
            ["webhook_id"], ["webhook.id"], name=op.f("fk_webhook_secret_webhook_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook_secret")),
        *(
            sa.CheckConstraint(
                rule.format(f'"{name}"'), name=op.f(f"ck_webhook_secret_{name}_kind")
            )
            for name, rule in KINDS.items()
            if is_sqlite
        ),
    )
    op.create_index(
        op.f("ix_webhook_secret_webhook_id"), "webhook_secret", ["webhook_id"], unique=False
    )
