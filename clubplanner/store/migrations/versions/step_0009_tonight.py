"""Who comes on an evening (`turnout`), and share-outs of an evening that lies in no stretch."""

import sqlalchemy as sa
from alembic import op

from clubplanner.store.columns import Instant

revision = "0009"
down_revision = "0008"
branch_labels = None
depends_on = None

SHARE_OUT = """CREATE TABLE share_out (
\tid INTEGER NOT NULL, 
\tstretch_id INTEGER, 
\tsort VARCHAR NOT NULL, 
\tcreated_at BIGINT NOT NULL, 
\tkind VARCHAR NOT NULL, 
\toutcome JSON NOT NULL, 
\tpublished_at BIGINT, 
\tCONSTRAINT pk_share_out PRIMARY KEY (id), 
\tCONSTRAINT fk_share_out_stretch_id FOREIGN KEY(stretch_id) REFERENCES stretch (id), 
\tCONSTRAINT ck_share_out_stretch_id_kind CHECK ("stretch_id" IS NULL OR typeof("stretch_id") = 'integer'), 
\tCONSTRAINT ck_share_out_sort_kind CHECK (typeof("sort") = 'text'), 
\tCONSTRAINT ck_share_out_created_at_kind CHECK (typeof("created_at") = 'integer'), 
\tCONSTRAINT ck_share_out_kind_kind CHECK (typeof("kind") = 'text'), 
\tCONSTRAINT ck_share_out_outcome_kind CHECK (typeof("outcome") = 'text'), 
\tCONSTRAINT ck_share_out_published_at_kind CHECK ("published_at" IS NULL OR typeof("published_at") = 'integer')
)"""  # noqa: E501, W291 - as SQLite keeps the statement of a new database
COLUMNS = "id, stretch_id, sort, created_at, kind, outcome, published_at"
KINDS = {
    "squad_id": "typeof({}) = 'integer'",
    "day": "typeof({}) = 'text'",
    "players": "{0} IS NULL OR typeof({0}) = 'integer'",
    "goalkeepers": "{0} IS NULL OR typeof({0}) = 'integer'",
    "is_coming": "{0} IS NULL OR {0} IN (0, 1)",
    "from_min": "{0} IS NULL OR typeof({0}) = 'integer'",
    "until_min": "{0} IS NULL OR typeof({0}) = 'integer'",
    "minutes": "{0} IS NULL OR typeof({0}) = 'integer'",
    "said_by": "typeof({}) = 'text'",
    "said_at": "typeof({}) = 'integer'",
}


def upgrade() -> None:
    """Apply the step."""
    connection = op.get_bind()
    is_sqlite = connection.dialect.name == "sqlite"
    rules = KINDS if is_sqlite else {}
    op.create_table(
        "turnout",
        sa.Column("id", sa.Integer(), nullable=False),
        sa.Column("squad_id", sa.Integer(), nullable=False),
        sa.Column("day", sa.Date(), nullable=False),
        sa.Column("players", sa.Integer(), nullable=True),
        sa.Column("goalkeepers", sa.Integer(), nullable=True),
        sa.Column("is_coming", sa.Boolean(), nullable=True),
        sa.Column("from_min", sa.Integer(), nullable=True),
        sa.Column("until_min", sa.Integer(), nullable=True),
        sa.Column("minutes", sa.Integer(), nullable=True),
        sa.Column("said_by", sa.String(), nullable=False),
        sa.Column("said_at", Instant(), nullable=False),
        sa.CheckConstraint(
            "goalkeepers BETWEEN 0 AND players", name=op.f("ck_turnout_keepers_are_players")
        ),
        sa.CheckConstraint("until_min > from_min", name=op.f("ck_turnout_runs_forward")),
        sa.ForeignKeyConstraint(["squad_id"], ["squad.id"], name=op.f("fk_turnout_squad_id")),
        sa.PrimaryKeyConstraint("id", name=op.f("pk_turnout")),
        sa.UniqueConstraint("squad_id", "day", name=op.f("uq_turnout_squad_id_day")),
        *(
            sa.CheckConstraint(rule.format(f'"{name}"'), name=op.f(f"ck_turnout_{name}_kind"))
            for name, rule in rules.items()
        ),
    )
    op.create_index(op.f("ix_turnout_day"), "turnout", ["day"], unique=False)
    if is_sqlite:
        _make_share_outs_anew(connection)
    else:
        op.alter_column("share_out", "stretch_id", nullable=True)


def _make_share_outs_anew(connection: sa.Connection) -> None:
    """Make the table anew with its rows: SQLite lets no column be empty that once had to be filled.

    One that is not as it should be stays: the check of the shape that follows tells of it.
    """
    there = {column["name"] for column in sa.inspect(connection).get_columns("share_out")}
    if there != set(COLUMNS.split(", ")):
        return
    for statement in (
        "CREATE TEMPORARY TABLE earlier_share_out AS SELECT * FROM share_out",
        "DROP TABLE share_out",
        SHARE_OUT,
        "CREATE INDEX ix_share_out_stretch_id ON share_out (stretch_id)",
        f"INSERT INTO share_out ({COLUMNS}) SELECT {COLUMNS} FROM earlier_share_out",  # noqa: S608
        "DROP TABLE earlier_share_out",
    ):
        connection.exec_driver_sql(statement)
