"""Selections in forms: the club's squads and ground, each with its words."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.keys import ground_key
from clubplanner.services.rows.own_club import own_squads
from clubplanner.store.tables.ground_tables import PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Choice:
    """An entry of a selection: its value in a form, and its words."""

    value: str
    words: str


@dataclass(frozen=True, slots=True)
class AreaGroup:
    """The areas of one pitch, for a selection."""

    pitch_name: str
    areas: tuple[Choice, ...]


def list_pitches(store: Store) -> tuple[str, ...]:
    """Return the keys of all pitches, in the club's order."""
    with store.read() as session:
        return tuple(
            session.scalars(
                select(PitchRow.key)
                .join(PitchRow.venue)
                .order_by(VenueRow.position, VenueRow.id, PitchRow.position, PitchRow.id)
            )
        )


def venues_with_pitches(store: Store) -> tuple[Choice, ...]:
    """Return the venues that have a pitch, in the club's order."""
    with store.read() as session:
        rows = session.execute(
            select(VenueRow.key, VenueRow.name)
            .where(VenueRow.pitches.any())
            .order_by(VenueRow.position, VenueRow.id)
        )
        return tuple(Choice(key, name) for key, name in rows)


def first_venue(store: Store) -> str:
    """Return the key of the venue that is shown where nobody chose one; blank without any."""
    with store.read() as session:
        query = select(VenueRow.key).order_by(VenueRow.position, VenueRow.id)
        return session.scalars(query).first() or ""


def list_squads(store: Store) -> tuple[Choice, ...]:
    """Return key and name of each squad that whoever is at work may see, in the club's order."""
    with store.read() as session:
        rows = session.execute(
            select(SquadRow.key, SquadRow.name)
            .where(*own_squads(session))
            .order_by(SquadRow.position, SquadRow.id)
        )
        return tuple(Choice(key, name) for key, name in rows)


def list_grounds(store: Store) -> tuple[AreaGroup, ...]:
    """Return every area's ground key and name, by pitch."""
    with store.read() as session:
        rows = session.scalars(
            select(PitchRow)
            .join(PitchRow.venue)
            .order_by(VenueRow.position, PitchRow.position)
            .options(selectinload(PitchRow.areas), selectinload(PitchRow.venue))
        )
        return tuple(
            AreaGroup(
                f"{row.name}, {row.venue.name}",
                tuple(Choice(ground_key(row.key, area.key), area.name) for area in row.areas),
            )
            for row in rows
        )
