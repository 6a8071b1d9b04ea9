"""Sessions that were called off: how much, where and why.

Whether a session was called off, and why, is decided where pages and calendars ask, too
(`services/showing/states/session_states.py`): one that was moved, or that a later plan does
without, is not lost.
"""

from __future__ import annotations

from itertools import groupby
from operator import itemgetter
from typing import TYPE_CHECKING

from sqlalchemy import case, exists, func, literal, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.session_state import Cause, Reason
from clubplanner.domain.booked.weather import is_weather
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.reports.sums.report_values import Amount, Lost
from clubplanner.services.rows.own_club import own_squads
from clubplanner.services.rows.snapshot import load_numbered
from clubplanner.services.showing.states.session_states import load_states
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import Instant, total_seconds
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ChangedBookingRow

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy import ColumnElement
    from sqlalchemy.orm import Session

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.session_state import SessionState
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.services.reports.sums.slices import Slice
    from clubplanner.services.reports.sums.use_sums import AreaOf

TELLING = frozenset({Cause.CLOSED, Cause.SAID})
"""Causes whose words say what it was, and not whose match or which break."""
NOTED = exists().where(
    ChangedBookingRow.booking_id == BookingRow.id, ChangedBookingRow.area_id.is_not(None)
)
"""Of which bookings the journal tells."""


def find_lost(
    session: Session,
    slices: Sequence[Slice],
    areas: Mapping[int, AreaOf],
    venues: Sequence[Venue],
    zone: ZoneInfo,
) -> tuple[Lost, ...]:
    """Return what was called off and has nothing else that day, by start.

    Args:
        session: A reading session; who is held to a club's squads gets those.
        slices: The months, in order.
        areas: Every area by its number.
        venues: All venues of the club.
        zone: The club's time zone.
    """
    found: list[Lost] = []
    area_of = _areas_by_keys(session, areas)
    for one in slices:
        held: list[tuple[datetime, Lost]] = list(_untold(session, one, areas))
        numbers = session.scalars(
            select(BookingRow.id).where(*_called_off(session, one), NOTED)
        ).all()
        for week in _weeks(load_numbered(session, numbers)):
            states = load_states(session, week, venues, zone)
            held += [
                (booking.during.starts_at, _told(booking, states[booking.number], one, area_of))
                for booking in week
                if _is_lost(states[booking.number])
            ]
        held.sort(key=itemgetter(0))
        found += [lost for _starts_at, lost in held]
    return tuple(found)


def _called_off(session: Session, month: Slice) -> tuple[ColumnElement[bool], ...]:
    return (
        *BookingRow.running_between(month.starts_at, month.ends_at),
        BookingRow.is_withdrawn.is_(True),
        BookingRow.purpose != Purpose.CLOSED,
        *own_squads(session, BookingRow.squad_id),
    )


def _areas_by_keys(session: Session, areas: Mapping[int, AreaOf]) -> dict[tuple[str, str], AreaOf]:
    rows = session.execute(select(AreaRow.id, AreaRow.key))
    return {(areas[number].place.pitch_key, key): areas[number] for number, key in rows}


def _untold(
    session: Session, month: Slice, areas: Mapping[int, AreaOf]
) -> Iterator[tuple[datetime, Lost]]:
    """Yield what was called off as long ago as the journal no longer tells of it, by area.

    Of such sessions nobody knows why or since when, so that nothing stands in for them
    (`state_of` without steps); they are added up by the database.
    """
    first, after = literal(month.starts_at, Instant), literal(month.ends_at, Instant)
    start = case((BookingRow.starts_at < first, first), else_=BookingRow.starts_at)
    end = case((BookingRow.ends_at > after, after), else_=BookingRow.ends_at)
    rows = session.execute(
        select(
            BookingRow.area_id,
            func.min(BookingRow.starts_at),
            total_seconds(start, end),
            func.sum(case((BookingRow.starts_at >= month.starts_at, 1), else_=0)),
        )
        .where(*_called_off(session, month), ~NOTED)
        .group_by(BookingRow.area_id)
    )
    for area, starts_at, seconds, begun in rows:
        yield starts_at, _lost(Reason(), areas[area], month, seconds, begun)


def _weeks(bookings: Sequence[Booking]) -> Iterator[list[Booking]]:
    """Yield bookings a week at a time: what stands in for one is looked for among those near it."""
    for _week, held in groupby(bookings, lambda b: b.during.starts_at.isocalendar()[:2]):
        yield list(held)


def _is_lost(state: SessionState) -> bool:
    return state.is_off and not state.is_dropped and state.instead is None


def _told(
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
    return _lost(state.reason, area, month, seconds, begins)


def _lost(reason: Reason, area: AreaOf, month: Slice, seconds: int, begins: int) -> Lost:
    words = reason.words if reason.cause in TELLING else ""
    return Lost(
        cause=reason.cause,
        words=words,
        is_weather=is_weather(words),
        place=area.place,
        month=month.month,
        amount=Amount(seconds, seconds * area.patches, begins),
    )
