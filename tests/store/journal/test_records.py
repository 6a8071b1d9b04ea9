"""Records read one at a time and many at once."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.store.journal.record_sorts import SORT_OF_ROW
from clubplanner.store.journal.records import keys_of_table, read_state, read_states

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_many_records_at_once_are_what_each_is_alone(club_store: Store) -> None:
    """Every record of the invented club, with its parts; those that are not there are left out."""
    with club_store.read() as session:
        keys = [key for row in SORT_OF_ROW for key in keys_of_table(session, row)]
        assert len(keys) > 30
        gone = ("squad", 10**6)
        states = read_states(session, [*keys, gone])
        assert gone not in states
        assert {key: read_state(session, key) for key in keys} == states
