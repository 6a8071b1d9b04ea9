"""What squads have week by week: what goes on when weeks are added to a stretch.

A habit is a training that a squad had at one weekday, time and place in most of the weeks looked
at. It is read from what is booked, so that whatever was moved by hand "with all later ones" counts.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    instant_from_wall,
    minute_from_instant,
)
from clubplanner.services.rows.snapshot import WITH_NAMES
from clubplanner.store.tables.booking_tables import BookingRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

WEEKS_LOOKED_AT = 4
"""Training dates of each weekday: one may be off, another moved, and the habit still shows."""


@dataclass(frozen=True, slots=True)
class Habit:
    """A training that comes every week.

    Attributes:
        weekday: Monday 0.
        start_min: Local minute of its start.
        minutes: How long.
        like: The last booking of it: whose, where, and by which share-out.
    """

    weekday: int
    start_min: int
    minutes: int
    like: BookingRow


def read_habits(
    session: Session, dates: Sequence[date], zone: ZoneInfo, *, from_the_start: bool = False
) -> list[Habit]:
    """Return what squads have week by week.

    Args:
        session: An open session.
        dates: The training dates that there are, in order.
        zone: The club's.
        from_the_start: Whether the first weeks are looked at in place of the last.

    Returns:
        The habits by weekday, time and squad.
    """
    near = _near(dates, from_the_start=from_the_start)
    if not near:
        return []
    found: dict[tuple[int, int], list[tuple[date, BookingRow]]] = defaultdict(list)
    for row in _trainings(session, min(near), max(near), zone):
        day = row.starts_at.astimezone(zone).date()
        if day in near:
            found[row.squad_id or 0, day.weekday()].append((day, row))
    habits = [
        _habit(row, zone)
        for rows in found.values()
        for row in _usual(rows, zone, from_the_start=from_the_start)
    ]
    return sorted(habits, key=lambda one: (one.weekday, one.start_min, one.like.holder))


def _near(dates: Sequence[date], *, from_the_start: bool) -> set[date]:
    by_weekday: dict[int, list[date]] = defaultdict(list)
    for day in dates:
        by_weekday[day.weekday()].append(day)
    cut = slice(WEEKS_LOOKED_AT) if from_the_start else slice(-WEEKS_LOOKED_AT, None)
    return {day for days in by_weekday.values() for day in days[cut]}


def _trainings(session: Session, first: date, last: date, zone: ZoneInfo) -> Iterable[BookingRow]:
    return session.scalars(
        select(BookingRow)
        .where(
            BookingRow.purpose == Purpose.TRAINING,
            BookingRow.squad_id.is_not(None),
            BookingRow.is_withdrawn.is_(False),
            BookingRow.starts_at >= instant_from_wall(first, 0, zone),
            BookingRow.starts_at < instant_from_wall(last, MINUTES_A_DAY, zone),
        )
        .order_by(BookingRow.starts_at, BookingRow.id)
        .options(*WITH_NAMES)
    )


def _usual(
    rows: Sequence[tuple[date, BookingRow]], zone: ZoneInfo, *, from_the_start: bool
) -> Iterable[BookingRow]:
    """Yield, of a squad's trainings on one weekday, as many as it usually has: the commonest."""
    a_date = Counter(day for day, _row in rows)
    usual = Counter(a_date.values()).most_common(1)[0][0]
    alike: dict[tuple[int, int, int], list[tuple[date, BookingRow]]] = defaultdict(list)
    for day, row in rows:
        habit = _habit(row, zone)
        alike[row.area_id, habit.start_min, habit.minutes].append((day, row))
    sign = -1 if from_the_start else 1
    ordered = sorted(
        alike.values(), key=lambda same: (len(same), sign * same[-1][0].toordinal()), reverse=True
    )
    for same in ordered[:usual]:
        yield same[-1][1]


def _habit(row: BookingRow, zone: ZoneInfo) -> Habit:
    day = row.starts_at.astimezone(zone).date()
    start = minute_from_instant(row.starts_at, day, zone)
    minutes = int((row.ends_at - row.starts_at).total_seconds()) // 60
    return Habit(day.weekday(), start, minutes, row)
