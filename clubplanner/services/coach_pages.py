"""A coach's own pages: what the squads they look after have ahead of them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select
from sqlalchemy.orm import joinedload

from clubplanner.domain.times import MINUTES_A_DAY, day_in_words, range_from_wall
from clubplanner.errors import MissingError
from clubplanner.services.plans import times_in_words
from clubplanner.services.snapshot import WITH_NAMES, booking_from_row, load_club
from clubplanner.store.tables import BookingRow, PitchRow, SquadRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.people import Person
    from clubplanner.store.engine import Store

COMING_WEEKS = 6


@dataclass(frozen=True, slots=True)
class CoachSession:
    """A session that one of the coach's squads has ahead.

    Attributes:
        number: The booking's number.
        squad_key: Whose it is.
        squad_name: Whose, in words.
        day: The local date.
        day_words: The date with its weekday.
        times: Local times.
        area_name: Which part of the pitch.
        pitch_name: Which pitch.
        venue_key: Where.
        venue_name: Where, in words.
        purpose: Why.
    """

    number: int
    squad_key: str
    squad_name: str
    day: date
    day_words: str
    times: str
    area_name: str
    pitch_name: str
    venue_key: str
    venue_name: str
    purpose: str


@dataclass(frozen=True, slots=True)
class CoachPage:
    """What a coach starts on.

    Attributes:
        squad_names: The squads looked after, in the club's order.
        coming: Their sessions in the coming weeks, the next first.
    """

    squad_names: tuple[str, ...]
    coming: tuple[CoachSession, ...]


def see_coach(store: Store, person: Person, now: datetime) -> CoachPage:
    """Show what a coach's squads have ahead of them."""
    with store.read() as session:
        zone = load_club(session).time_zone
        squads = own_squads(session, person)
        rows = session.scalars(
            select(BookingRow)
            .where(
                BookingRow.squad_id.in_([squad.id for squad in squads]),
                BookingRow.is_withdrawn.is_(False),
                BookingRow.ends_at > now,
                BookingRow.starts_at < now + timedelta(weeks=COMING_WEEKS),
            )
            .order_by(BookingRow.starts_at, BookingRow.id)
            .options(*WITH_NAMES)
        ).all()
        venues = _venues_of_pitches(session)
        return CoachPage(
            tuple(squad.name for squad in squads),
            tuple(_session(row, venues, zone) for row in rows),
        )


def own_squads(session: Session, person: Person) -> Sequence[SquadRow]:
    """Return the squads somebody looks after, in the club's order."""
    query = select(SquadRow).where(SquadRow.key.in_(sorted(person.squad_keys)))
    return session.scalars(query.order_by(SquadRow.position)).all()


def refuse_evening_of_others(store: Store, person: Person, venue_key: str, day: date) -> None:
    """Refuse a coach the evening of a venue at which none of their squads is on that day.

    Raises:
        MissingError: If it is not theirs to see; the same whether anybody is there or not.
    """
    with store.read() as session:
        during = range_from_wall(day, 0, MINUTES_A_DAY, load_club(session).time_zone)
        found = session.scalars(
            select(BookingRow.id)
            .join(BookingRow.squad)
            .join(BookingRow.pitch)
            .join(PitchRow.venue)
            .where(
                SquadRow.key.in_(sorted(person.squad_keys)),
                VenueRow.key == venue_key,
                BookingRow.is_withdrawn.is_(False),
                BookingRow.starts_at < during.ends_at,
                BookingRow.ends_at > during.starts_at,
            )
        ).first()
    if found is None:
        raise MissingError("None of your squads is at this venue on that day.")


def _venues_of_pitches(session: Session) -> dict[int, VenueRow]:
    rows = session.scalars(select(PitchRow).options(joinedload(PitchRow.venue)))
    return {row.id: row.venue for row in rows}


def _session(row: BookingRow, venues: dict[int, VenueRow], zone: ZoneInfo) -> CoachSession:
    booking = booking_from_row(row)
    day = booking.during.starts_at.astimezone(zone).date()
    venue = venues[row.pitch_id]
    return CoachSession(
        number=booking.number,
        squad_key=booking.squad_key or "",
        squad_name=booking.holder,
        day=day,
        day_words=day_in_words(day),
        times=times_in_words(booking, zone),
        area_name=row.area.name,
        pitch_name=row.pitch.name,
        venue_key=venue.key,
        venue_name=venue.name,
        purpose=booking.purpose.value,
    )
