"""Bookings as values, for whoever reads no words: some of them, and one with all that is known."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

from sqlalchemy import and_, or_, select

from clubplanner.domain.booked.session_state import Outcome
from clubplanner.domain.booked.state_words import Told
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.own_club import refuse_other_squad
from clubplanner.services.rows.snapshot import (
    load_bookings,
    load_numbered,
    load_venues,
    load_zone,
)
from clubplanner.services.showing.states.session_states import (
    load_states,
    places_in_words,
    spot_of,
)
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection

    from sqlalchemy import ColumnElement

    from clubplanner.domain.booked.bookings import Booking, Purpose
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class Wanted:
    """Which bookings are wanted.

    Attributes:
        during: Those that touch this range.
        purpose: Only those for this; None for whatever they are for.
        pitch_key: Only those on this pitch; blank for any.
        squad_keys: Only those of these squads; None for whosever they are.
        after: Only those after this one, by start and number; None for all.
        most: How many, the first ones.
    """

    during: TimeRange
    purpose: Purpose | None = None
    pitch_key: str = ""
    squad_keys: Collection[str] | None = None
    after: tuple[int, int] | None = None
    most: int = 50


@dataclass(frozen=True, slots=True)
class WholeBooking:
    """A booking with what is true of it.

    Attributes:
        booking: The booking, withdrawn or not.
        outcome: What whoever sets out for it has to know first.
        state: The same in words, with the reason; blank where it is on.
        overruled: Why it stands against a rule; blank where none was overruled.
    """

    booking: Booking
    outcome: Outcome
    state: str
    overruled: str


def list_bookings(store: Store, wanted: Wanted) -> tuple[Booking, ...]:
    """List bookings that are not withdrawn, by start."""
    conditions: list[ColumnElement[bool]] = []
    if wanted.pitch_key:
        pitch = select(PitchRow.id).where(PitchRow.key == wanted.pitch_key)
        conditions.append(BookingRow.pitch_id.in_(pitch))
    if wanted.squad_keys is not None:
        squads = select(SquadRow.id).where(SquadRow.key.in_(sorted(wanted.squad_keys)))
        conditions.append(BookingRow.squad_id.in_(squads))
    if wanted.after is not None:
        start, number = datetime.fromtimestamp(wanted.after[0], UTC), wanted.after[1]
        is_later = and_(BookingRow.starts_at == start, BookingRow.id > number)
        conditions.append(or_(BookingRow.starts_at > start, is_later))
    purposes = () if wanted.purpose is None else (wanted.purpose,)
    which = and_(*conditions) if conditions else None
    with store.read() as session:
        return load_bookings(session, wanted.during, *purposes, which=which, most=wanted.most)


def see_whole_booking(
    store: Store, number: int, squad_keys: Collection[str] | None = None
) -> WholeBooking:
    """Return one booking, withdrawn or not.

    Args:
        store: The database.
        number: Its number.
        squad_keys: It has to be of one of these squads; None for whosever it is.

    Raises:
        MissingError: If there never was one of that number.
        RefusedError: If it is of a squad of another club.
    """
    with store.read() as session:
        found = load_numbered(session, [number])
        if not found or (squad_keys is not None and found[0].squad_key not in squad_keys):
            raise MissingError(_("There is no booking of this number."))
        booking = found[0]
        refuse_other_squad(session, booking.squad_number)
        zone = load_zone(session)
        venues = load_venues(session)
        state = load_states(session, found, venues, zone).get(number)
        spot = spot_of(booking, places_in_words(venues))
        overruled = select(BookingRow.overruled).where(BookingRow.id == number)
        return WholeBooking(
            booking,
            Outcome.ON if state is None else state.outcome,
            "" if state is None else Told(state, spot, booking.purpose, zone).headline,
            session.scalars(overruled).one(),
        )
