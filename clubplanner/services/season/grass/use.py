"""What grass is used for, week by week, added up by the database."""

from __future__ import annotations

from collections import defaultdict
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from sqlalchemy import Integer, case, column, func, null, select, values

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.ground.wear import Use, counts_as
from clubplanner.domain.times.times import instant_from_wall
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.columns import Instant, total_seconds
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from sqlalchemy import CTE, ColumnElement
    from sqlalchemy.orm import Session

AGE = "counted_age"
"""Grouped by its name: written out twice, its values are not known to be the same."""


def sum_uses(
    session: Session, pitch_keys: Collection[str], mondays: Sequence[date], zone: ZoneInfo
) -> dict[tuple[str, date], list[Use]]:
    """Return what pitches are used for: bookings that are not withdrawn and close nothing.

    Args:
        session: An open session.
        pitch_keys: Of which pitches.
        mondays: First local dates of the weeks; a booking counts in the week in which it begins.
        zone: The club's time zone.

    Returns:
        By the pitch's key and the week's Monday; empty for any other.
    """
    found: dict[tuple[str, date], list[Use]] = defaultdict(list)
    if not mondays or not pitch_keys:
        return found
    weeks = _weeks(mondays, zone)
    age = _age_that_counts(session).label(AGE)
    seconds = total_seconds(BookingRow.starts_at, BookingRow.ends_at)
    kinds = PitchRow.key, weeks.c.week, AreaRow.key, age, BookingRow.purpose
    query = (
        select(*kinds, seconds, func.count(BookingRow.id))
        .select_from(weeks)
        .join(PitchRow, PitchRow.key.in_(pitch_keys))
        .join(
            BookingRow,
            (BookingRow.pitch_id == PitchRow.id)
            & (BookingRow.starts_at >= weeks.c.starts_at)
            & (BookingRow.starts_at < weeks.c.ends_at),
        )
        .join(AreaRow, AreaRow.id == BookingRow.area_id)
        .outerjoin(SquadRow, SquadRow.id == BookingRow.squad_id)
        .where(BookingRow.is_withdrawn.is_(False), BookingRow.purpose != Purpose.CLOSED)
        .group_by(PitchRow.key, weeks.c.week, AreaRow.key, AGE, BookingRow.purpose)
    )
    for pitch, week, area, years, purpose, total, number in session.execute(query):
        found[pitch, mondays[week]].append(Use(area, years, purpose, total // 60, number))
    return found


def _weeks(mondays: Sequence[date], zone: ZoneInfo) -> CTE:
    """Return the weeks as a table: from which instant to which, by their place in the list."""
    return (
        values(
            column("week", Integer),
            column("starts_at", Instant),
            column("ends_at", Instant),
            name="weeks",
        )
        .data(
            [
                (
                    number,
                    instant_from_wall(monday, 0, zone),
                    instant_from_wall(monday + timedelta(days=7), 0, zone),
                )
                for number, monday in enumerate(mondays)
            ]
        )
        .cte("weeks_asked")
    )


def _age_that_counts(session: Session) -> ColumnElement[Any]:
    """Return for a squad's row the age as which its hours count."""
    groups: dict[int, list[str]] = defaultdict(list)
    for group in session.scalars(select(SquadRow.age_group).distinct()):
        age = counts_as(age_from_group(group))
        if age is not None:
            groups[age].append(group)
    if not groups:
        return null()
    return case(*((SquadRow.age_group.in_(names), age) for age, names in groups.items()))
