"""What was added to the first step while it could still be changed.

Databases of those days say “0001” and lack tables or columns. Only what is missing is added; where
nothing is, nothing happens. Tables and columns of other names stay: the check of the shape that
follows every upgrade tells of them.
"""

from types import FunctionType

import sqlalchemy as sa
from alembic import op
from alembic.migration import MigrationContext
from alembic.operations import Operations

from clubplanner.store.migrations.versions import step_0001_first_tables as first

revision = "0004"
down_revision = "0003"
branch_labels = None
depends_on = None

VALUES = {
    "ask": {
        "priority": "1",
        "rest_days": "0",
        "no_day_before": "'[]'",
        "no_day_after": "'[]'",
        "wishes": "'[]'",
        "partners": "'[]'",
    },
    "club": {
        "language": "'en'",
        "rules": '\'{"ages": [], "limits": [], "prices": [], "wants_compact": false}\'',
    },
    "fixture": {"opponents": "''"},
    "wear_limit": {"quality": "''"},
}
"""What rows of those days get in columns that are never empty: what the files' readers take where
nothing is written."""


def upgrade() -> None:
    """Apply the step."""
    connection = op.get_bind()
    if connection.dialect.name != "sqlite":
        return  # there were no others in those days
    tables, indexes = first_shape()
    there = sa.inspect(connection).get_table_names()
    for name, statement in tables.items():
        if name not in there:
            _run(connection, statement, *indexes[name])
        elif missing := _missing_columns(connection, name, statement):
            _fill_up(connection, name, missing, (statement, *indexes[name]))


def first_shape() -> tuple[dict[str, str], dict[str, list[str]]]:
    """Return the statements that make the tables of the first step, and those of their indexes."""
    scratch = sa.create_engine("sqlite://")
    with scratch.begin() as connection:
        operations = Operations(MigrationContext.configure(connection))
        # The step works through the module's `op`, which stands for the database being upgraded.
        FunctionType(first.upgrade.__code__, {**vars(first), "op": operations})()
        rows = connection.execute(
            sa.text("SELECT type, tbl_name, sql FROM sqlite_master WHERE sql IS NOT NULL")
        ).all()
    scratch.dispose()
    tables = {name: sql for kind, name, sql in rows if kind == "table"}
    indexes: dict[str, list[str]] = {name: [] for name in tables}
    for kind, name, sql in rows:
        if kind == "index":
            indexes[name].append(sql)
    return tables, indexes


def _missing_columns(connection: sa.Connection, table: str, statement: str) -> list[str]:
    """List the columns that a table lacks and that its rows can be given."""
    there = {column["name"] for column in sa.inspect(connection).get_columns(table)}
    scratch = sa.create_engine("sqlite://")
    with scratch.begin() as fresh:
        fresh.exec_driver_sql(statement)
        columns = sa.inspect(fresh).get_columns(table)
    scratch.dispose()
    given = VALUES.get(table, {})
    return [
        column["name"]
        for column in columns
        if column["name"] not in there and (column["nullable"] or column["name"] in given)
    ]


def _fill_up(
    connection: sa.Connection, table: str, missing: list[str], statements: tuple[str, ...]
) -> None:
    """Make a table anew with the columns it lacks, and put its rows back."""
    kept = [column["name"] for column in sa.inspect(connection).get_columns(table)]
    values = [VALUES.get(table, {}).get(name, "NULL") for name in missing]
    copy = f"CREATE TEMPORARY TABLE earlier_{table} AS SELECT * FROM {table}"  # noqa: S608 - ours
    _run(connection, copy, f"DROP TABLE {table}", *statements)
    earlier = sa.table(f"earlier_{table}", *map(sa.column, kept))
    rows = sa.select(*earlier.c, *map(sa.literal_column, values)).select_from(earlier)
    names = [*kept, *missing]
    connection.execute(sa.insert(sa.table(table, *map(sa.column, names))).from_select(names, rows))
    _run(connection, f"DROP TABLE earlier_{table}")


def _run(connection: sa.Connection, *statements: str) -> None:
    for statement in statements:
        connection.exec_driver_sql(statement)
