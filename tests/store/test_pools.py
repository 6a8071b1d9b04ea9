"""All connections in use: whoever asks for one more is told plainly, and comes again."""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import BusyError
from clubplanner.store.tables.club_tables import ClubRow

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_too_many_at_once_are_told_and_come_again(
    club_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Readers and writers alike; once one has gone there is room again."""
    monkeypatch.setattr(club_store.engine.pool, "_timeout", 0.05)
    with ExitStack() as kept:
        readers = [kept.enter_context(club_store.read()) for _unused in range(15)]
        for session in readers:
            session.get_one(ClubRow, 1)
        with pytest.raises(BusyError), club_store.read() as session:
            session.get_one(ClubRow, 1)
        with pytest.raises(BusyError), club_store.write() as session:
            session.get_one(ClubRow, 1).name = "Nobody"
        readers[0].close()
        with club_store.write() as session:
            session.get_one(ClubRow, 1).name = "Somebody"
    with club_store.read() as session:
        assert session.get_one(ClubRow, 1).name == "Somebody"


def test_what_is_in_use_when_a_store_is_closed_is_closed_when_it_comes_back(
    club_store: Store,
) -> None:
    """A club goes while its last page is being made: the page comes out, and nothing stays open."""
    with club_store.read() as session:
        driver = session.connection().connection.driver_connection
        assert driver is not None
        club_store.close()
        assert session.get_one(ClubRow, 1).name
    with pytest.raises(club_store.engine.dialect.loaded_dbapi.Error, match="closed"):
        driver.cursor()
