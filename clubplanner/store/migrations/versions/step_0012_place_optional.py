"""A venue's place may be left for later: `lon` and `lat` are both numbers, or both empty."""

import sqlalchemy as sa
from alembic import op

revision = "0012"
down_revision = "0011"
branch_labels = None
depends_on = None

WHOLE = "CONSTRAINT ck_venue_has_whole_place CHECK ((lon IS NULL) = (lat IS NULL))"
KEY = "CONSTRAINT pk_venue PRIMARY KEY (id)"
CHANGES = (
    ("lon DOUBLE NOT NULL", "lon DOUBLE"),
    ("lat DOUBLE NOT NULL", "lat DOUBLE"),
    ("CHECK (typeof(\"lon\") = 'real')", 'CHECK ("lon" IS NULL OR typeof("lon") = \'real\')'),
    ("CHECK (typeof(\"lat\") = 'real')", 'CHECK ("lat" IS NULL OR typeof("lat") = \'real\')'),
    (KEY, f"{KEY}, {WHOLE}"),
)
"""What is other in the statement that made the table; columns that other steps gave it stay."""


def upgrade() -> None:
    """Apply the step."""
    connection = op.get_bind()
    if connection.dialect.name != "sqlite":
        op.alter_column("venue", "lon", nullable=True)
        op.alter_column("venue", "lat", nullable=True)
        op.create_check_constraint(
            op.f("ck_venue_has_whole_place"), "venue", "(lon IS NULL) = (lat IS NULL)"
        )
        return
    _make_venues_anew(connection)


def _make_venues_anew(connection: sa.Connection) -> None:
    """Make the table anew with its rows: SQLite lets no column be empty that once had to be filled.

    One that is not as it should be stays: the check of the shape that follows tells of it.
    """
    made, *indexes = connection.execute(
        sa.text(
            "SELECT sql FROM sqlite_master WHERE tbl_name = 'venue' AND sql IS NOT NULL"
            " AND type IN ('table', 'index') ORDER BY type = 'index'"
        )
    ).scalars()
    for earlier, later in CHANGES:
        if made.count(earlier) != 1:
            return
        made = made.replace(earlier, later)
    columns = ", ".join(f'"{c["name"]}"' for c in sa.inspect(connection).get_columns("venue"))
    for statement in (
        "CREATE TEMPORARY TABLE earlier_venue AS SELECT * FROM venue",
        "DROP TABLE venue",
        made,
        *indexes,
        f"INSERT INTO venue ({columns}) SELECT {columns} FROM earlier_venue",  # noqa: S608 - ours
        "DROP TABLE earlier_venue",
    ):
        connection.exec_driver_sql(statement)
