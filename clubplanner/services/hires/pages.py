"""Pages about hires: the list, and one with all of its dates."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import (
    TimeRange,
    clock_from_minute,
    clock_in_zone,
    day_in_short,
    end_clock_in_zone,
)
from clubplanner.language import _, ngettext
from clubplanner.services.hires.hire_rows import (
    dates_of,
    days_left_out,
    is_live,
    last_day,
    load_hire,
    load_hires,
    mark_of,
    rhythm_of,
)
from clubplanner.services.rows.snapshot import WITH_NAMES, load_zone
from clubplanner.services.showing.states.conditions import place_name
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.busy_tables import BusyBookingRow
from clubplanner.store.tables.hire_tables import HireDateRow, HireRow

if TYPE_CHECKING:
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.store.engine import Store


@dataclass(frozen=True, slots=True)
class HireLine:
    """A hire in the list.

    Attributes:
        number: The hire's number.
        name: The hirer.
        place: Where its later dates are.
        rhythm: When, in words.
        span: From which date to which, in words.
        coming: How many dates are still to come and booked.
        left_out: How many are still to come and not.
        contact: Whom to call; may be blank.
        phone: Their number; may be blank.
        is_over: Whether none is still to come.
    """

    number: int
    name: str
    place: str
    rhythm: str
    span: str
    coming: int
    left_out: int
    contact: str
    phone: str
    is_over: bool


@dataclass(frozen=True, slots=True)
class OtherHire:
    """Hires of one name that were booked one by one elsewhere.

    Attributes:
        booking: Number of the next booking.
        name: The hirer.
        words: When and where the next is, and how many there are.
        during: When the next is.
        place: Where.
        later: How many there are after it.
    """

    booking: int
    name: str
    words: str
    during: TimeRange
    place: str
    later: int


@dataclass(frozen=True, slots=True)
class HireDateLine:
    """A date of a hire.

    Attributes:
        when: Date and times.
        place: Where, if it is not where the hire is as a rule; blank.
        booking: Number of its booking that stands; None for a date left out.
        overruled: Why it stands against a rule; blank.
        is_over: Whether it is past.
        on: Its local date.
        during: When it is; None for a date left out.
    """

    when: str
    place: str
    booking: int | None
    overruled: str
    is_over: bool
    on: date
    during: TimeRange | None = None


@dataclass(frozen=True, slots=True)
class HirePage:
    """One hire.

    Attributes:
        line: As in the list.
        note: May be blank.
        mark: The hire as it is now, for forms.
        dates: All of them, by date.
        values: What the forms stand at, by field.
    """

    line: HireLine
    note: str
    mark: str
    dates: tuple[HireDateLine, ...]
    values: dict[str, str]


def list_hires(store: Store, now: datetime) -> tuple[HireLine, ...]:
    """Return the hires that stand, those with dates still to come first."""
    with store.read() as session:
        zone = load_zone(session)
        lines = [_line(row, now, zone) for row in load_hires(session)]
        return tuple(sorted(lines, key=lambda line: line.is_over))


def list_other_hires(store: Store, now: datetime) -> tuple[OtherHire, ...]:
    """Return hires to come that were booked one by one, by hirer and next date."""
    with store.read() as session:
        zone = load_zone(session)
        linked = select(HireDateRow.booking_id).join(HireDateRow.hire)
        linked = linked.where(HireDateRow.booking_id.is_not(None), HireRow.withdrawn_at.is_(None))
        rows = session.scalars(
            select(BookingRow)
            .where(
                BookingRow.purpose == Purpose.HIRE,
                BookingRow.is_withdrawn.is_(False),
                BookingRow.id.not_in(linked),
                BookingRow.id.not_in(select(BusyBookingRow.booking_id)),
                *BookingRow.not_over(now),
            )
            .order_by(BookingRow.starts_at)
            .options(*WITH_NAMES)
        ).all()
        by_name: dict[str, list[BookingRow]] = {}
        for row in rows:
            by_name.setdefault(row.holder, []).append(row)
        return tuple(_other(name, own, zone) for name, own in by_name.items())


def see_hire(store: Store, number: int, now: datetime) -> HirePage:
    """Show a hire with its dates.

    Raises:
        MissingError: If there is no such hire.
    """
    with store.read() as session:
        row = load_hire(session, number)
        zone = load_zone(session)
        coming = [one.day for one in dates_of(row) if is_live(one) and not _is_over(one, now, zone)]
        first = coming[0] if coming else last_day(row)
        return HirePage(
            line=_line(row, now, zone),
            note=row.note,
            mark=mark_of(row),
            dates=tuple(_date(row, one, now, zone) for one in dates_of(row)),
            values={
                "name": row.name,
                "contact": row.contact,
                "phone": row.phone,
                "note": row.note,
                "area": str(row.area_id),
                "from_on": first.isoformat(),
                "weekday": str(first.weekday()),
                "from": clock_from_minute(row.start_min),
                "to": clock_from_minute(row.end_min),
                "last": last_day(row).isoformat(),
            },
        )


def hire_of_booking(store: Store, number: int) -> tuple[int, str] | None:
    """Return number and rhythm of the hire that a booking belongs to; None for none."""
    with store.read() as session:
        one = session.scalars(
            select(HireDateRow)
            .join(HireDateRow.hire)
            .where(HireDateRow.booking_id == number, HireRow.withdrawn_at.is_(None))
        ).first()
        return None if one is None else (one.hire_id, rhythm_of(one.hire))


def _line(row: HireRow, now: datetime, zone: ZoneInfo) -> HireLine:
    days = [one.day for one in dates_of(row)]
    first, last = day_in_short(days[0]), day_in_short(days[-1])
    coming = sum(is_live(one) and not _is_over(one, now, zone) for one in dates_of(row))
    left_out = days_left_out(row, now.astimezone(zone).date())
    return HireLine(
        number=row.id,
        name=row.name,
        place=place_name(row.area),
        rhythm=rhythm_of(row),
        span=first if first == last else _("%(first)s to %(last)s", first=first, last=last),
        coming=coming,
        left_out=len(left_out),
        contact=row.contact,
        phone=row.phone,
        is_over=not coming and not left_out,
    )


def _other(name: str, rows: list[BookingRow], zone: ZoneInfo) -> OtherHire:
    first = rows[0]
    words = _(
        "%(day)s, %(start)s–%(end)s, %(place)s",
        day=day_in_short(first.starts_at.astimezone(zone).date()),
        start=clock_in_zone(first.starts_at, zone),
        end=end_clock_in_zone(first.ends_at, zone),
        place=place_name(first.area),
    )
    if len(rows) > 1:
        more = ngettext("and %(num)s later", "and %(num)s later", len(rows) - 1)
        words = f"{words}, {more}"
    during = TimeRange(first.starts_at, first.ends_at)
    return OtherHire(first.id, name, words, during, place_name(first.area), len(rows) - 1)


def _is_over(one: HireDateRow, now: datetime, zone: ZoneInfo) -> bool:
    if one.booking is not None:
        return one.booking.ends_at <= now
    return one.day < now.astimezone(zone).date()


def _date(row: HireRow, one: HireDateRow, now: datetime, zone: ZoneInfo) -> HireDateLine:
    booking = one.booking
    if booking is None or not is_live(one):
        when = day_in_short(one.day)
        return HireDateLine(when, "", None, "", _is_over(one, now, zone), one.day)
    day = booking.starts_at.astimezone(zone).date()
    when = _(
        "%(day)s, %(start)s–%(end)s",
        day=day_in_short(day),
        start=clock_in_zone(booking.starts_at, zone),
        end=end_clock_in_zone(booking.ends_at, zone),
    )
    place = "" if booking.area_id == row.area_id else place_name(booking.area)
    during = TimeRange(booking.starts_at, booking.ends_at)
    is_over = _is_over(one, now, zone)
    return HireDateLine(when, place, booking.id, booking.overruled, is_over, day, during)
