"""Reading hires from the records, and knowing whether somebody changed one meanwhile."""

from __future__ import annotations

from typing import TYPE_CHECKING
from zlib import crc32

from sqlalchemy import select
from sqlalchemy.orm import selectinload

from clubplanner.domain.booked.hires import HireTimes, rhythm_in_words
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.language import _
from clubplanner.services.hires.dates import HireWish
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

LONGEST_NAME = 80
LONGEST_NOTE = 500
WITH_DATES = (
    selectinload(HireRow.area).selectinload(AreaRow.pitch),
    selectinload(HireRow.dates)
    .selectinload(HireDateRow.booking)
    .options(selectinload(BookingRow.area).selectinload(AreaRow.pitch)),
)


def load_hire(session: Session, number: int) -> HireRow:
    """Return a hire that stands.

    Raises:
        MissingError: If there is none of that number.
    """
    row = session.get(HireRow, number, options=WITH_DATES)
    if row is None or row.withdrawn_at is not None:
        raise MissingError(_("This hire is not in the records; choose one from the list."))
    return row


def load_hires(session: Session) -> Sequence[HireRow]:
    """Return every hire that stands, by name."""
    return session.scalars(
        select(HireRow)
        .where(HireRow.withdrawn_at.is_(None))
        .order_by(HireRow.name, HireRow.id)
        .options(*WITH_DATES)
    ).all()


def mark_of(row: HireRow) -> str:
    """Return a short mark of a hire as it stands: another one, once anything of it changes."""
    own = (row.name, row.contact, row.phone, row.note, row.area_id, row.start_min, row.end_min)
    dates = [
        (
            one.day,
            one.is_ended,
            one.booking_id,
            one.booking and (one.booking.sequence, one.booking.is_withdrawn),
        )
        for one in row.dates
    ]
    return f"{crc32(repr((own, row.every_weeks, dates)).encode()):08x}"


def refuse_outdated(row: HireRow, mark: str) -> None:
    """Refuse a change of somebody who looked at a hire before it was changed.

    Raises:
        OutdatedError: If it is not as they saw it.
    """
    if mark_of(row) != mark:
        raise OutdatedError(
            _(
                "Somebody has changed this hire of %(name)s in the meantime. Nothing was done; "
                "look at it again.",
                name=row.name,
            )
        )


def refuse_wrong(wish: HireWish) -> None:
    """Refuse what no hire can be.

    Raises:
        RefusedError: Saying what to do.
    """
    if not wish.name.strip():
        raise RefusedError(_("Enter who takes the ground."))
    if wish.times.fault is not None:
        raise RefusedError(wish.times.fault[1])


def dates_of(row: HireRow) -> list[HireDateRow]:
    """Return the dates of a hire, booked or left out, without those after its end."""
    return [one for one in row.dates if not one.is_ended]


def is_live(one: HireDateRow) -> bool:
    """Tell whether a date is booked and stands."""
    return one.booking is not None and not one.booking.is_withdrawn


def live_after(row: HireRow, now: datetime) -> list[BookingRow]:
    """Return the bookings of a hire that stand and are still to begin, by start."""
    found = [one.booking for one in dates_of(row) if one.booking is not None and is_live(one)]
    return sorted((b for b in found if b.starts_at > now), key=lambda b: b.starts_at)


def wish_of(row: HireRow, first: date, last: date) -> HireWish:
    """Return what a hire asks for on dates from one to another."""
    times = HireTimes(first, last, row.every_weeks, row.start_min, row.end_min)
    return HireWish(
        row.name, row.area_id, times, row.contact, row.phone, row.note, row.skips_breaks
    )


def rhythm_of(row: HireRow) -> str:
    """Write when the dates of a hire are, as its later ones are."""
    days = [one.day for one in dates_of(row)]
    weekday = days[-1].weekday() if days else 0
    return rhythm_in_words(len(days), weekday, row.every_weeks, row.start_min, row.end_min)


def last_day(row: HireRow) -> date:
    """Return the last date of a hire, left out or not."""
    return max(one.day for one in dates_of(row))


def days_left_out(row: HireRow, today: date) -> list[date]:
    """Return the dates still to come on which nothing is booked."""
    return [one.day for one in dates_of(row) if one.day >= today and not is_live(one)]


def rows_of_days(row: HireRow, days: Iterable[date]) -> dict[date, HireDateRow]:
    """Return what stands for dates; those that the hire never had are not in it."""
    wanted = set(days)
    return {one.day: one for one in row.dates if one.day in wanted}
