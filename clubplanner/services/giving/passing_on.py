"""A coach passes one session on: an address for whoever takes it, which ends with the session."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.times.times import clock_in_zone, day_in_words, end_clock_in_zone
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.addresses.links import OPEN_AFTER, is_ended
from clubplanner.services.addresses.session_links import (
    SessionLinkLine,
    add_session_link,
    list_session_links,
    withdraw_session_link,
)
from clubplanner.services.giving.requests import own_session
from clubplanner.services.rows.snapshot import booking_from_row, load_venues, load_zone
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.people import Person
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.link_tables import SessionLinkRow

LONGEST_HOLDER = 80
MOST_LINKS = 20
"""Addresses of one session in use at the same time: nobody has more assistants in one evening."""


@dataclass(frozen=True, slots=True)
class PassingOn:
    """What a coach sees who passes a session on.

    Attributes:
        number: The booking's number.
        squad_key: Whose session.
        squad_name: The same in words.
        day: The local date.
        when: Date and times in words.
        ends: Until when an address opens, a local time.
        links: Addresses in use.
    """

    number: int
    squad_key: str
    squad_name: str
    day: date
    when: str
    ends: str
    links: tuple[SessionLinkLine, ...]


def see_passing_on(store: Store, person: Person, number: int, now: datetime) -> PassingOn:
    """Show a session that can be passed on, and to whom it was.

    Raises:
        MissingError: If it is none of the person's sessions.
    """
    with store.read() as session:
        row = own_session(session, person, number)
        zone = load_zone(session)
        day = row.starts_at.astimezone(zone).date()
        starts, ends = clock_in_zone(row.starts_at, zone), end_clock_in_zone(row.ends_at, zone)
        key = "" if row.squad is None else row.squad.key
        holder, opens_until = row.holder, clock_in_zone(row.ends_at + OPEN_AFTER, zone)
    return PassingOn(
        number,
        key,
        holder,
        day,
        f"{day_in_words(day)}, {starts}–{ends}",
        opens_until,
        list_session_links(store, now, number),
    )


def pass_on(
    store: Store, person: Person, number: int, holder: str, now: datetime, *, may_count: bool
) -> str:
    """Make an address of a session for whoever takes it; return its secret part, kept nowhere.

    Args:
        store: The database.
        person: Its coach, or the secretary.
        number: The booking's number.
        holder: For whom; blank for the assistant.
        now: The present instant.
        may_count: Whether they may say with how many the squad comes.

    Raises:
        MissingError: If it is none of the person's sessions.
        RefusedError: If the session is over, or there are many addresses of it already.
    """
    name = " ".join(holder.split())[:LONGEST_HOLDER] or _("the assistant")
    if len(list_session_links(store, now, number)) >= MOST_LINKS:
        raise RefusedError(
            _("So many addresses of this session are in use; take one back before you make more.")
        )
    with store.write() as session:
        row = own_session(session, person, number)
        if is_ended(row.ends_at, now):
            raise RefusedError(_("This session is over; there is nothing to pass on."))
        return add_session_link(session, row.id, name, person.name, now, may_count=may_count)


def take_back(store: Store, person: Person, number: int, link: int, now: datetime) -> str:
    """Make an address of one of the person's sessions useless; return whose it was.

    Raises:
        MissingError: If it is none of theirs, or is not in use.
    """
    with store.read() as session:
        own_session(session, person, number)
    if link not in [line.number for line in list_session_links(store, now, number)]:
        raise MissingError(_("This address has been withdrawn already."))
    return withdraw_session_link(store, link, now)


def session_now(session: Session, link: SessionLinkRow) -> BookingRow:
    """Return the session that an address is about as it stands now.

    One that is off and has another in its place, the same day, is that other.
    """
    row = link.booking
    if not row.is_withdrawn:
        return row
    booking = booking_from_row(row)
    states = load_states(session, [booking], load_venues(session), load_zone(session))
    state = states.get(booking.number)
    if state is None or state.instead is None:
        return row
    spot = state.instead
    query = select(BookingRow).where(
        BookingRow.squad_id == row.squad_id,
        BookingRow.is_withdrawn.is_(False),
        BookingRow.starts_at == spot.during.starts_at,
        BookingRow.ends_at == spot.during.ends_at,
    )
    there = (one for one in session.scalars(query) if one.pitch.key == spot.pitch_key)
    return next((one for one in there if one.area.key == spot.area_key), row)
