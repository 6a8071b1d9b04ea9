"""Squads and coaches who are elsewhere: what bookings that stand leave of the times asked for.

Ground that a standing booking takes is the share-out's own rule. Whom it takes is settled here, for
days of one date each: the times at which the squad or its coach is elsewhere are no longer
possible, nor are days that trainings which stand leave no room for: for the squad's rest, its
evenings in a row, and one training a day. The rules are those of `domain/rules/people/`.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.rules.people.evenings_in_a_row import days_in_a_row
from clubplanner.domain.times.times import minute_from_instant
from clubplanner.sharing.values.problem import merge_ranges
from clubplanner.sharing.values.wants import Window

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.times.times import TimeRange
    from clubplanner.sharing.values.problem import Ask, Day

Span = tuple[int, int, int]
"""Day, first minute, minute after the last."""


@dataclass(frozen=True, slots=True)
class _Known:
    """What a squad has besides what is shared out.

    Attributes:
        asks: All its asks.
        trainings: How many trainings stand on each date.
        movable: Dates on which it has a training that may be moved; that one is there already.
    """

    asks: list[Ask]
    trainings: Counter[date]
    movable: set[date]


def does_stand(booking: Booking) -> bool:
    """Tell whether a share-out must leave a booking alone, as `BookingRow.stands` does of rows."""
    return booking.is_fixed or booking.purpose is not Purpose.TRAINING or not booking.squad_key


def free_of_standing(
    asks: Sequence[Ask],
    days: Sequence[Day],
    bookings: Iterable[Booking],
    squads: Iterable[Squad],
    zone: ZoneInfo,
) -> tuple[Ask, ...]:
    """Take out of asks the times that standing bookings leave no squad or coach for.

    Args:
        asks: The asks.
        days: The days of the plan, of one date each.
        bookings: All that is known round these days, that which may be moved as well.
        squads: All squads, for their coaches.
        zone: The club's time zone.
    """
    coaches = {squad.key: squad.coach_key for squad in squads}
    live = [one for one in bookings if one.squad_key and not one.is_withdrawn]
    stand = [one for one in live if does_stand(one) and one.purpose is not Purpose.CLOSED]
    of_squad: dict[str, list[Span]] = defaultdict(list)
    of_coach: dict[str, list[Span]] = defaultdict(list)
    spans_of = cache(lambda during: tuple(_spans(during, days, zone)))  # many at the same time
    for one in stand:
        squad, spans = one.squad_key or "", spans_of(one.during)
        of_squad[squad] += spans
        of_coach[coaches.get(squad, "")] += spans
    known: dict[str, _Known] = defaultdict(lambda: _Known([], Counter(), set()))
    for ask in asks:
        known[ask.squad].asks.append(ask)
    for one in live:
        if one.purpose is Purpose.TRAINING:
            day = one.during.starts_at.astimezone(zone).date()
            if does_stand(one):
                known[one.squad_key or ""].trainings[day] += 1
            else:
                known[one.squad_key or ""].movable.add(day)
    freed = []
    for ask in asks:
        coach = coaches[ask.squad]
        taken = of_squad[ask.squad] + (of_coach[coach] if coach else [])
        full = {day.index for day in days if _is_full(known[ask.squad], day.dates[0])}
        if any(window.day in full for window in ask.possible):
            left = tuple(window for window in ask.possible if window.day not in full)
            ask = replace(ask, possible=left)
        freed.append(without(ask, taken))
    return tuple(freed)


def without(ask: Ask, taken: Sequence[Span]) -> Ask:
    """Take some times out of those that an ask calls possible."""
    if not taken:
        return ask
    free = []
    for day in {window.day for window in ask.possible}:
        ranges = merge_ranges([(w.start_min, w.end_min) for w in ask.possible if w.day == day])
        for _, start, end in sorted(span for span in taken if span[0] == day):
            ranges = [
                part
                for low, high in ranges
                for part in ((low, min(high, start)), (max(low, end), high))
                if part[0] < part[1]
            ]
        free += [Window(day, start, end) for start, end in ranges]
    possible = tuple(sorted(free, key=lambda w: (w.day, w.start_min)))
    return ask if possible == ask.possible else replace(ask, possible=possible)


def _spans(during: TimeRange, days: Sequence[Day], zone: ZoneInfo) -> Iterable[Span]:
    for day in days:
        (when,) = day.dates
        start = minute_from_instant(during.starts_at, when, zone)
        end = minute_from_instant(during.ends_at, when, zone)
        if start < 2 * 24 * 60 and end > 0:
            yield day.index, start, end


def _is_full(known: _Known, when: date) -> bool:
    """Tell whether trainings that stand leave no room for another on a date."""
    if when in known.movable:
        return False
    trainings = known.trainings
    rest = max(ask.rest_days for ask in known.asks)
    near = range(-rest, rest + 1) if rest else ()
    if any(when + timedelta(days=n) in trainings for n in near):
        return True
    if trainings[when] >= len(known.asks):
        return True
    told = [ask.most_in_a_row for ask in known.asks if ask.most_in_a_row is not None]
    return bool(told) and len(days_in_a_row({*trainings}, when)) > min(told)
