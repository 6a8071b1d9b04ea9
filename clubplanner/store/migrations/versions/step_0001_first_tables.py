"""The first tables."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Ground, Instant

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    """Apply the step."""
    op.create_table(
        "club",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("zone", sa.String(), nullable=False),
        sa.Column("language", sa.String(), nullable=False),
        sa.Column("step_minutes", sa.Integer(), nullable=False),
        sa.Column("changeover_minutes", sa.Integer(), nullable=False),
        sa.Column("travel_minutes", sa.Integer(), nullable=False),
        sa.Column("rules", sa.JSON(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_club_one_club")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_club")),
    )
    op.create_table(
        "form_secret",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("value", sa.String(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_form_secret_one_secret")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_form_secret")),
    )
    op.create_table(
        "own_format",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("figures", sa.JSON(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_own_format")),
        sa.UniqueConstraint("code", name=op.f("uq_own_format_code")),
    )
    op.create_table(
        "person",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column(
            "role",
            sa.Enum(
                "secretary",
                "groundskeeper",
                "coach",
                name="role",
                native_enum=False,
                create_constraint=True,
                length=16,
            ),
            nullable=False,
        ),
        sa.Column("password_hash", sa.String(), nullable=True),
        sa.Column("version", sa.Integer(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_person")),
    )
    op.create_table(
        "sign_in",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=True),
        sa.Column("secret_hash", sa.String(), nullable=True),
        sa.Column("browser_hash", sa.String(), nullable=True),
        sa.Column("code", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_sign_in_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_sign_in_secret_hash")),
    )
    with op.batch_alter_table("sign_in", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sign_in_person_id"), ["person_id"], unique=False)

    op.create_table(
        "browser",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("secret_hash", sa.String(), nullable=False),
        sa.Column("about", sa.String(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.ForeignKeyConstraint(["person_id"], ["person.id"], name=op.f("fk_browser_person_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_browser")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_browser_secret_hash")),
    )
    with op.batch_alter_table("browser", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_browser_person_id"), ["person_id"], unique=False)

    op.create_table(
        "notice_board",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("is_on", sa.Boolean(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_notice_board_one_board")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notice_board")),
    )
    op.create_table(
        "sent_form",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("token_hash", sa.String(), nullable=False),
        sa.Column("sent_at", Instant(), nullable=False),
        sa.Column("answer", sa.String(), nullable=True),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sent_form")),
        sa.UniqueConstraint("token_hash", name=op.f("uq_sent_form_token_hash")),
    )
    with op.batch_alter_table("sent_form", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_sent_form_sent_at"), ["sent_at"], unique=False)

    op.create_table(
        "sign_in_try",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("counted_under", sa.String(), nullable=False),
        sa.Column("tried_at", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_sign_in_try")),
    )
    with op.batch_alter_table("sign_in_try", schema=None) as batch_op:
        batch_op.create_index(
            "ix_sign_in_try_counted_under", ["counted_under", "tried_at"], unique=False
        )

    op.create_table(
        "squad",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("age_group", sa.String(), nullable=False),
        sa.Column("players", sa.Integer(), nullable=False),
        sa.Column("goalkeepers", sa.Integer(), nullable=False),
        sa.Column("coach", sa.String(), nullable=False),
        sa.Column("coach_email", sa.String(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_squad")),
        sa.UniqueConstraint("key", name=op.f("uq_squad_key")),
    )
    op.create_table(
        "person_squad",
        sa.Column("person_id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["person_id"], ["person.id"], name=op.f("fk_person_squad_person_id")
        ),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_person_squad_squad_id")),
        sa.PrimaryKeyConstraint("person_id", "squad_id", name=op.f("pk_person_squad")),
    )
    with op.batch_alter_table("person_squad", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_person_squad_squad_id"), ["squad_id"], unique=False)

    op.create_table(
        "stretch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stretch")),
        sa.UniqueConstraint("key", name=op.f("uq_stretch_key")),
    )
    op.create_table(
        "training_break",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=False),
        sa.Column("ends_on", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_training_break")),
    )
    op.create_table(
        "venue",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("lon", sa.Double(), nullable=False),
        sa.Column("lat", sa.Double(), nullable=False),
        sa.Column("opening", sa.JSON(), nullable=False),
        sa.Column("lights_off_min", sa.Integer(), nullable=True),
        sa.Column("dusk_margin_minutes", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_venue")),
        sa.UniqueConstraint("key", name=op.f("uq_venue_key")),
    )
    op.create_table(
        "ask",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("sessions", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("possible", sa.JSON(), nullable=False),
        sa.Column("preferred", sa.JSON(), nullable=False),
        sa.Column("least_m2", sa.Double(), nullable=False),
        sa.Column("least_share", sa.Double(), nullable=False),
        sa.Column("least_format", sa.String(), nullable=False),
        sa.Column("surfaces", sa.JSON(), nullable=False),
        sa.Column("needs_goal", sa.Boolean(), nullable=False),
        sa.Column("needs_light", sa.Boolean(), nullable=False),
        sa.Column("priority", sa.Integer(), nullable=False),
        sa.Column("latest_finish_min", sa.Integer(), nullable=True),
        sa.Column("rest_days", sa.Integer(), nullable=False),
        sa.Column("no_day_before", sa.JSON(), nullable=False),
        sa.Column("no_day_after", sa.JSON(), nullable=False),
        sa.Column("wishes", sa.JSON(), nullable=False),
        sa.Column("partners", sa.JSON(), nullable=False),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_ask_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_ask")),
    )
    with op.batch_alter_table("ask", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_ask_squad_id"), ["squad_id"], unique=False)

    op.create_table(
        "pitch",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("venue_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("surface", sa.String(), nullable=False),
        sa.Column("is_lit", sa.Boolean(), nullable=False),
        sa.Column("is_indoor", sa.Boolean(), nullable=False),
        sa.Column("polygon", Ground(), nullable=False),
        sa.Column("frame", sa.JSON(), nullable=True),
        sa.Column("edges", sa.JSON(), nullable=False),
        sa.Column("goals", sa.JSON(), nullable=False),
        sa.Column("portable_goals", sa.Integer(), nullable=False),
        sa.Column("entrance", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(["venue_id"], ["venue.id"], name=op.f("fk_pitch_venue_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_pitch")),
        sa.UniqueConstraint("key", name=op.f("uq_pitch_key")),
    )
    with op.batch_alter_table("pitch", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_pitch_venue_id"), ["venue_id"], unique=False)

    op.create_table(
        "share_out",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("stretch_id", sa.Integer(), nullable=False),
        sa.Column("sort", sa.String(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("kind", sa.String(), nullable=False),
        sa.Column("outcome", sa.JSON(), nullable=False),
        sa.Column("published_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(
            ["stretch_id"], ["stretch.id"], name=op.f("fk_share_out_stretch_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_share_out")),
    )
    with op.batch_alter_table("share_out", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_share_out_stretch_id"), ["stretch_id"], unique=False)

    op.create_table(
        "share_run",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("request", sa.JSON(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("asked_at", Instant(), nullable=False),
        sa.Column("begun_at", Instant(), nullable=True),
        sa.Column("seen_at", Instant(), nullable=False),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.Column("is_stop_asked", sa.Boolean(), nullable=False),
        sa.Column("progress", sa.JSON(), nullable=False),
        sa.Column("share_out_id", sa.Integer(), nullable=True),
        sa.Column("fault", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["share_out_id"], ["share_out.id"], name=op.f("fk_share_run_share_out_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_share_run")),
    )
    op.create_table(
        "area",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pitch_id", sa.Integer(), nullable=False),
        sa.Column("key", sa.String(), nullable=False),
        sa.Column("position", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("cut", sa.String(), nullable=False),
        sa.Column("polygon", Ground(), nullable=False),
        sa.Column("cells", sa.BigInteger(), nullable=False),
        sa.Column("twelfths", sa.Integer(), nullable=True),
        sa.CheckConstraint("cells > 0", name=op.f("ck_area_has_ground")),
        sa.ForeignKeyConstraint(["pitch_id"], ["pitch.id"], name=op.f("fk_area_pitch_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_area")),
        sa.UniqueConstraint("pitch_id", "key", name=op.f("uq_area_pitch_id_key")),
    )
    op.create_table(
        "obstacle",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("pitch_id", sa.Integer(), nullable=False),
        sa.Column("polygon", Ground(), nullable=False),
        sa.ForeignKeyConstraint(["pitch_id"], ["pitch.id"], name=op.f("fk_obstacle_pitch_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_obstacle")),
    )
    with op.batch_alter_table("obstacle", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_obstacle_pitch_id"), ["pitch_id"], unique=False)

    op.create_table(
        "booking",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("uid", sa.String(), nullable=False),
        sa.Column("pitch_id", sa.Integer(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=False),
        sa.Column("cells", sa.BigInteger(), nullable=False),
        sa.Column("starts_at", Instant(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.Column(
            "purpose",
            sa.Enum(
                "training",
                "match",
                "hire",
                "closed",
                name="purpose",
                native_enum=False,
                create_constraint=True,
                length=16,
            ),
            nullable=False,
        ),
        sa.Column("squad_id", sa.Integer(), nullable=True),
        sa.Column("holder", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("is_withdrawn", sa.Boolean(), nullable=False),
        sa.Column("is_fixed", sa.Boolean(), nullable=False),
        sa.Column("share_out_id", sa.Integer(), nullable=True),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.CheckConstraint("cells > 0", name=op.f("ck_booking_has_ground")),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_booking_runs_forward")),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_booking_area_id")),
        sa.ForeignKeyConstraint(["pitch_id"], ["pitch.id"], name=op.f("fk_booking_pitch_id")),
        sa.ForeignKeyConstraint(
            ["share_out_id"], ["share_out.id"], name=op.f("fk_booking_share_out_id")
        ),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_booking_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_booking")),
        sa.UniqueConstraint("uid", name=op.f("uq_booking_uid")),
    )
    with op.batch_alter_table("booking", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_booking_area_id"), ["area_id"], unique=False)
        batch_op.create_index(
            "ix_booking_pitch_id_starts_at", ["pitch_id", "starts_at"], unique=False
        )
        batch_op.create_index(
            "ix_booking_squad_id_starts_at", ["squad_id", "starts_at"], unique=False
        )
        batch_op.create_index("ix_booking_starts_at", ["starts_at"], unique=False)

    op.create_table(
        "booking_change",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("at", Instant(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("undoes_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(
            ["undoes_id"], ["booking_change.id"], name=op.f("fk_booking_change_undoes_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_booking_change")),
    )
    with op.batch_alter_table("booking_change", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_booking_change_at"), ["at"], unique=False)

    op.create_table(
        "changed_booking",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("booking_id", sa.Integer(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=True),
        sa.Column("after", sa.JSON(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=True),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_changed_booking_area_id")),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_changed_booking_booking_id")
        ),
        sa.ForeignKeyConstraint(
            ["change_id"], ["booking_change.id"], name=op.f("fk_changed_booking_change_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_changed_booking")),
    )
    with op.batch_alter_table("changed_booking", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_changed_booking_area_id"), ["area_id"], unique=False)
        batch_op.create_index("ix_changed_booking_booking_id", ["booking_id"], unique=False)
        batch_op.create_index("ix_changed_booking_change_id", ["change_id"], unique=False)

    op.create_table(
        "changed_record",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("change_id", sa.Integer(), nullable=False),
        sa.Column("sort", sa.String(), nullable=False),
        sa.Column("number", sa.String(), nullable=False),
        sa.Column("title", sa.String(), nullable=False),
        sa.Column("before", sa.JSON(), nullable=True),
        sa.Column("after", sa.JSON(), nullable=True),
        sa.ForeignKeyConstraint(
            ["change_id"], ["booking_change.id"], name=op.f("fk_changed_record_change_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_changed_record")),
    )
    with op.batch_alter_table("changed_record", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_changed_record_change_id"), ["change_id"], unique=False
        )
        batch_op.create_index("ix_changed_record_sort_number", ["sort", "number"], unique=False)

    op.create_table(
        "holiday_place",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("country", sa.String(), nullable=False),
        sa.Column("region", sa.String(), nullable=False),
        sa.CheckConstraint("id = 1", name=op.f("ck_holiday_place_one_place")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_holiday_place")),
    )
    op.create_table(
        "training_holiday",
        sa.Column("day", sa.Date(), nullable=False),
        sa.PrimaryKeyConstraint("day", name=op.f("pk_training_holiday")),
    )
    op.create_table(
        "squad_season",
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("starts_on", sa.Date(), nullable=True),
        sa.Column("ends_on", sa.Date(), nullable=True),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_squad_season_squad_id")),
        sa.PrimaryKeyConstraint("squad_id", name=op.f("pk_squad_season")),
    )
    op.create_table(
        "wear_limit",
        sa.Column("pitch_id", sa.Integer(), nullable=False),
        sa.Column("hours", sa.Double(), nullable=True),
        sa.Column("matches", sa.Double(), nullable=True),
        sa.Column("source", sa.String(), nullable=False),
        sa.Column("quality", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["pitch_id"], ["pitch.id"], name=op.f("fk_wear_limit_pitch_id")),
        sa.PrimaryKeyConstraint("pitch_id", name=op.f("pk_wear_limit")),
    )
    op.create_table(
        "closure",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=False),
        sa.Column("starts_at", Instant(), nullable=False),
        sa.Column("ends_at", Instant(), nullable=False),
        sa.Column("condition", sa.String(), nullable=False),
        sa.Column("words", sa.String(), nullable=False),
        sa.Column("reason", sa.String(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("lifted_at", Instant(), nullable=True),
        sa.CheckConstraint("ends_at > starts_at", name=op.f("ck_closure_runs_forward")),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_closure_area_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closure")),
    )
    with op.batch_alter_table("closure", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_closure_area_id"), ["area_id"], unique=False)

    op.create_table(
        "fixture",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("kick_off_from", sa.Integer(), nullable=False),
        sa.Column("kick_off_to", sa.Integer(), nullable=False),
        sa.Column("opponent", sa.String(), nullable=False),
        sa.Column("format_code", sa.String(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("warm_up_minutes", sa.Integer(), nullable=False),
        sa.Column("after_minutes", sa.Integer(), nullable=False),
        sa.Column("pitch_name", sa.String(), nullable=False),
        sa.Column("officials", sa.String(), nullable=False),
        sa.Column("opponents", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("booking_id", sa.Integer(), nullable=True),
        sa.Column("withdrawn_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["booking_id"], ["booking.id"], name=op.f("fk_fixture_booking_id")),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_fixture_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_fixture")),
        sa.UniqueConstraint("booking_id", name=op.f("uq_fixture_booking_id")),
    )
    with op.batch_alter_table("fixture", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_fixture_day"), ["day"], unique=False)

    op.create_table(
        "waiting_ask",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("from_min", sa.Integer(), nullable=False),
        sa.Column("to_min", sa.Integer(), nullable=False),
        sa.Column("minutes", sa.Integer(), nullable=False),
        sa.Column("least_share", sa.Double(), nullable=False),
        sa.Column("wants_more", sa.Boolean(), nullable=False),
        sa.Column("booking_id", sa.Integer(), nullable=True),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("asked_at", Instant(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.Column("answer", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_waiting_ask_booking_id")
        ),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_waiting_ask_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_waiting_ask")),
    )
    with op.batch_alter_table("waiting_ask", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_waiting_ask_day"), ["day"], unique=False)

    op.create_table(
        "swap_offer",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("own_id", sa.Integer(), nullable=False),
        sa.Column("other_id", sa.Integer(), nullable=False),
        sa.Column("own_sequence", sa.Integer(), nullable=False),
        sa.Column("other_sequence", sa.Integer(), nullable=False),
        sa.Column("by", sa.String(), nullable=False),
        sa.Column("note", sa.String(), nullable=False),
        sa.Column("offered_at", Instant(), nullable=False),
        sa.Column("state", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["other_id"], ["booking.id"], name=op.f("fk_swap_offer_other_id")),
        sa.ForeignKeyConstraint(["own_id"], ["booking.id"], name=op.f("fk_swap_offer_own_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_swap_offer")),
    )
    op.create_table(
        "lamp_cost",
        sa.Column("venue_id", sa.Integer(), nullable=False),
        sa.Column("per_hour", sa.Double(), nullable=False),
        sa.Column("currency", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["venue_id"], ["venue.id"], name=op.f("fk_lamp_cost_venue_id")),
        sa.PrimaryKeyConstraint("venue_id", name=op.f("pk_lamp_cost")),
    )
    op.create_table(
        "closure_day",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("closure_id", sa.Integer(), nullable=False),
        sa.Column("booking_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_closure_day_booking_id")
        ),
        sa.ForeignKeyConstraint(
            ["closure_id"], ["closure.id"], name=op.f("fk_closure_day_closure_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_closure_day")),
        sa.UniqueConstraint("booking_id", name=op.f("uq_closure_day_booking_id")),
    )
    with op.batch_alter_table("closure_day", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_closure_day_closure_id"), ["closure_id"], unique=False)

    op.create_table(
        "mail_off",
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("since", Instant(), nullable=False),
        sa.PrimaryKeyConstraint("address", name=op.f("pk_mail_off")),
    )
    op.create_table(
        "mail",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("message_id", sa.String(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("address", sa.String(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("changes", sa.JSON(), nullable=False),
        sa.Column("made_at", Instant(), nullable=False),
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
                name="mail_state",
                native_enum=False,
                create_constraint=True,
                length=16,
            ),
            nullable=False,
        ),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.Column("words", sa.String(), nullable=False),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_mail_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_mail")),
        sa.UniqueConstraint("message_id", name=op.f("uq_mail_message_id")),
    )
    with op.batch_alter_table("mail", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_mail_squad_id"), ["squad_id"], unique=False)
        batch_op.create_index("ix_mail_state_next_try_at", ["state", "next_try_at"], unique=False)

    op.create_table(
        "link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=True),
        sa.Column("coach", sa.String(), nullable=True),
        sa.Column("pitch_id", sa.Integer(), nullable=True),
        sa.Column("secret_hash", sa.String(), nullable=False),
        sa.Column("holder", sa.String(), nullable=False),
        sa.Column("email", sa.String(), nullable=False),
        sa.Column("reminder_minutes", sa.Integer(), nullable=True),
        sa.Column("mail_id", sa.Integer(), nullable=True),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("revoked_at", Instant(), nullable=True),
        sa.CheckConstraint(
            "(CASE WHEN squad_id IS NULL THEN 0 ELSE 1 END) + "
            "(CASE WHEN coach IS NULL THEN 0 ELSE 1 END) + "
            "(CASE WHEN pitch_id IS NULL THEN 0 ELSE 1 END) = 1",
            name=op.f("ck_link_one_subject"),
        ),
        sa.ForeignKeyConstraint(["mail_id"], ["mail.id"], name=op.f("fk_link_mail_id")),
        sa.ForeignKeyConstraint(["pitch_id"], ["pitch.id"], name=op.f("fk_link_pitch_id")),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_link_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_link")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_link_secret_hash")),
    )
    with op.batch_alter_table("link", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_link_mail_id"), ["mail_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_link_pitch_id"), ["pitch_id"], unique=False)
        batch_op.create_index(batch_op.f("ix_link_squad_id"), ["squad_id"], unique=False)

    op.create_table(
        "notice",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("entry_id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("sequence", sa.Integer(), nullable=False),
        sa.Column("changed_at", Instant(), nullable=False),
        sa.Column("is_wanted", sa.Boolean(), nullable=False),
        sa.Column("told_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(
            ["entry_id"], ["changed_booking.id"], name=op.f("fk_notice_entry_id")
        ),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_notice_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_notice")),
    )
    with op.batch_alter_table("notice", schema=None) as batch_op:
        batch_op.create_index("ix_notice_entry_id", ["entry_id"], unique=False)
        batch_op.create_index("ix_notice_told_at_squad_id", ["told_at", "squad_id"], unique=False)

    op.create_table(
        "busy_calendar",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("name", sa.String(), nullable=False),
        sa.Column("area_id", sa.Integer(), nullable=False),
        sa.Column("url", sa.String(), nullable=False),
        sa.Column("data", sa.LargeBinary(), nullable=True),
        sa.Column("etag", sa.String(), nullable=False),
        sa.Column("modified", sa.String(), nullable=False),
        sa.Column("problems", sa.JSON(), nullable=False),
        sa.Column("tried_at", Instant(), nullable=True),
        sa.Column("read_at", Instant(), nullable=True),
        sa.Column("ended_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(["area_id"], ["area.id"], name=op.f("fk_busy_calendar_area_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_busy_calendar")),
    )
    with op.batch_alter_table("busy_calendar", schema=None) as batch_op:
        batch_op.create_index(batch_op.f("ix_busy_calendar_area_id"), ["area_id"], unique=False)

    op.create_table(
        "busy_booking",
        sa.Column("booking_id", sa.Integer(), nullable=False),
        sa.Column("calendar_id", sa.Integer(), nullable=False),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_busy_booking_booking_id")
        ),
        sa.ForeignKeyConstraint(
            ["calendar_id"], ["busy_calendar.id"], name=op.f("fk_busy_booking_calendar_id")
        ),
        sa.PrimaryKeyConstraint("booking_id", name=op.f("pk_busy_booking")),
    )
    with op.batch_alter_table("busy_booking", schema=None) as batch_op:
        batch_op.create_index(
            batch_op.f("ix_busy_booking_calendar_id"), ["calendar_id"], unique=False
        )

    op.create_table(
        "stand",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("number", sa.Integer(), nullable=False),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_stand")),
    )
