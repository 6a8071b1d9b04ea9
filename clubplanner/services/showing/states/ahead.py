"""What squads have ahead of them: their sessions, and what became of those that are not on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.state_words import times_of
from clubplanner.domain.times.times import day_from_today
from clubplanner.services.rows.snapshot import WITH_NAMES, booking_from_row
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.services.showing.states.state_shown import StateTeller
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.session_state import Spot
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.showing.states.state_shown import StateShown


MOST_CALLED_OFF = 60
"""Sessions called off that are looked at: those of a long break of a coach with many squads."""


@dataclass(frozen=True, slots=True)
class Missed:
    """A session that nobody has to set out for where and when it was to be.

    Attributes:
        number: The booking's number.
        squad_key: Whose it is.
        squad_name: Whose, in words.
        day: The local date on which it was to be.
        day_words: The same with its weekday; today and tomorrow are named.
        times: Local times at which it was to be.
        place: Where it was to be.
        state: What to say of it.
    """

    number: int
    squad_key: str
    squad_name: str
    day: date
    day_words: str
    times: str
    place: str
    state: StateShown


@dataclass(frozen=True, slots=True)
class Ahead:
    """The sessions of some squads that are not over.

    Attributes:
        bookings: All of them by start, also those called off; not those that the plan dropped.
        teller: Puts their states into words.
        today: The local date.
        now: The present instant.
    """

    bookings: tuple[Booking, ...]
    teller: StateTeller
    today: date
    now: datetime

    @property
    def live(self) -> tuple[Booking, ...]:
        """Those that are on."""
        return tuple(booking for booking in self.bookings if not booking.is_withdrawn)

    def first_day(self) -> date | None:
        """Return the local date of whatever comes next, be it that nobody has to come."""
        days = [self._day(booking) for booking in self.live]
        days += [missed.day for missed in self.missed()]
        return min(days, default=None)

    def missed(self, day: date | None = None) -> tuple[Missed, ...]:
        """Return what is off or on another date than it was to be, by that date and time."""
        found = [one for booking in self.bookings for one in self._missed(booking)]
        return tuple(
            sorted(
                (one for one in found if day is None or one.day == day),
                key=lambda one: (one.day, one.times, one.number),
            )
        )

    def shown(self, booking: Booking, at: Spot | None = None) -> StateShown | None:
        """Return what there is to say of a session; None for one that is on as planned.

        Args:
            booking: The session.
            at: Where one that is off is looked for; None for where it stood last.
        """
        following = (
            b
            for b in self.live
            if b.squad_key == booking.squad_key and b.during.starts_at > booking.during.starts_at
        )
        return self.teller.shown(booking, self.bookings, next(following, None), at)

    def _missed(self, booking: Booking) -> Iterator[Missed]:
        """Yield where a session is looked for in vain, a day each."""
        state = self.teller.states.get(booking.number)
        told: set[date] = set()
        for spot in () if state is None else state.missed_at:
            day = spot.during.starts_at.astimezone(self.teller.zone).date()
            if spot.during.ends_at <= self.now or day in told:
                continue
            told.add(day)
            if not booking.is_withdrawn and (day == self._day(booking) or self._stands_in(booking)):
                continue
            shown = self.shown(booking, spot)
            if shown is not None:
                yield self._missed_at(booking, spot, shown)

    def _missed_at(self, booking: Booking, spot: Spot, shown: StateShown) -> Missed:
        day = spot.during.starts_at.astimezone(self.teller.zone).date()
        return Missed(
            number=booking.number,
            squad_key=booking.squad_key or "",
            squad_name=booking.holder,
            day=day,
            day_words=day_from_today(day, self.today),
            times=times_of(spot, self.teller.zone),
            place=spot.place,
            state=shown,
        )

    def _stands_in(self, booking: Booking) -> bool:
        """Tell whether it was made in place of another, which tells of itself."""
        states = self.teller.states
        mine = states[booking.number].was
        return any(
            mine in states[other.number].missed_at
            for other in self.bookings
            if other.is_withdrawn and other.number in states
        )

    def _day(self, booking: Booking) -> date:
        return booking.during.starts_at.astimezone(self.teller.zone).date()


def load_ahead(
    session: Session,
    squads: Collection[int],
    until: datetime,
    venues: Sequence[Venue],
    zone: ZoneInfo,
    now: datetime,
) -> Ahead:
    """Return the sessions of squads that are not over and start before an instant.

    Args:
        session: A reading session.
        squads: The squads' numbers.
        until: Later ones are left out.
        venues: All venues of the club.
        zone: The club's time zone.
        now: The present instant.
    """
    query = (
        select(BookingRow)
        .where(
            BookingRow.squad_id.in_(squads),
            *BookingRow.not_over(now),
            BookingRow.starts_at < until,
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(*WITH_NAMES)
    )
    live = session.scalars(query.where(BookingRow.is_withdrawn.is_(False))).all()
    off = query.where(BookingRow.is_withdrawn.is_(True)).limit(MOST_CALLED_OFF)
    bookings = [booking_from_row(row) for row in (*live, *session.scalars(off))]
    states = load_states(session, bookings, venues, zone)
    today = now.astimezone(zone).date()
    teller = StateTeller(states, venues, zone, today)
    return Ahead(
        tuple(
            sorted(
                (booking for booking in bookings if not teller.is_gone(booking)),
                key=lambda booking: (booking.during.starts_at, booking.number),
            )
        ),
        teller,
        today,
        now,
    )
