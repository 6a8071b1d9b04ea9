"""Records of before the keys: mended where there is one answer, else told and left alone."""

from __future__ import annotations

import re
import sqlite3
from contextlib import closing
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import StoreError
from clubplanner.store.engine import open_store
from clubplanner.store.upkeep.migrate import check_store, migrate
from tests.store.earlier import put_earlier, rows_of
from tests.store.upkeep.test_migrate import run_sql, schema_of

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

pytestmark = pytest.mark.files

LIVE = "is_withdrawn = 0 AND ends_at > (SELECT max(at) FROM booking_change)"
OVER = "is_withdrawn = 0 AND ends_at <= (SELECT max(at) FROM booking_change)"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Give the place of a lived-in database of the step before."""
    put_earlier(tmp_path / "club.sqlite", "0004")
    return tmp_path / "club.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[Store]:
    """Give a store at that place."""
    opened = open_store(f"sqlite:///{path}")
    yield opened
    opened.close()


def number_of(path: Path, condition: str) -> int:
    """Return the first booking that meets a condition."""
    with closing(sqlite3.connect(path)) as connection:
        query = f"SELECT min(id) FROM booking WHERE {condition}"  # noqa: S608
        return int(connection.execute(query).fetchone()[0])


def row_of(path: Path, number: int) -> dict[str, object]:
    """Return a booking as it is stored."""
    return next(row for row in rows_of(path)["booking"] if row["id"] == number)


def put_on_one_area(path: Path, condition: str) -> int:
    """Let another booking lie on the area of the first at its time, by cells of nobody.

    Returns:
        The number of the other.
    """
    first = number_of(path, condition)
    second = number_of(path, f"{condition} AND id > {first}")
    run_sql(
        path,
        f"UPDATE booking SET cells = 1 << 40 WHERE id = {second}",  # noqa: S608
        "UPDATE booking SET (pitch_id, area_id, starts_at, ends_at) = "  # noqa: S608
        "(SELECT pitch_id, area_id, starts_at, ends_at FROM booking AS b "
        f"WHERE b.id = {first}) WHERE id = {second}",
    )
    return second


@pytest.mark.parametrize(
    "change",
    ["cells = 1 << 40", "cells = 'all of it'", "pitch_id = pitch_id % 3 + 1"],
)
@pytest.mark.parametrize("condition", [LIVE, OVER, "is_withdrawn = 1"])
def test_a_booking_gets_the_ground_of_its_area(
    store: Store, path: Path, change: str, condition: str
) -> None:
    """Nobody else is there, so there is one answer: it becomes what it was."""
    number = number_of(path, condition)
    before = row_of(path, number)
    run_sql(path, f"UPDATE booking SET {change} WHERE id = {number}")  # noqa: S608
    assert row_of(path, number) != before
    migrate(store)
    check_store(store)
    assert row_of(path, number).items() >= before.items()
    assert {row["redrawn_at"] for row in rows_of(path)["area"]} == {None}


def test_two_areas_that_changed_numbers_are_mended_together(store: Store, path: Path) -> None:
    """What stands in the way by an old number only is no obstacle."""
    first = number_of(
        path,
        "is_withdrawn = 0 AND EXISTS (SELECT 1 FROM booking AS b WHERE b.id > booking.id "
        "AND b.pitch_id = booking.pitch_id AND b.starts_at = booking.starts_at)",
    )
    row = row_of(path, first)
    together = f"pitch_id = {row['pitch_id']} AND starts_at = {row['starts_at']}"
    second = number_of(path, f"is_withdrawn = 0 AND {together} AND id > {first}")
    before = row, row_of(path, second)
    run_sql(
        path,
        f"UPDATE booking SET cells = 1 << 40 WHERE id = {first}",  # noqa: S608
        f"UPDATE booking SET cells = {row['cells']} WHERE id = {second}",  # noqa: S608
        f"UPDATE booking SET cells = {before[1]['cells']} WHERE id = {first}",  # noqa: S608
    )
    migrate(store)
    for was in before:
        assert row_of(path, int(str(was["id"]))).items() >= was.items()


def test_two_on_one_ground_are_named(store: Store, path: Path) -> None:
    """Which of the two has to go is for people to say; until then nothing is changed."""
    number = put_on_one_area(path, LIVE)
    before = rows_of(path), schema_of(path)
    with pytest.raises(
        StoreError,
        match=rf"booking {number} \(.*, 2026-\d\d-\d\d \d\d:\d\d UTC\) is kept with other ground "
        r"than its area's, and booking \d+ holds that\. Nothing was changed\. With the version that"
        r" you had, withdraw or move one of them, then run “clubplanner init” again\.",
    ):
        migrate(store)
    assert (rows_of(path), schema_of(path)) == before
    store.close()
    assert sorted(file.name for file in path.parent.iterdir()) == ["club.sqlite"]


def test_what_is_over_keeps_the_cells_of_its_day(store: Store, path: Path) -> None:
    """Its ground has been redrawn since, which its area says from now on."""
    number = put_on_one_area(path, OVER)
    before = row_of(path, number)
    migrate(store)
    check_store(store)
    after = row_of(path, number)
    assert after.items() >= before.items()
    redrawn = {row["id"]: row["redrawn_at"] for row in rows_of(path)["area"] if row["redrawn_at"]}
    assert redrawn == {after["area_id"]: after["ends_at"]}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ("booking SET is_withdrawn = 'half'", "of table “booking” has 'half' as “is_withdrawn”"),
        ("booking SET is_fixed = 2", "row 1 of table “booking” has 2 as “is_fixed”"),
        ("booking SET note = x'00'", "has b'\\x00' as “note”; row 2 of table"),
        ("area SET cells = 1.5", "row 1 of table “area” has 1.5 as “cells”"),
        ("squad SET players = 'many'", "row 1 of table “squad” has 'many' as “players”"),
    ],
)
def test_values_of_another_kind_are_named(
    store: Store, path: Path, change: str, words: str
) -> None:
    """What was meant is not guessed; nothing is changed."""
    run_sql(path, f"UPDATE {change}")
    before = rows_of(path), schema_of(path)
    with pytest.raises(StoreError, match=re.escape(words)):
        migrate(store)
    assert (rows_of(path), schema_of(path)) == before
