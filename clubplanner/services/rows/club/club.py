"""What pages need to know about the club as a whole."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.language import ENGLISH, _
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.store.tables.club_tables import ClubRow

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from clubplanner.store.engine import Store


def club_zone(store: Store) -> ZoneInfo:
    """Return the club's time zone.

    Raises:
        MissingError: If no club has been loaded yet.
    """
    with store.read() as session:
        return load_zone(session)


def club_language(store: Store) -> str:
    """Return the language of what the club tells everybody; English before there is a club."""
    with store.read() as session:
        return session.scalars(select(ClubRow.language)).first() or ENGLISH


def club_name(store: Store) -> str:
    """Return the club's name; "Pitches" before any club has been loaded."""
    with store.read() as session:
        row = session.get(ClubRow, 1)
        return _("Pitches") if row is None else row.name
