"""Matches as values, for whoever reads no words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.services.evening.matches.booking import fixtures_from
from clubplanner.services.evening.matches.fixture_rows import (
    fixture_from_row,
    has_ground,
    load_fixture,
)
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.season_tables import FixtureRow

if TYPE_CHECKING:
    from datetime import datetime

    from clubplanner.domain.booked.fixtures import Fixture
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class WholeMatch:
    """A match at home that has not been called off.

    Attributes:
        number: Its number.
        fixture: As it was arranged.
        squad_name: Whose, in words.
        booking: Number of the booking of its ground; None as long as it has none.
        pitch_key: Of its ground; blank as long as it has none.
        area_key: The same.
    """

    number: int
    fixture: Fixture
    squad_name: str
    booking: int | None
    pitch_key: str = ""
    area_key: str = ""


def list_whole_matches(store: Store, now: datetime) -> tuple[WholeMatch, ...]:
    """List matches that are not over, by date."""
    with store.read() as session:
        today = now.astimezone(load_zone(session)).date()
        own = own_squads(session, FixtureRow.squad_id)
        return tuple(_whole(row) for row in fixtures_from(session, today, *own))


def see_whole_match(store: Store, number: int) -> WholeMatch:
    """Return one match.

    Raises:
        MissingError: If there is none of that number, or it has been called off.
    """
    with store.read() as session:
        return _whole(load_fixture(session, number))


def _whole(row: FixtureRow) -> WholeMatch:
    fixture, name = fixture_from_row(row), row.squad.name
    if row.booking is None or not has_ground(row):
        return WholeMatch(row.id, fixture, name, None)
    booking = row.booking
    return WholeMatch(row.id, fixture, name, booking.id, booking.pitch.key, booking.area.key)
