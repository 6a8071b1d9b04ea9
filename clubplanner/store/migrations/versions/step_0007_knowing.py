"""What each person was last told, by mail, page or calendar, and what waits for one of them."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0007"
down_revision = "0006"
branch_labels = None
depends_on = None

ONE_LOOKER = (
    "(CASE WHEN person_id IS NULL THEN 0 ELSE 1 END)"
    " + (CASE WHEN link_id IS NULL THEN 0 ELSE 1 END) = 1"
)


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "mailed",
        sa.Column("booking_id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("state", sa.JSON(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.Column("mailed_at", Instant(), nullable=False),
        sa.CheckConstraint(
            "typeof(\"booking_id\") = 'integer'", name=op.f("ck_mailed_booking_id_kind")
        ),
        sa.CheckConstraint("typeof(\"address\") = 'text'", name=op.f("ck_mailed_address_kind")),
        sa.CheckConstraint("typeof(\"name\") = 'text'", name=op.f("ck_mailed_name_kind")),
        sa.CheckConstraint(
            "typeof(\"sequence\") = 'integer'", name=op.f("ck_mailed_sequence_kind")
        ),
        sa.CheckConstraint("typeof(\"state\") = 'text'", name=op.f("ck_mailed_state_kind")),
        sa.CheckConstraint("typeof(\"ends_at\") = 'integer'", name=op.f("ck_mailed_ends_at_kind")),
        sa.CheckConstraint(
            "typeof(\"mailed_at\") = 'integer'", name=op.f("ck_mailed_mailed_at_kind")
        ),
        sa.ForeignKeyConstraint(["booking_id"], ["booking.id"], name=op.f("fk_mailed_booking_id")),
        sa.PrimaryKeyConstraint("booking_id", "address", name=op.f("pk_mailed")),
    )
    op.create_index("ix_mailed_ends_at", "mailed", ["ends_at"], unique=False)
    op.create_table(
        "followed",
        sa.Column("booking_id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.CheckConstraint(
            "typeof(\"booking_id\") = 'integer'", name=op.f("ck_followed_booking_id_kind")
        ),
        sa.CheckConstraint("typeof(\"address\") = 'text'", name=op.f("ck_followed_address_kind")),
        sa.CheckConstraint(
            "typeof(\"sequence\") = 'integer'", name=op.f("ck_followed_sequence_kind")
        ),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_followed_booking_id")
        ),
        sa.PrimaryKeyConstraint("booking_id", "address", name=op.f("pk_followed")),
    )
    op.create_table(
        "mail_anew",
        sa.Column("mail_id", sa.Integer(), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.CheckConstraint(
            "typeof(\"mail_id\") = 'integer'", name=op.f("ck_mail_anew_mail_id_kind")
        ),
        sa.CheckConstraint("typeof(\"at\") = 'integer'", name=op.f("ck_mail_anew_at_kind")),
        sa.ForeignKeyConstraint(["mail_id"], ["mail.id"], name=op.f("fk_mail_anew_mail_id")),
        sa.PrimaryKeyConstraint("mail_id", name=op.f("pk_mail_anew")),
    )
    op.create_table(
        "look",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("link_id", sa.Integer(), nullable=True),
        sa.Column("page_at", Instant(), nullable=True),
        sa.Column("page_stand", sa.Integer(), nullable=False),
        sa.Column("feed_at", Instant(), nullable=True),
        sa.Column("feed_stand", sa.Integer(), nullable=False),
        sa.CheckConstraint(ONE_LOOKER, name=op.f("ck_look_one_looker")),
        sa.CheckConstraint(
            '"person_id" IS NULL OR typeof("person_id") = \'integer\'',
            name=op.f("ck_look_person_id_kind"),
        ),
        sa.CheckConstraint(
            '"link_id" IS NULL OR typeof("link_id") = \'integer\'',
            name=op.f("ck_look_link_id_kind"),
        ),
        sa.CheckConstraint(
            '"page_at" IS NULL OR typeof("page_at") = \'integer\'',
            name=op.f("ck_look_page_at_kind"),
        ),
        sa.CheckConstraint(
            "typeof(\"page_stand\") = 'integer'", name=op.f("ck_look_page_stand_kind")
        ),
        sa.CheckConstraint(
            '"feed_at" IS NULL OR typeof("feed_at") = \'integer\'',
            name=op.f("ck_look_feed_at_kind"),
        ),
        sa.CheckConstraint(
            "typeof(\"feed_stand\") = 'integer'", name=op.f("ck_look_feed_stand_kind")
        ),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_look_person_id")),
        sa.ForeignKeyConstraint(["link_id"], ["link.id"], name=op.f("fk_look_link_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_look")),
        sa.UniqueConstraint("person_id", name=op.f("uq_look_person_id")),
        sa.UniqueConstraint("link_id", name=op.f("uq_look_link_id")),
    )
    op.create_table(
        "hint",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("message_id", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("subject", sa.String(), nullable=False),
        sa.Column("text", sa.String(), nullable=False),
        sa.Column("path", sa.String(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.Column("next_try_at", Instant(), nullable=False),
        sa.Column("attempts", sa.Integer(), nullable=False),
        sa.Column(
            "state",
            sa.Enum(
                "waiting",
                "sent",
                "unsent",
                "lapsed",
                "refused",
                name="hint_state",
                native_enum=False,
                create_constraint=True,
                length=16,
            ),
            nullable=False,
        ),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.CheckConstraint("typeof(\"message_id\") = 'text'", name=op.f("ck_hint_message_id_kind")),
        sa.CheckConstraint("typeof(\"about\") = 'text'", name=op.f("ck_hint_about_kind")),
        sa.CheckConstraint("typeof(\"address\") = 'text'", name=op.f("ck_hint_address_kind")),
        sa.CheckConstraint("typeof(\"name\") = 'text'", name=op.f("ck_hint_name_kind")),
        sa.CheckConstraint("typeof(\"subject\") = 'text'", name=op.f("ck_hint_subject_kind")),
        sa.CheckConstraint("typeof(\"text\") = 'text'", name=op.f("ck_hint_text_kind")),
        sa.CheckConstraint("typeof(\"path\") = 'text'", name=op.f("ck_hint_path_kind")),
        sa.CheckConstraint("typeof(\"made_at\") = 'integer'", name=op.f("ck_hint_made_at_kind")),
        sa.CheckConstraint("typeof(\"ends_at\") = 'integer'", name=op.f("ck_hint_ends_at_kind")),
        sa.CheckConstraint(
            "typeof(\"next_try_at\") = 'integer'", name=op.f("ck_hint_next_try_at_kind")
        ),
        sa.CheckConstraint("typeof(\"attempts\") = 'integer'", name=op.f("ck_hint_attempts_kind")),
        sa.CheckConstraint("typeof(\"state\") = 'text'", name=op.f("ck_hint_state_kind")),
        sa.CheckConstraint(
            '"ended_at" IS NULL OR typeof("ended_at") = \'integer\'',
            name=op.f("ck_hint_ended_at_kind"),
        ),
        sa.CheckConstraint("typeof(\"words\") = 'text'", name=op.f("ck_hint_words_kind")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_hint")),
        sa.UniqueConstraint("message_id", name=op.f("uq_hint_message_id")),
    )
    op.create_index("ix_hint_state_next_try_at", "hint", ["state", "next_try_at"], unique=False)
