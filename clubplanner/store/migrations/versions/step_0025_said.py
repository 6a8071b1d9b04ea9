"""Indexes over all that bookings and the journal of them say, so that a name is found in them."""

from alembic import op

revision = "0025"
down_revision = "0024"
branch_labels = None
depends_on = None

KEPT = ("holder", "note", "overruled", "why")


def upgrade() -> None:
    """Apply the step."""
    is_sqlite = op.get_bind().dialect.name == "sqlite"
    line, collate = ("char(10)", "") if is_sqlite else ("chr(10)", ' COLLATE "C"')
    state = _sqlite_state if is_sqlite else _postgres_state
    between = " || " if is_sqlite else " || chr(10) || "
    said = {
        "booking": f"holder || {line} || note || {line} || overruled",
        "changed_booking": f"{state('after')}{between}{state('before')}",
    }
    for table, words in said.items():
        op.execute(f"CREATE INDEX ix_{table}_said ON {table} ((substr({words}, 1, 400)){collate})")


def _sqlite_state(column: str) -> str:
    paths = ", ".join(f"'$.{name}'" for name in KEPT)
    words = f"json_extract({column}, {paths})"
    if column == "after":
        return words
    return f"CASE {column} WHEN 'null' THEN '' ELSE coalesce({words}, '') END"


def _postgres_state(column: str) -> str:
    return " || chr(10) || ".join(f"coalesce({column} ->> '{name}', '')" for name in KEPT)
