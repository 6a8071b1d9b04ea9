"""A database of another shape is refused in plain words."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import StoreError
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.store.upkeep.test_migrate import run_sql

if TYPE_CHECKING:
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files


DIFFERENCES = (
    ("ALTER TABLE club RENAME COLUMN language TO l", "table “club” has no column “language”"),
    ("ALTER TABLE club ADD COLUMN motto VARCHAR", "“club” has a column “motto” that is not this"),
    ("DROP TABLE wear_limit", "table “wear_limit” is missing"),
    ("CREATE TABLE recipe (name TEXT)", "table “recipe” is not one of this program's"),
    ("DROP INDEX ix_booking_starts_at", "“booking” has lost its index “ix_booking_starts_at”"),
    ("DROP INDEX ix_booking_said", "“booking” has lost its index “ix_booking_said”"),
    ("CREATE INDEX low ON club (lower(name))", "table “club” has a strange index “low”"),
    ("CREATE UNIQUE INDEX one ON club (zone)", "table “club” has a strange index “one”"),
    ("CREATE TRIGGER mine AFTER INSERT ON club BEGIN SELECT 1; END", "trigger “mine” is not this"),
)
REWRITTEN = (
    ("club", "name VARCHAR NOT NULL", "name VARCHAR", "“name” of table “club” is VARCHAR or empty"),
    ("club", "zone VARCHAR", "zone INTEGER", "“zone” of table “club” is INTEGER, not VARCHAR"),
    ("club", "id = 1", "id < 9", "table “club” has another check “ck_club_one_club”"),
    ("mail", "UNIQUE (message_id)", "UNIQUE (id)", "another rule of unique values “uq_mail_mess"),
    ("link", "REFERENCES mail (id)", "REFERENCES club (id)", "another reference “fk_link_mail_id”"),
)


OTHER_WORDS = (
    "DROP INDEX ix_booking_said",
    "CREATE INDEX ix_booking_said ON booking ((substr(holder, 1, 400)))",
)


def rewrite(path: Path, table: str, before: str, after: str) -> None:
    """Change a table's statement in the schema itself."""
    with closing(sqlite3.connect(path)) as connection, connection:
        connection.execute("PRAGMA writable_schema = ON")
        changed = connection.execute(
            "UPDATE sqlite_master SET sql = replace(sql, ?, ?) WHERE type = 'table' AND name = ? "
            "AND instr(sql, ?)",
            (before, after, table, before),
        )
        assert changed.rowcount == 1


@pytest.mark.parametrize(("statement", "words"), DIFFERENCES)
def test_another_shape_is_refused_in_plain_words(
    club_store: Store, store_path: Path, statement: str, words: str
) -> None:
    """A number alone is not believed: what is missing or strange is named, whoever looks."""
    run_sql(store_path, statement)
    for use in (check_store, migrate):
        with pytest.raises(StoreError, match=re.escape(words)):
            use(club_store)


@pytest.mark.parametrize(("table", "before", "after", "words"), REWRITTEN)
def test_another_rule_is_refused_in_plain_words(
    club_file: Path,
    earlier: Store,
    earlier_path: Path,
    table: str,
    before: str,
    after: str,
    words: str,
) -> None:
    """Types, what may be empty, checks, unique values and references count too."""
    earlier_path.write_bytes(club_file.read_bytes())
    rewrite(earlier_path, table, before, after)
    with pytest.raises(StoreError, match=re.escape(words)):
        check_store(earlier)


def test_many_differences_are_counted(club_store: Store, store_path: Path) -> None:
    """A sentence stays a sentence."""
    run_sql(store_path, *(f"CREATE TABLE t{n} (x)" for n in range(7)))
    with pytest.raises(StoreError, match=r"“t3” is not one of this program's; and 3 more\. It was"):
        check_store(club_store)


def test_an_index_over_another_expression_is_refused(club_store: Store, store_path: Path) -> None:
    """Of an index over more than columns the expression counts, not the name alone."""
    run_sql(store_path, *OTHER_WORDS)
    with pytest.raises(StoreError, match="“booking” has another index “ix_booking_said”"):
        check_store(club_store)
