"""What other programs follow: eras of the journal, webhooks and their messages (three tables)."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0022"
down_revision = "0021"
branch_labels = None
depends_on = None

NUMBER, TEXT = "typeof({}) = 'integer'", "typeof({}) = 'text'"
MAYBE = "{0} IS NULL OR typeof({0}) = 'integer'"
ERA = {"name": TEXT, "begins_after": NUMBER, "begun_at": NUMBER, "dropped_to": NUMBER}
WEBHOOK = {
    **dict.fromkeys(("name", "url", "secret", "mark", "words"), TEXT),
    "created_at": NUMBER,
    **dict.fromkeys(("failing_since", "ended_at"), MAYBE),
}
MESSAGE = {
    **dict.fromkeys(("webhook_id", "made_at", "next_try_at", "attempts"), NUMBER),
    **dict.fromkeys(("message_id", "from_mark", "to_mark", "words"), TEXT),
    **dict.fromkeys(("status", "taken_at"), MAYBE),
}


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "journal_era",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("begins_after", sa.Integer(), nullable=False),
        sa.Column("begun_at", Instant(), nullable=False),
        sa.Column("dropped_to", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_journal_era")),
        sa.UniqueConstraint("name", name=op.f("uq_journal_era_name")),
        *_kinds("journal_era", ERA),
    )
    op.create_table(
        "webhook",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("url", sa.String(), nullable=False),
        sa.Column("secret", sa.String(), nullable=False),
        sa.Column("mark", sa.String(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("failing_since", Instant(), nullable=True),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook")),
        *_kinds("webhook", WEBHOOK),
    )
    op.create_table(
        "webhook_message",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("webhook_id", sa.Integer(), nullable=False),
        sa.Column("message_id", sa.String(), nullable=False),
        sa.Column("from_mark", sa.String(), nullable=False),
        sa.Column("to_mark", sa.String(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("next_try_at", Instant(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column("status", sa.Integer(), nullable=True),
        sa.Column("taken_at", Instant(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["webhook_id"], ["webhook.id"], name=op.f("fk_webhook_message_webhook_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_webhook_message")),
        sa.UniqueConstraint("message_id", name=op.f("uq_webhook_message_message_id")),
        *_kinds("webhook_message", MESSAGE),
    )
    op.create_index(
        "ix_webhook_message_webhook_id_taken_at", "webhook_message", ["webhook_id", "taken_at"]
    )


def _kinds(table: str, rules: dict[str, str]) -> list[sa.CheckConstraint]:
    """Return the rules that keep kinds of values apart where the database does not."""
    if op.get_bind().dialect.name != "sqlite":
        return []
    return [
        sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_{table}_{name}_kind"))
        for name, rule in rules.items()
    ]
