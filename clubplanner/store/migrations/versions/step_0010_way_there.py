"""How to get to a venue and whom to call there, and addresses of one session (`session_link`)."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0010"
down_revision = "0009"
branch_labels = None
depends_on = None

VENUE = """CREATE TABLE venue (
\tid INTEGER NOT NULL, 
\t"key" VARCHAR NOT NULL, 
\tposition INTEGER NOT NULL, 
\tname VARCHAR NOT NULL, 
\taddress VARCHAR NOT NULL, 
\tlon DOUBLE NOT NULL, 
\tlat DOUBLE NOT NULL, 
\topening JSON NOT NULL, 
\tlights_off_min INTEGER, 
\tdusk_margin_minutes INTEGER NOT NULL, 
\tway_in VARCHAR NOT NULL, 
\tparking VARCHAR NOT NULL, 
\tcontact VARCHAR NOT NULL, 
\tcontact_phone VARCHAR NOT NULL, 
\tphone_for_parents BOOLEAN NOT NULL, 
\tCONSTRAINT pk_venue PRIMARY KEY (id), 
\tCONSTRAINT uq_venue_key UNIQUE ("key"), 
\tCONSTRAINT ck_venue_key_kind CHECK (typeof("key") = 'text'), 
\tCONSTRAINT ck_venue_position_kind CHECK (typeof("position") = 'integer'), 
\tCONSTRAINT ck_venue_name_kind CHECK (typeof("name") = 'text'), 
\tCONSTRAINT ck_venue_address_kind CHECK (typeof("address") = 'text'), 
\tCONSTRAINT ck_venue_lon_kind CHECK (typeof("lon") = 'real'), 
\tCONSTRAINT ck_venue_lat_kind CHECK (typeof("lat") = 'real'), 
\tCONSTRAINT ck_venue_opening_kind CHECK (typeof("opening") = 'text'), 
\tCONSTRAINT ck_venue_lights_off_min_kind CHECK ("lights_off_min" IS NULL OR typeof("lights_off_min") = 'integer'), 
\tCONSTRAINT ck_venue_dusk_margin_minutes_kind CHECK (typeof("dusk_margin_minutes") = 'integer'), 
\tCONSTRAINT ck_venue_way_in_kind CHECK (typeof("way_in") = 'text'), 
\tCONSTRAINT ck_venue_parking_kind CHECK (typeof("parking") = 'text'), 
\tCONSTRAINT ck_venue_contact_kind CHECK (typeof("contact") = 'text'), 
\tCONSTRAINT ck_venue_contact_phone_kind CHECK (typeof("contact_phone") = 'text'), 
\tCONSTRAINT ck_venue_phone_for_parents_kind CHECK ("phone_for_parents" IN (0, 1))
)"""  # noqa: E501, W291 - as SQLite keeps the statement of a new database
COLUMNS = "id, key, position, name, address, lon, lat, opening, lights_off_min, dusk_margin_minutes"
ADDED = ("way_in", "parking", "contact", "contact_phone")
"""Blank until somebody types them, as in files without them."""
KINDS = {
    "booking_id": "typeof({}) = 'integer'",
    "secret_hash": "typeof({}) = 'text'",
    "holder": "typeof({}) = 'text'",
    "made_by": "typeof({}) = 'text'",
    "may_count": "{} IN (0, 1)",
    "created_at": "typeof({}) = 'integer'",
    "revoked_at": "{0} IS NULL OR typeof({0}) = 'integer'",
}


def upgrade() -> None:
    """Apply the step."""
    connection = op.get_bind()
    is_sqlite = connection.dialect.name == "sqlite"
    rules = KINDS if is_sqlite else {}
    op.create_table(
        "session_link",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("booking_id", sa.Integer(), nullable=False),
        sa.Column("secret_hash", sa.String(), nullable=False),
        sa.Column("holder", sa.String(), nullable=False),
        sa.Column("made_by", sa.String(), nullable=False),
        sa.Column("may_count", sa.Boolean(), nullable=False),
        sa.Column("created_at", Instant(), nullable=False),
        sa.Column("revoked_at", Instant(), nullable=True),
        sa.ForeignKeyConstraint(
            ["booking_id"], ["booking.id"], name=op.f("fk_session_link_booking_id")
        ),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_session_link")),
        sa.UniqueConstraint("secret_hash", name=op.f("uq_session_link_secret_hash")),
        *(
            sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_session_link_{name}_kind"))
            for name, rule in rules.items()
        ),
    )
    op.create_index(
        op.f("ix_session_link_booking_id"), "session_link", ["booking_id"], unique=False
    )
    if is_sqlite:
        _make_venues_anew(connection)
        return
    for name in ADDED:
        op.add_column("venue", sa.Column(name, sa.String(), nullable=False, server_default=""))
        op.alter_column("venue", name, server_default=None)
    no = sa.false()
    op.add_column(
        "venue", sa.Column("phone_for_parents", sa.Boolean(), nullable=False, server_default=no)
    )
    op.alter_column("venue", "phone_for_parents", server_default=None)


def _make_venues_anew(connection: sa.Connection) -> None:
    """Make the table anew with its rows: SQLite puts what is added behind the table's rules.

    One that is not as it should be stays: the check of the shape that follows tells of it.
    """
    there = {column["name"] for column in sa.inspect(connection).get_columns("venue")}
    if there != set(COLUMNS.split(", ")):
        return
    blanks = ", ".join("''" for _name in ADDED)
    names = f"{COLUMNS}, {', '.join(ADDED)}, phone_for_parents"
    for statement in (
        "CREATE TEMPORARY TABLE earlier_venue AS SELECT * FROM venue",
        "DROP TABLE venue",
        VENUE,
        f"INSERT INTO venue ({names}) SELECT {COLUMNS}, {blanks}, 0 FROM earlier_venue",  # noqa: S608
        "DROP TABLE earlier_venue",
    ):
        connection.exec_driver_sql(statement)
