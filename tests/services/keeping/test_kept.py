"""What is kept of somebody is told in words, whichever table it stands in."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from clubplanner.services.keeping.kept import kept_tables, see_kept
from clubplanner.services.keeping.kept_files import kept_file
from clubplanner.services.keeping.subjects import Subject
from clubplanner.services.keeping.table_words import TABLE_WORDS
from clubplanner.store.personal import MARKS
from clubplanner.store.personal_kinds import LOOKED_INTO, Holds
from tests.builders import NOW
from tests.council import KIM, load_council, person_called

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LOOKED_THROUGH = sorted(
    name for name, marks in MARKS.items() if marks.holding(Holds.WHO, *LOOKED_INTO)
)


@pytest.mark.parametrize("table", LOOKED_THROUGH)
def test_each_table_that_is_looked_through_has_words(table: str) -> None:
    """A row that is of somebody, or speaks of them, can be told."""
    assert table in TABLE_WORDS


def test_a_clubs_secretary_sees_that_they_are_that(empty_store: Store) -> None:
    """The page tells of the entry that makes somebody the secretary of a club."""
    load_council(empty_store)
    kim = Subject(person=person_called(empty_store, KIM).number)
    page = see_kept(empty_store, kim)
    assert "Secretary of a club" in str(page)


def test_the_tables_have_all_that_the_file_has(empty_store: Store) -> None:
    """A row for each entry, those too that the page only counts; the first table adds them up."""
    load_council(empty_store)
    kim = Subject(person=person_called(empty_store, KIM).number)
    kinds, entries = kept_tables(empty_store, kim)
    with kept_file(empty_store, kim, NOW) as file:
        told = json.load(file)["kept"]
    assert [row[:2] for row in kinds.rows] == [(one["kind"], len(one["entries"])) for one in told]
    assert [row[0] for row in entries.rows] == [one["kind"] for one in told for _ in one["entries"]]
    page = see_kept(empty_store, kim)
    lines = [line for part in page.parts for line in part.lines]
    assert all(any(str(row[1]) in line for line in lines) for row in entries.rows)
    assert "Secretary of a club" in [row[1] for row in entries.rows]
    assert KIM in kinds.words
