"""Bringing a known hire in line with what a table says of it, as far as no rule stands in the way.

What is over, or was left out or put elsewhere by hand, is not touched: a table that is loaded again
changes nothing by itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import clock_from_minute, day_in_short, short_day
from clubplanner.inputs.club_files.spoken_cells import EVERY
from clubplanner.language import _
from clubplanner.services.hires.booking import put_dates
from clubplanner.services.hires.changes import is_usual
from clubplanner.services.hires.hire_rows import dates_of, is_live
from clubplanner.services.rows.bookings.booking_rows import load_area, note_change, place_booking
from clubplanner.services.rows.snapshot import booking_from_row
from clubplanner.services.showing.states.conditions import place_name

if TYPE_CHECKING:
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.services.hires.dates import HireDate, HireWish, Looking
    from clubplanner.store.tables.booking_tables import BookingRow
    from clubplanner.store.tables.hire_tables import HireDateRow, HireRow


@dataclass(frozen=True, slots=True)
class InLine:
    """What was changed of a hire.

    Attributes:
        details: What is otherwise now: column of the table, before, after.
        stays: Dates that could not go along or be booked, each with the rule, in words.
    """

    details: tuple[tuple[str, str, str], ...]
    stays: tuple[str, ...]


def bring_in_line(
    session: Session, row: HireRow, wish: HireWish, looking: Looking, now: datetime
) -> InLine:
    """Make a hire what is wished; blank words of the wish stay as they are known.

    Args:
        session: The open write session.
        row: The hire.
        wish: What a table says of it.
        looking: What looks at dates; it takes notice of what is changed here.
        now: The present instant.
    """
    details = _words(row, wish)
    today = now.astimezone(looking.zone).date()
    is_elsewhere = (row.area_id, row.start_min, row.end_min) != (
        wish.area_id,
        wish.times.start_min,
        wish.times.end_min,
    )
    details += _pattern(session, row, wish) if is_elsewhere else []
    wanted = {day for day in wish.times.dates if day >= today}
    details += _span(row, wish, today)
    gone = [one for one in dates_of(row) if one.day >= today and one.day not in wanted]
    _give_back(gone, looking, now)
    details += _leave_out(row, wish, looking, now)
    stays = _move(session, row, wish, looking, now) if is_elsewhere else []
    row.area_id, row.every_weeks = wish.area_id, wish.times.every_weeks
    row.start_min, row.end_min = wish.times.start_min, wish.times.end_min
    known = {one.day for one in dates_of(row) if is_live(one) or not is_elsewhere}
    known |= wish.not_on & {one.day for one in dates_of(row)}
    fresh = looking.dates(wish, sorted(wanted - known))
    put_dates(session, row, wish, fresh, now)
    looking.take(wish, fresh)
    if not dates_of(row):
        row.withdrawn_at = now
    return InLine(tuple(details), (*stays, *left_out_words(fresh)))


def left_out_words(dates: tuple[HireDate, ...]) -> list[str]:
    """Say of each date that is left out which rule stands in its way."""
    return [
        f"{short_day(one.day)}: {' '.join((*one.against, *one.notes))}"
        for one in dates
        if not one.is_booked
    ]


def _words(row: HireRow, wish: HireWish) -> list[tuple[str, str, str]]:
    """Take name, person, number and note over, as far as something is said."""
    details = []
    for column in ("contact", "phone", "note"):
        before, after = getattr(row, column), getattr(wish, column)
        if after and after != before:
            details.append((column, before, after))
            setattr(row, column, after)
    return details


def _pattern(session: Session, row: HireRow, wish: HireWish) -> list[tuple[str, str, str]]:
    times = wish.times
    before, after = (
        f"{clock_from_minute(start)}–{clock_from_minute(end)}"
        for start, end in ((row.start_min, row.end_min), (times.start_min, times.end_min))
    )
    details = [] if before == after else [("times", before, after)]
    if row.area_id != wish.area_id:
        ground = place_name(row.area), place_name(load_area(session, wish.area_id))
        details.append(("pitch", *ground))
    return details


def _span(row: HireRow, wish: HireWish, today: date) -> list[tuple[str, str, str]]:
    """Say which ends are others than so far, and how often it is; what is over does not count."""
    stood = [one.day for one in dates_of(row)]
    known = [day for day in stood if day >= today]
    wanted = [day for day in wish.times.dates if day >= today]
    details = []
    if known and wanted and known[0] != wanted[0]:
        details.append(("first", day_in_short(known[0]), day_in_short(wanted[0])))
    before, after = (known or stood)[-1], (wanted or wish.times.dates)[-1]
    if (known or wanted) and before != after:
        details.append(("last", day_in_short(before), day_in_short(after)))
    if len(known) > 1 and len(wanted) > 1 and row.every_weeks != wish.times.every_weeks:
        words = {1: EVERY[0], 2: EVERY[1]}
        details.append(("every", words[row.every_weeks], words[wish.times.every_weeks]))
    return details


def _give_back(gone: list[HireDateRow], looking: Looking, now: datetime) -> None:
    for one in gone:
        booking = one.booking
        if booking is not None and booking.starts_at <= now:
            continue
        one.is_ended = True
        if booking is not None and not booking.is_withdrawn:
            _withdraw(booking, looking, now)


def _leave_out(
    row: HireRow, wish: HireWish, looking: Looking, now: datetime
) -> list[tuple[str, str, str]]:
    """Give back the dates that are left out now, unless they were put elsewhere by hand."""
    left = []
    for one in dates_of(row):
        booking = one.booking
        if one.day not in wish.not_on or booking is None or not is_live(one):
            continue
        if booking.starts_at > now and is_usual(row, one.day, booking, looking.zone):
            _withdraw(booking, looking, now)
            left.append(day_in_short(one.day))
    return [("not on", "", "; ".join(left))] if left else []


def _withdraw(booking: BookingRow, looking: Looking, now: datetime) -> None:
    booking.is_withdrawn = True
    note_change(booking, now)
    looking.scenes.drop(booking.id)


def _move(
    session: Session, row: HireRow, wish: HireWish, looking: Looking, now: datetime
) -> list[str]:
    area = load_area(session, wish.area_id)
    stays = []
    for one in dates_of(row):
        booking = one.booking
        if booking is None or not is_live(one) or booking.starts_at <= now:
            continue
        to = wish.times.during(one.day, looking.zone)
        if to is None or to.starts_at <= now or not is_usual(row, one.day, booking, looking.zone):
            continue
        found = looking.hinders(row.name, area, to, booking.id)
        if found:
            stays.append(_stays(one.day, found[0].words))
            continue
        place_booking(session, booking, area, to)
        note_change(booking, now)
        looking.scenes.put(booking_from_row(booking))
    return stays


def _stays(day: date, why: str) -> str:
    return _("%(day)s stays: %(why)s", day=short_day(day), why=why)
