"""The shape of a database: its tables, columns, keys, rules and triggers, held to what we expect.

A number says of which version a database is; only its shape says whether that is true. What
differs is told in plain words before anything is read or written.
"""

from __future__ import annotations

import warnings
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from sqlalchemy import create_engine, inspect, text
from sqlalchemy.exc import SAWarning

from clubplanner.store import postgres, postgres_shape
from clubplanner.store.tables.base import Base

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from sqlalchemy import Connection, Inspector

VERSION_TABLE = "alembic_version"
MOST_TOLD = 4


@dataclass(frozen=True, slots=True)
class Shape:
    """What a database is like.

    Attributes:
        columns: Table → column → kind, in words.
        rules: Table → what a rule is called → all that has to be the same.
    """

    columns: Mapping[str, Mapping[str, str]]
    rules: Mapping[str, Rules]


_OVER_EXPRESSIONS = """
    SELECT tbl_name, name, sql FROM sqlite_master AS i WHERE type = 'index' AND sql IS NOT NULL
        AND EXISTS (SELECT 1 FROM pragma_index_info(i.name) WHERE cid = -2)"""
"""Indexes over more than columns, which SQLAlchemy leaves out with a warning
(https://sqlite.org/pragma.html#pragma_index_info: -2 is an expression)."""
_sound: set[str] = set()
"""Schemas, as SQL, that had no fault: the same words need no second look."""

Rules = dict[str, str]
"""What a table has besides its columns: words for a person → all that has to be the same."""


def shape_faults(connection: Connection, triggers: Iterable[str]) -> list[str]:
    """Say how a database differs from the shape that this version of the program expects.

    Tables, columns with type and whether they may be empty, keys, references, unique values,
    checks, indexes and foreign triggers count; views do not, nor does the order of columns.

    Args:
        connection: To the database.
        triggers: The names of the triggers that may be there; whether they stand is the guard's
            question.

    Returns:
        Clauses such as "table “club” has no column “language”", in a steady order.
    """
    known = sorted(triggers)
    schema = "\n".join([*known, *_statements(connection)])
    if schema in _sound:
        return []
    with _expected(connection) as expected:
        faults = [
            *_table_faults(expected, _look_at(connection), set(known)),
            *(
                f"trigger “{name}” is not this program's"
                for name in _triggers(connection)
                if name not in known
            ),
        ]
    if not faults:
        _sound.add(schema)
    return faults


def _statements(connection: Connection) -> list[str]:
    """Return the schema in words, all of it, in a steady order."""
    if connection.dialect.name == postgres.NAME:
        version = str(connection.dialect.server_version_info)  # it words rules in its own way
        return [version, str(_look_at(connection)), *_triggers(connection)]
    rows = connection.execute(
        text("SELECT type, name, tbl_name, coalesce(sql, '') FROM sqlite_master ORDER BY 1, 2")
    )
    return [" ".join(row) for row in rows]


def told_faults(faults: list[str]) -> str:
    """Join faults for a person: the first few, and how many there are more."""
    more = len(faults) - MOST_TOLD
    words = "; ".join(faults[:MOST_TOLD])
    return f"{words}; and {more} more" if more > 0 else words


@contextmanager
def _expected(connection: Connection) -> Iterator[Shape]:
    """Give the shape of a database of the same kind that was made just now."""
    if connection.dialect.name == postgres.NAME:
        with postgres_shape.just_made(connection) as (fresh, schema):
            yield _look_at(fresh, schema)
        return
    scratch = create_engine("sqlite://")
    try:
        with scratch.begin() as fresh:
            Base.metadata.create_all(fresh)
            yield _look_at(fresh)
    finally:
        scratch.dispose()


def _look_at(connection: Connection, schema: str = "") -> Shape:
    if connection.dialect.name == postgres.NAME:
        schema = schema or postgres_shape.own_schema(connection)
        return Shape(
            postgres_shape.read_columns(connection, schema),
            postgres_shape.read_rules(connection, schema),
        )
    looked = inspect(connection)
    with warnings.catch_warnings():
        warnings.filterwarnings("ignore", "Skipped unsupported reflection", SAWarning)
        rules = _rules(looked)
    for table, name, words in connection.execute(text(_OVER_EXPRESSIONS)):
        rules[table][f"index “{name}”"] = " ".join(words.split())
    return Shape(_columns(looked), rules)


def _triggers(connection: Connection) -> list[str]:
    if connection.dialect.name == postgres.NAME:
        return postgres_shape.read_triggers(connection, postgres_shape.own_schema(connection))
    return list(
        connection.scalars(
            text("SELECT name FROM sqlite_master WHERE type = 'trigger' ORDER BY name")
        )
    )


def _table_faults(expected: Shape, found: Shape, guards: set[str]) -> Iterator[str]:
    wanted, there = set(expected.columns), set(found.columns) - {VERSION_TABLE}
    for name in sorted(wanted - there):
        yield f"table “{name}” is missing"
    for name in sorted(there - wanted):
        yield f"table “{name}” is not one of this program's"
    for name in sorted(wanted & there):
        yield from _column_faults(name, expected.columns[name], found.columns[name])
        rules = {
            words: exact
            for words, exact in found.rules.get(name, {}).items()
            if words.partition("“")[2].rstrip("”") not in guards
        }
        yield from _rule_faults(name, expected.rules.get(name, {}), rules)


def _column_faults(
    table: str, expected: Mapping[str, str], found: Mapping[str, str]
) -> Iterator[str]:
    for name, kind in expected.items():
        if name not in found:
            yield f"table “{table}” has no column “{name}”"
        elif found[name] != kind:
            yield f"column “{name}” of table “{table}” is {found[name]}, not {kind}"
    for name in found:
        if name not in expected:
            yield f"table “{table}” has a column “{name}” that is not this program's"


def _rule_faults(table: str, expected: Rules, found: Rules) -> Iterator[str]:
    for words, exact in expected.items():
        if words not in found:
            yield f"table “{table}” has lost its {words}"
        elif found[words] != exact:
            yield f"table “{table}” has another {words}"
    for words in found:
        if words not in expected:
            yield f"table “{table}” has a strange {words}"


def _columns(looked: Inspector) -> dict[str, dict[str, str]]:
    return {
        name: {
            column["name"]: f"{column['type']}{' or empty' if column['nullable'] else ''}"
            for column in columns
        }
        for (_, name), columns in looked.get_multi_columns().items()
    }


def _rules(looked: Inspector) -> dict[str, Rules]:
    rules: dict[str, Rules] = {name: {} for name in looked.get_table_names()}
    for (_, name), key in looked.get_multi_pk_constraint().items():
        rules[name]["primary key"] = str(key["constrained_columns"])
    gathered: list[tuple[str, Mapping[Any, Any]]] = [
        ("reference", looked.get_multi_foreign_keys()),
        ("rule of unique values", looked.get_multi_unique_constraints()),
        ("check", looked.get_multi_check_constraints()),
        ("index", looked.get_multi_indexes()),
    ]
    for kind, by_table in gathered:
        for (_, name), entries in by_table.items():
            for entry in entries:
                exact = str(sorted((key, _exact(value)) for key, value in entry.items()))
                rules[name][f"{kind} “{entry['name']}”"] = exact
    return rules


def _exact(value: Any) -> str:
    """Write what makes up a rule; the condition of an index is SQL inside a mapping."""
    if isinstance(value, dict):
        return str(sorted((key, str(part)) for key, part in value.items()))
    return str(value)
