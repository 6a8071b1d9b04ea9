"""What is kept of somebody is told in words, whichever table it stands in."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.services.keeping.kept import see_kept
from clubplanner.services.keeping.subjects import Subject
from clubplanner.services.keeping.table_words import TABLE_WORDS
from clubplanner.store.personal import LOOKED_INTO, MARKS, Holds
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
