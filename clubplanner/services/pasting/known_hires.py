"""Hires of a table that the club knows already: by hirer, weekday and dates."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.services.hires.hire_rows import dates_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from clubplanner.domain.booked.hires import HireTimes
    from clubplanner.services.hires.dates import HireWish
    from clubplanner.store.tables.hire_tables import HireRow

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
