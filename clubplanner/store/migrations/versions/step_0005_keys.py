"""Bookings belong to their area by key, every column has its kind, and what two rules need.

`booking.overruled` is why a rule was overruled, `ask.most_in_a_row` the most evenings in a row,
`area.redrawn_at` when an area last got other cells.

Rows of before are mended where there is one answer: a booking gets the pitch and the cells of its
area where that puts it on nobody's ground. What was over at the last change of the records may keep
its cells, as it always could. Anything else is told, and nothing is changed.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from types import FunctionType
from typing import Any

import sqlalchemy as sa
from alembic import op

from clubplanner.errors import StoreError
from clubplanner.store.migrations.versions import (
    step_0001_first_tables,
    step_0002_mail_pause,
    step_0003_where_served,
)

revision = "0005"
down_revision = "0004"
branch_labels = None
depends_on = None

KINDS = (
    (sa.Boolean, "{} IN (0, 1)"),
    (sa.Integer, "typeof({}) = 'integer'"),
    (sa.Float, "typeof({}) = 'real'"),
    (sa.LargeBinary, "typeof({}) = 'blob'"),
    (sa.Enum, "typeof({}) = 'text'"),
    (sa.String, "typeof({}) = 'text'"),
    (sa.JSON, "typeof({}) = 'text'"),
    (sa.Date, "typeof({}) = 'text'"),
)
EARLIER_STEPS = (step_0001_first_tables, step_0002_mail_pause, step_0003_where_served)
MOST_TOLD = 4
LONGEST_S = 25 * 3600

STALE = """
    SELECT booking.id, area_id, starts_at, ends_at, is_withdrawn, holder,
           area.pitch_id AS pitch_id, area.cells AS cells,
           booking.pitch_id = area.pitch_id AND typeof(booking.cells) = 'integer' AS is_earlier
    FROM booking JOIN area ON area.id = area_id
    WHERE booking.pitch_id IS NOT area.pitch_id OR booking.cells IS NOT area.cells
    ORDER BY booking.id
"""
HOLDER = """
    SELECT other.id FROM booking AS other JOIN area ON area.id = other.area_id
    WHERE other.starts_at < :ends_at AND other.starts_at > :starts_at - :longest
      AND other.ends_at > :starts_at AND other.is_withdrawn = 0 AND other.id <> :id
      AND area.pitch_id = :pitch_id AND (area.cells & :cells) <> 0
    ORDER BY other.id LIMIT 1
