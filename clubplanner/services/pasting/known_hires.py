"""Hires of a table that the club knows already: by hirer, weekday and dates."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.times.times import minute_from_instant
from clubplanner.services.hires.changes import dates_apart
from clubplanner.services.hires.hire_rows import dates_of

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.hires import HireTimes
    from clubplanner.services.hires.dates import HireWish
    from clubplanner.store.tables.hire_tables import HireRow

    SinglePlace = tuple[str, int, date, int, int]
    """Where one date of a hire is: hirer, area, local date, minutes of that day."""

NEAR_WEEKS = 3
"""How far a series may begin after the end of a known one that it goes on with."""


def find_known(wanted: Sequence[HireWish], hires: Sequence[HireRow]) -> dict[int, HireRow]:
    """Return which wanted hires, by their place, are known ones: the likeliest pairs first."""
    by_name: dict[str, list[HireRow]] = {}
    for hire in hires:
        by_name.setdefault(plain_name(hire.name), []).append(hire)
    pairs = sorted(
        (
            (-_points(one, hire), number, hire.id, hire)
            for number, one in enumerate(wanted)
            for hire in by_name.get(plain_name(one.name), ())
            if _is_meant(one.times, hire)
        ),
        key=lambda pair: pair[:3],
    )
    found: dict[int, HireRow] = {}
    taken: set[int] = set()
    for _points_unused, number, hire_id, hire in pairs:
        if number not in found and hire_id not in taken:
            found[number] = hire
            taken.add(hire_id)
    return found


def stand_apart(hires: Sequence[HireRow], zone: ZoneInfo) -> frozenset[SinglePlace]:
    """Return where single dates of series stand that were put elsewhere by hand.

    In a table they are rows of their own, and come back as what is known already.
    """
    return frozenset(
        (
            plain_name(hire.name),
            booking.area_id,
            day,
            minute_from_instant(booking.starts_at, day, zone),
            minute_from_instant(booking.ends_at, day, zone),
        )
        for hire in hires
        if len(dates_of(hire)) > 1
        for day, booking in dates_apart(hire, zone)
    )


def place_of_single(wish: HireWish) -> SinglePlace | None:
    """Return where a hire of one date is wished; None for a series."""
    times = wish.times
    if len(times.dates) > 1:
        return None
    return plain_name(wish.name), wish.area_id, times.first_on, times.start_min, times.end_min


def _is_meant(times: HireTimes, hire: HireRow) -> bool:
    """Tell whether a hire may be one of a table by weekday and dates; single ones by their date."""
    days = [one.day for one in dates_of(hire)]
    if len(days) == len(times.dates) == 1:
        return days[0] == times.dates[0]
    near = timedelta(weeks=NEAR_WEEKS)
    return (
        days[-1].weekday() == times.first_on.weekday()
        and times.first_on <= days[-1] + near
        and days[0] <= times.dates[-1] + near
    )


def _points(wish: HireWish, hire: HireRow) -> int:
    """Tell how much besides the name speaks for two hires being one."""
    return (
        2 * (hire.area_id == wish.area_id)
        + 2 * (hire.start_min == wish.times.start_min)
        + (bool(wish.phone) and hire.phone == wish.phone)
        + (bool(wish.contact) and hire.contact == wish.contact)
        + 3 * (len(dates_of(hire)) == len(wish.times.dates))
    )
