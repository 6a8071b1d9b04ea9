"""Every column has its kind: SQLite by itself stores words where a number belongs.

A rule a column keeps whole numbers, fractions, words, bytes and yes-or-no apart, whoever writes.
Other databases do that without being told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sqlalchemy import (
    JSON,
    Boolean,
    CheckConstraint,
    Date,
    Enum,
    Float,
    Integer,
    LargeBinary,
    String,
    TypeDecorator,
)

if TYPE_CHECKING:
    from sqlalchemy import Column, Table
    from sqlalchemy.types import TypeEngine

STORED_AS: tuple[tuple[type[TypeEngine[Any]], str], ...] = (
    (Boolean, "{} IN (0, 1)"),
    (Integer, "typeof({}) = 'integer'"),
    (Float, "typeof({}) = 'real'"),
    (LargeBinary, "typeof({}) = 'blob'"),
    (Enum, "typeof({}) = 'text'"),
    (String, "typeof({}) = 'text'"),
    (JSON, "typeof({}) = 'text'"),
    (Date, "typeof({}) = 'text'"),
)
"""How SQLite stores values of a type that SQLAlchemy writes (https://sqlite.org/datatype3.html)."""


def hold_kinds(table: Table) -> None:
    """Give a table a check for each column that SQLite would let take any kind of value."""
    for column in list(table.c):
        if column.name == "id":
            continue  # SQLite keeps a row's own number whole in any case
        name = f"{column.name}_kind"
        check = CheckConstraint(kind_rule(column), name=name).ddl_if(dialect="sqlite")
        table.append_constraint(check)


def kind_rule(column: Column[Any]) -> str:
    """Return the condition that a column's values are of its kind, as SQLite's SQL.

    What refers to another row is a number; its type is not known before that table is.
    """
    if column.foreign_keys:
        kind: TypeEngine[Any] = Integer()
    else:
        kind = column.type.impl_instance if isinstance(column.type, TypeDecorator) else column.type
    quoted = f'"{column.name}"'
    rule = next(rule for known, rule in STORED_AS if isinstance(kind, known)).format(quoted)
    return f"{quoted} IS NULL OR {rule}" if column.nullable else rule
