"""The shape of a PostgreSQL schema as its catalogue tells it, and of one made just now."""

from __future__ import annotations

import secrets
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy import text

from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sqlalchemy import Connection

_COLUMNS = """
    SELECT c.relname, a.attname, format_type(a.atttypid, a.atttypmod)
        || coalesce(' by ' || nullif(l.collname, 'default'), '')
        || coalesce(' else ' || CASE WHEN pg_get_expr(d.adbin, d.adrelid) LIKE 'nextval(%'
            THEN 'counted' ELSE pg_get_expr(d.adbin, d.adrelid) END, '')
        || CASE WHEN a.attnotnull THEN '' ELSE ' or empty' END
    FROM pg_attribute AS a
    JOIN pg_class AS c ON c.oid = a.attrelid AND c.relkind IN ('r', 'p')
    JOIN pg_namespace AS n ON n.oid = c.relnamespace
    LEFT JOIN pg_collation AS l ON l.oid = a.attcollation
    LEFT JOIN pg_attrdef AS d ON d.adrelid = a.attrelid AND d.adnum = a.attnum
    WHERE n.nspname = :schema AND a.attnum > 0 AND NOT a.attisdropped
    ORDER BY 1, a.attnum"""
_RULES = """
    SELECT c.relname, CASE k.contype WHEN 'p' THEN 'primary key' WHEN 'f' THEN 'reference'
        WHEN 'u' THEN 'rule of unique values' WHEN 'c' THEN 'check' ELSE 'rule' END,
        k.conname, replace(pg_get_constraintdef(k.oid), :schema || '.', '')
    FROM pg_constraint AS k JOIN pg_class AS c ON c.oid = k.conrelid
    JOIN pg_namespace AS n ON n.oid = c.relnamespace
    WHERE n.nspname = :schema AND k.contype IN ('p', 'f', 'u', 'c', 'x')
    UNION ALL
    SELECT c.relname, 'index', i.relname, replace(pg_get_indexdef(i.oid), :schema || '.', '')
    FROM pg_index AS x JOIN pg_class AS i ON i.oid = x.indexrelid
    JOIN pg_class AS c ON c.oid = x.indrelid JOIN pg_namespace AS n ON n.oid = c.relnamespace
    WHERE n.nspname = :schema
        AND NOT EXISTS (SELECT 1 FROM pg_constraint WHERE conindid = i.oid AND contype <> 'f')
    ORDER BY 1, 2, 3"""
_TRIGGERS = """
    SELECT t.tgname FROM pg_trigger AS t JOIN pg_class AS c ON c.oid = t.tgrelid
    JOIN pg_namespace AS n ON n.oid = c.relnamespace
    WHERE n.nspname = :schema AND NOT t.tgisinternal ORDER BY 1"""


def own_schema(connection: Connection) -> str:
    """Return the schema in which a connection's tables are."""
    return str(connection.scalar(text("SELECT current_schema()")))


def read_columns(connection: Connection, schema: str) -> dict[str, dict[str, str]]:
    """Return table → column → kind, default and whether it may be empty, in words."""
    found: dict[str, dict[str, str]] = {}
    for table, column, kind in connection.execute(text(_COLUMNS), {"schema": schema}):
        found.setdefault(table, {})[column] = kind
    return found


def read_rules(connection: Connection, schema: str) -> dict[str, dict[str, str]]:
    """Return table → what a rule is called, for a person → all that has to be the same."""
    found: dict[str, dict[str, str]] = {}
    for table, kind, name, exact in connection.execute(text(_RULES), {"schema": schema}):
        words = kind if kind == "primary key" else f"{kind} “{name}”"
        found.setdefault(table, {})[words] = exact
    return found


def read_triggers(connection: Connection, schema: str) -> list[str]:
    """Return the names of all triggers."""
    return list(connection.scalars(text(_TRIGGERS), {"schema": schema}))


@contextmanager
def just_made(connection: Connection) -> Iterator[tuple[Connection, str]]:
    """Make the tables of this version in a schema that is gone after the block.

    Yields:
        Another connection to the same database, and the schema's name.
    """
    schema = f"expected_{secrets.token_hex(6)}"
    with connection.engine.connect() as plain:
        fresh = plain.execution_options(schema_translate_map={None: schema})
        fresh.execute(text(f"CREATE SCHEMA {schema}"))
        Base.metadata.create_all(fresh)
        yield fresh, schema
        fresh.rollback()