"""


def upgrade() -> None:
    """Apply the step."""
    connection = op.get_bind()
    shape = _Shape()
    shape.draw()
    looked = sa.inspect(connection)
    kept = {
        name: {c["name"] for c in looked.get_columns(name)} for name in looked.get_table_names()
    }
    # A table that is not as it should be stays: the check of the shape that follows tells of it.
    whole = [t for t in shape.tables.values() if kept.get(t.name) == set(t.c.keys())]
    rules = {table.name: _rules(table) for table in whole}
    _refuse_other_kinds(connection, rules)
    redrawn = _mend_bookings(connection)
    shape.alter()
    for table in whole:
        for column, rule in _rules(table).items():
            table.append_constraint(
                sa.CheckConstraint(rule, op.f(f"ck_{table.name}_{column}_kind"))
            )
        _make_anew(connection, table, kept[table.name])
    for area, at in redrawn.items():
        change = sa.text("UPDATE area SET redrawn_at = :at WHERE id = :id")
        connection.execute(change, {"at": at, "id": area})


class _Shape:
    """The tables as the earlier steps leave them, to make each anew; takes the place of `op`."""

    def __init__(self) -> None:
        self.metadata = sa.MetaData(
            naming_convention={"ck": "ck_%(table_name)s_%(constraint_name)s"}
        )
        self.tables = self.metadata.tables
        self._table = ""

    def draw(self) -> None:
        """Note what the earlier steps make."""
        for step in EARLIER_STEPS:
            FunctionType(step.upgrade.__code__, {**vars(step), "op": self})()

    def alter(self) -> None:
        """Add what this step brings, besides the kinds."""
        booking, ask, area = (self.tables[name] for name in ("booking", "ask", "area"))
        blank = sa.text("''")
        booking.append_column(
            sa.Column("overruled", sa.String(), server_default=blank, nullable=False)
        )
        ask.append_column(sa.Column("most_in_a_row", sa.Integer(), nullable=True))
        area.append_column(sa.Column("redrawn_at", sa.BigInteger(), nullable=True))
        ask.append_constraint(
            sa.CheckConstraint("most_in_a_row BETWEEN 1 AND 6", op.f("ck_ask_less_than_a_week"))
        )
        area.append_constraint(
            sa.UniqueConstraint("id", "pitch_id", name=op.f("uq_area_id_pitch_id"))
        )
        booking.constraints -= {c for c in booking.constraints if c.name == "fk_booking_area_id"}
        booking.append_constraint(
            sa.ForeignKeyConstraint(
                ["area_id", "pitch_id"],
                ["area.id", "area.pitch_id"],
                name=op.f("fk_booking_area_id_pitch_id"),
            )
        )

    def create_table(self, name: str, *items: sa.schema.SchemaItem) -> None:
        """Note a table."""
        sa.Table(name, self.metadata, *items)

    @contextmanager
    def batch_alter_table(self, name: str, schema: None = None) -> Iterator["_Shape"]:  # noqa: ARG002
        """Note which table the next indexes are of."""
        self._table = name
        yield self

    def create_index(self, name: str, columns: list[str], *, unique: bool) -> None:
        """Note an index."""
        table = self.tables[self._table]
        sa.Index(name, *(table.c[column] for column in columns), unique=unique)

    @staticmethod
    def f(name: str) -> str:
        """Return a name that is whole."""
        return op.f(name)


def _make_anew(connection: sa.Connection, table: sa.Table, kept: set[str]) -> None:
    """Make a table anew and put its rows back."""
    copy = f"earlier_{table.name}"
    connection.exec_driver_sql(
        f"CREATE TEMPORARY TABLE {copy} AS SELECT * FROM {table.name}"  # noqa: S608 - ours
    )
    connection.exec_driver_sql(f"DROP TABLE {table.name}")
    connection.execute(sa.schema.CreateTable(table))
    for index in sorted(table.indexes, key=lambda index: str(index.name)):
        connection.execute(sa.schema.CreateIndex(index))
    columns = [column.name for column in table.c if column.name in kept]
    rows: Any = sa.select(*map(sa.column, columns)).select_from(sa.table(copy))
    connection.execute(sa.insert(table).from_select(columns, rows, include_defaults=False))
    connection.exec_driver_sql(f"DROP TABLE {copy}")


def _rules(table: sa.Table) -> dict[str, str]:
    """Return, by column, the condition that its values are of its kind."""
    rules = {}
    for column in table.c:
        kind = column.type
        if isinstance(kind, sa.TypeDecorator):
            kind = kind.impl_instance
        rule = next(rule for known, rule in KINDS if isinstance(kind, known))
        if column.name != "id":
            empty = f'"{column.name}" IS NULL OR ' if column.nullable else ""
            rules[column.name] = empty + rule.format(f'"{column.name}"')
    return rules


def _refuse_other_kinds(connection: sa.Connection, rules: dict[str, dict[str, str]]) -> None:
    """Tell of values that are not of their column's kind; a booking's cells can be mended."""
    faults = []
    for table, columns in rules.items():
        for column, rule in columns.items():
            if (table, column) == ("booking", "cells"):
                continue
            query = f'SELECT rowid, "{column}" FROM "{table}" WHERE NOT ({rule})'  # noqa: S608
            faults += [
                f"row {number} of table “{table}” has {value!r} as “{column}”"
                for number, value in connection.exec_driver_sql(query)
            ]
    _refuse(faults, "Put them right with the program that wrote them, or go back to a copy")


def _mend_bookings(connection: sa.Connection) -> dict[int, int]:
    """Give bookings the ground of their areas; return which areas were redrawn, by when at least.

    Raises:
        StoreError: If two that are not over would lie on the same ground.
    """
    redrawn: dict[int, int] = {}
    faults = []
    latest = connection.scalar(sa.text("SELECT max(at) FROM booking_change")) or 0
    for row in connection.execute(sa.text(STALE)).mappings().all():
        values = dict(row)
        holder = connection.scalar(sa.text(HOLDER), {**values, "longest": LONGEST_S})
        if row["is_withdrawn"] or holder is None:
            change = sa.text(
                "UPDATE booking SET pitch_id = :pitch_id, cells = :cells WHERE id = :id"
            )
            connection.execute(change, values)
        elif row["is_earlier"] and row["ends_at"] <= latest:
            redrawn[row["area_id"]] = max(redrawn.get(row["area_id"], 0), row["ends_at"])
        else:
            starts = f"{datetime.fromtimestamp(row['starts_at'], UTC):%Y-%m-%d %H:%M} UTC"
            faults.append(
                f"booking {row['id']} ({row['holder']}, {starts}) is kept with other ground than "
                f"its area's, and booking {holder} holds that"
            )
    _refuse(faults, "With the version that you had, withdraw or move one of them")
    return redrawn


def _refuse(faults: list[str], remedy: str) -> None:
    if faults:
        more = len(faults) - MOST_TOLD
        told = "; ".join(faults[:MOST_TOLD]) + (f"; and {more} more" if more > 0 else "")
        raise StoreError(
            f"The database cannot be brought up to date: {told}. Nothing was changed. {remedy}, "
            "then run “clubplanner init” again."
        )
