"""Sessions that were called off: how much, where and why.

Whether a session was called off, and why, is decided where pages and calendars ask, too
(`services/showing/session_states.py`): one that was moved, or that a later plan does without, is
not lost.
"""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause
from clubplanner.domain.booked.weather import is_weather
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.reports.report_values import Amount, Lost
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_numbered
from clubplanner.services.showing.session_states import load_states
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.session_state import SessionState
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.reports.slices import Slice
    from clubplanner.services.reports.use_sums import AreaOf

TELLING = frozenset({Cause.CLOSED, Cause.SAID})
"""Causes whose words say what it was, and not whose match or which break."""


def find_lost(
    session: Session,
    slices: Sequence[Slice],
    areas: Mapping[tuple[str, str], AreaOf],
    venues: Sequence[Venue],
    zone: ZoneInfo,
) -> tuple[Lost, ...]:
    """Return what was called off and has nothing else that day, by start.

    Args:
        session: A reading session; who is held to a club's squads gets those.
        slices: The months, in order.
        areas: Every area by the keys of its pitch and of itself.
        venues: All venues of the club.
        zone: The club's time zone.
    """
    found: list[Lost] = []
    for one in slices:
        numbers = session.scalars(
            select(BookingRow.id).where(
                *BookingRow.running_between(one.starts_at, one.ends_at),
                BookingRow.is_withdrawn.is_(True),
                BookingRow.purpose != Purpose.CLOSED,
                *own_squads(session, BookingRow.squad_id),
            )
        ).all()
        bookings = load_numbered(session, numbers)
        for week in _weeks(bookings):
            states = load_states(session, week, venues, zone)
            found += [
                _lost(booking, states[booking.number], one, areas)
                for booking in week
                if _is_lost(states[booking.number])
            ]
    return tuple(found)


def _weeks(bookings: Sequence[Booking]) -> Iterator[list[Booking]]:
    """Yield bookings a week at a time: what stands in for one is looked for among those near it."""
    for _week, held in groupby(bookings, lambda b: b.during.starts_at.isocalendar()[:2]):
        yield list(held)


def _is_lost(state: SessionState) -> bool:
    return state.is_off and not state.is_dropped and state.instead is None


def _lost(
    booking: Booking,
    state: SessionState,
    month: Slice,
    areas: Mapping[tuple[str, str], AreaOf],
) -> Lost:
    area = areas[booking.pitch_key, booking.area_key]
    during = TimeRange(
        max(booking.during.starts_at, month.starts_at), min(booking.during.ends_at, month.ends_at)
    )
    seconds = int((during.ends_at - during.starts_at).total_seconds())
    begins = int(booking.during.starts_at >= month.starts_at)
    cause = state.reason.cause
    words = state.reason.words if cause in TELLING else ""
    return Lost(
        cause=cause,
        words=words,
        is_weather=is_weather(words),
        place=area.place,
        month=month.month,
        amount=Amount(seconds, seconds * area.patches, begins),
    )
