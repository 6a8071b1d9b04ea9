"""Notices to phones: the club's key, browsers that asked, what they are told."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0008"
down_revision = "0007"
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "push_key",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("private_key", sa.String(), nullable=False),
        sa.Column("public_key", sa.String(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_push_key_one_key")),
        sa.CheckConstraint(
            "typeof(\"made_at\") = 'integer'", name=op.f("ck_push_key_made_at_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"private_key\") = 'text'", name=op.f("ck_push_key_private_key_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"public_key\") = 'text'", name=op.f("ck_push_key_public_key_kind")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_push_key")),
    )
    op.create_table(
        "push_reader",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("link_id", sa.Integer(), nullable=True),
        sa.Column("browser_id", sa.Integer(), nullable=True),
        sa.Column("endpoint", sa.String(), nullable=False),
        sa.Column("public_key", sa.String(), nullable=False),
        sa.Column("auth", sa.String(), nullable=False),
        sa.Column("language", sa.String(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("answer", sa.Integer(), nullable=True),
        sa.Column("answered_at", Instant(), nullable=True),
        sa.CheckConstraint(
            '"answer" IS NULL OR typeof("answer") = \'integer\'',
            name=op.f("ck_push_reader_answer_kind"),
        ),
        sa.CheckConstraint(
            '"answered_at" IS NULL OR typeof("answered_at") = \'integer\'',
            name=op.f("ck_push_reader_answered_at_kind"),
        ),
        sa.CheckConstraint(
            '"browser_id" IS NULL OR typeof("browser_id") = \'integer\'',
            name=op.f("ck_push_reader_browser_id_kind"),
        ),
        sa.CheckConstraint(
            '"link_id" IS NULL OR typeof("link_id") = \'integer\'',
            name=op.f("ck_push_reader_link_id_kind"),
        ),
        sa.CheckConstraint(
            "(CASE WHEN link_id IS NULL THEN 0 ELSE 1 END)"
            " + (CASE WHEN browser_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("ck_push_reader_one_reader"),
        ),
        sa.CheckConstraint("typeof(\"auth\") = 'text'", name=op.f("ck_push_reader_auth_kind")),
        sa.CheckConstraint(
            "typeof(\"created_at\") = 'integer'", name=op.f("ck_push_reader_created_at_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"endpoint\") = 'text'", name=op.f("ck_push_reader_endpoint_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"language\") = 'text'", name=op.f("ck_push_reader_language_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"public_key\") = 'text'", name=op.f("ck_push_reader_public_key_kind")
        ),
        sa.ForeignKeyConstraint(
            ["browser_id"],
            ["browser.id"],
            name=op.f("fk_push_reader_browser_id"),
            ondelete="CASCADE",
        ),
        sa.ForeignKeyConstraint(
            ["link_id"], ["link.id"], name=op.f("fk_push_reader_link_id"), ondelete="CASCADE"
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_push_reader")),
        sa.UniqueConstraint(
            "browser_id", "endpoint", name=op.f("uq_push_reader_browser_id_endpoint")
        ),
        sa.UniqueConstraint("link_id", "endpoint", name=op.f("uq_push_reader_link_id_endpoint")),
    )
    with op.batch_alter_table("push_reader", schema=None) as batch_op:
        batch_op.create_index("ix_push_reader_endpoint", ["endpoint"], unique=False)

    op.create_table(
        "push",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("reader_id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("changes", sa.JSON(), nullable=False),
        sa.Column("tag", sa.String(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("next_try_at", Instant(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "waiting",
                "sent",
                "lapsed",
                "refused",
                name="push_state",
                native_enum=False,
                create_constraint=True,
                length=16,
            ),
            nullable=False,
        ),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.CheckConstraint(
            '"ended_at" IS NULL OR typeof("ended_at") = \'integer\'',
            name=op.f("ck_push_ended_at_kind"),
        ),
        sa.CheckConstraint("typeof(\"attempts\") = 'integer'", name=op.f("ck_push_attempts_kind")),
        sa.CheckConstraint("typeof(\"changes\") = 'text'", name=op.f("ck_push_changes_kind")),
        sa.CheckConstraint("typeof(\"made_at\") = 'integer'", name=op.f("ck_push_made_at_kind")),
        sa.CheckConstraint(
            "typeof(\"next_try_at\") = 'integer'", name=op.f("ck_push_next_try_at_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"reader_id\") = 'integer'", name=op.f("ck_push_reader_id_kind")
        ),
        sa.CheckConstraint("typeof(\"squad_id\") = 'integer'", name=op.f("ck_push_squad_id_kind")),
        sa.CheckConstraint("typeof(\"state\") = 'text'", name=op.f("ck_push_state_kind")),
        sa.CheckConstraint("typeof(\"tag\") = 'text'", name=op.f("ck_push_tag_kind")),
        sa.CheckConstraint("typeof(\"words\") = 'text'", name=op.f("ck_push_words_kind")),
        sa.ForeignKeyConstraint(
            ["reader_id"], ["push_reader.id"], name=op.f("fk_push_reader_id"), ondelete="CASCADE"
        ),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_push_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_push")),
    )
    with op.batch_alter_table("push", schema=None) as batch_op:
        batch_op.create_index("ix_push_reader_id_tag", ["reader_id", "tag"], unique=False)
        batch_op.create_index("ix_push_squad_id", ["squad_id"], unique=False)
        batch_op.create_index("ix_push_state_next_try_at", ["state", "next_try_at"], unique=False)

    op.create_table(
        "pushed_notice",
        sa.Column("notice_id", sa.Integer(), nullable=False),
        sa.Column("noted_at", Instant(), nullable=False),
        sa.CheckConstraint(
            "typeof(\"noted_at\") = 'integer'", name=op.f("ck_pushed_notice_noted_at_kind")
        ),
        sa.CheckConstraint(
            "typeof(\"notice_id\") = 'integer'", name=op.f("ck_pushed_notice_notice_id_kind")
        ),
        sa.ForeignKeyConstraint(
            ["notice_id"],
            ["notice.id"],
            name=op.f("fk_pushed_notice_notice_id"),
            ondelete="CASCADE",
        ),
        sa.PrimaryKeyConstraint("notice_id", name=op.f("pk_pushed_notice")),
    )
    with op.batch_alter_table("pushed_notice", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_pushed_notice_noted_at"), ["noted_at"], unique=False)

    op.create_index("ix_notice_changed_at", "notice", ["changed_at"], unique=False)
