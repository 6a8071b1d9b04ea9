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
from clubplanner.services.calendars.feed_events import ground_in_words
from clubplanner.services.calendars.feed_subjects import bookings_of, subject_of
from clubplanner.services.rows.snapshot import load_club, load_venues
from clubplanner.services.showing.ground.plans import times_in_words

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.store.engine import Store

SHOWN_DAYS = 42


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One booking in the list."""

    number: int
    change: int
    times: str
    holder: str
    purpose: str
    ground: str
    is_withdrawn: bool


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
        bookings = bookings_of(session, subject, now, now)
    days: dict[date, list[CalendarEntry]] = {}
    for booking in sorted(bookings, key=lambda b: (b.during.starts_at, b.number)):
        if booking.during.starts_at < now + timedelta(days=SHOWN_DAYS):
            day = booking.during.starts_at.astimezone(zone).date()
            entry = CalendarEntry(
                booking.number,
                booking.sequence,
                times_in_words(booking, zone),
                booking.holder,
                booking.purpose.value,
                ground_in_words(venues, booking),
                booking.is_withdrawn,
            )
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
