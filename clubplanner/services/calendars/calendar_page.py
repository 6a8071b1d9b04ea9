"""The page behind a coach's or a pitch's address: what is booked, and how to subscribe."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_in_words
from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.outputs.drawings.qr import draw_qr
from clubplanner.services.addresses.links import link_of_secret
from clubplanner.services.calendars.feed_events import EventMaker, ground_in_words
from clubplanner.services.calendars.feed_subjects import entries_of, subject_of
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.showing.ground.plans import times_in_words
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.services.showing.states.state_shown import StateShown

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.store.engine import Store

SHOWN_DAYS = 42


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One booking in the list; its state is None where it is on as planned."""

    number: int
    change: int
    times: str
    holder: str
    purpose: str
    ground: str
    state: StateShown | None


@dataclass(frozen=True, slots=True)
class CalendarDay:
    """A day with bookings."""

    day: date
    words: str
    entries: tuple[CalendarEntry, ...]


@dataclass(frozen=True, slots=True)
class CalendarPage:
    """What the page shows.

    Attributes:
        name: Coach or pitch.
        days: Those with bookings, the coming weeks.
        webcal: For programs that subscribe.
        https: The same, to be copied.
        code: The subscription to scan; an SVG element.
    """

    name: str
    days: tuple[CalendarDay, ...]
    webcal: str
    https: str
    code: str


def see_calendar(store: Store, secret: str, public_address: str, now: datetime) -> CalendarPage:
    """Show what is booked behind an address of a coach or a pitch.

    Raises:
        MissingError: If the address is not in use, or is a squad's.
    """
    with store.read() as session:
        subject = subject_of(link_of_secret(session, secret))
        if subject.squad_id is not None:
            raise MissingError(_("This address is a squad's; open it with “ground” in its place."))
        zone = load_club(session).time_zone
        venues = load_venues(session)
        until = now + timedelta(days=SHOWN_DAYS)
        entries = [
            one
            for one in entries_of(session, subject, now, now)
            if one.booking.during.starts_at < until
        ]
        states = load_states(session, [one.now for one in entries], venues, zone)
    maker, today = EventMaker(venues, zone, None, states=states), now.astimezone(zone).date()
    days: dict[date, list[CalendarEntry]] = {}
    for one in sorted(entries, key=lambda e: (e.booking.during.starts_at, e.booking.number)):
        booking = one.booking
        told = maker.told(booking, today, one.elsewhere, is_left=one.is_left)
        if told.state.is_dropped and booking.is_withdrawn:
            continue  # a later plan does without it: it is no session any more
        entry = CalendarEntry(
            booking.number,
            booking.sequence,
            times_in_words(booking, zone),
            booking.holder,
            booking.purpose.value,
            ground_in_words(venues, booking),
            StateShown.of(told) if told.differs else None,
        )
        day = booking.during.starts_at.astimezone(zone).date()
        days.setdefault(day, []).append(entry)
    https = f"{public_address}/{subject.page}/{secret}/{subject.file}"
    webcal = "webcal://" + https.partition("://")[2]
    return CalendarPage(
        subject.name,
        tuple(CalendarDay(day, day_in_words(day), tuple(e)) for day, e in days.items()),
        webcal,
        https,
        draw_qr(webcal, _("The calendar of %(subject)s", subject=subject.name)),
    )
