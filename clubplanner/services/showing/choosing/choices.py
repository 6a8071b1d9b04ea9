"""Selections in forms: the club's squads and ground, each with its words."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.keys import ground_key
from clubplanner.services.rows.near import is_spread
from clubplanner.services.rows.own_club import own_squads
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow, VenueRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.within_tables import ClubWithinRow, SquadClubRow

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Choice:
    """An entry of a selection.

    Attributes:
        value: Its value in a form.
        words: What it is called.
        note: What is said beside it.
        group: Under what heading it stands.
        also: What else it goes by where it is looked for, such as a squad's age group and club.
    """

    value: str
    words: str
    note: str = ""
    group: str = ""
    also: str = ""


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
        return _venues_with_pitches(session)


def _venues_with_pitches(session: Session) -> tuple[Choice, ...]:
    rows = session.execute(
        select(VenueRow.key, VenueRow.name)
        .where(VenueRow.pitches.any())
        .order_by(VenueRow.position, VenueRow.id)
    )
    return tuple(Choice(key, name) for key, name in rows)


def venues_apart(session: Session) -> tuple[Choice, ...]:
    """Return the venues that are looked at one at a time; none where all are looked at together."""
    return _venues_with_pitches(session) if is_spread(session) else ()


def is_many(store: Store) -> bool:
    """Tell whether venues are looked at one at a time: what is about all is shown on request."""
    with store.read() as session:
        return is_spread(session)


def first_venue(store: Store) -> str:
    """Return the key of the venue that is shown where nobody chose one; blank without any."""
    with store.read() as session:
        query = select(VenueRow.key).order_by(VenueRow.position, VenueRow.id)
        return session.scalars(query).first() or ""


def list_squads(store: Store) -> tuple[Choice, ...]:
    """Return each squad that whoever is at work may see, by its key, in the club's order."""
    with store.read() as session:
        return tuple(choice for _number, choice in squads_to_choose(session))


def squads_to_choose(session: Session) -> tuple[tuple[int, Choice], ...]:
    """Return the number of each squad that whoever is at work may see, and its entry.

    The entry has the squad's key as its value; it is found by age group and club as well.
    """
    rows = session.execute(
        select(SquadRow.id, SquadRow.key, SquadRow.name, SquadRow.age_group, ClubWithinRow.name)
        .outerjoin(SquadClubRow, SquadClubRow.squad_id == SquadRow.id)
        .outerjoin(ClubWithinRow, ClubWithinRow.id == SquadClubRow.club_id)
        .where(*own_squads(session))
        .order_by(SquadRow.position, SquadRow.id)
    )
    return tuple(
        (number, Choice(key, name, also=" ".join(filter(None, (group, club)))))
        for number, key, name, group, club in rows
    )


def choices_of(groups: Iterable[AreaGroup]) -> tuple[Choice, ...]:
    """Return areas that stand by pitch as one list, each with its pitch as its group."""
    return tuple(replace(area, group=group.pitch_name) for group in groups for area in group.areas)


def list_grounds(store: Store) -> tuple[AreaGroup, ...]:
    """Return every area's ground key and name, by pitch."""
    with store.read() as session:
        rows = session.execute(
            select(PitchRow.key, PitchRow.name, VenueRow.name, AreaRow.key, AreaRow.name)
            .join(VenueRow, VenueRow.id == PitchRow.venue_id)
            .join(AreaRow, AreaRow.pitch_id == PitchRow.id)
            .order_by(VenueRow.position, PitchRow.position, PitchRow.id, AreaRow.position)
        )
        found: dict[str, tuple[str, list[Choice]]] = {}
        for pitch, name, venue, area, area_name in rows:
            held = found.setdefault(pitch, (f"{name}, {venue}", []))[1]
            held.append(Choice(ground_key(pitch, area), area_name))
        return tuple(AreaGroup(words, tuple(areas)) for words, areas in found.values())
