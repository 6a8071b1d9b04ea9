"""What is booked in the weeks to come, as cases of the rule book."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.rules.case import Case
from clubplanner.domain.times.times import (
    clock_in_zone,
    end_clock_in_zone,
    minute_from_instant,
    short_day,
)
from clubplanner.language import _, weekday_in_words
from clubplanner.services.places.places import ask_for
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.season_tables import FixtureRow

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from sqlalchemy.orm import Session

    from clubplanner.domain.ground.grounds import Area, Pitch
    from clubplanner.domain.rules.case import Scene
    from clubplanner.domain.times.times import TimeRange


@dataclass(frozen=True, slots=True)
class Standing:
    """A training, match or hire to come, where it stands.

    Attributes:
        booking: The booking.
        case: The same as a case; its own time is no excuse for it (`Case.was` is None).
        overruled: Why it was put there against a rule; blank where none was.
    """

    booking: Booking
    case: Case
    overruled: str

    @property
    def place(self) -> str:
        """The ground: "Clubhouse third, Top pitch"."""
        return place_in_short(self.case.pitch, self.case.area)

    @property
    def when(self) -> str:
        """Weekday and times: "Wednesday 18:00–19:15"."""
        return weekly_in_words(self.case.during, self.case.zone)


def place_in_short(pitch: Pitch, area: Area) -> str:
    """Write ground of a venue that is known: "Clubhouse third, Top pitch"."""
    return part_in_words(area, pitch.name)


def weekly_in_words(during: TimeRange, zone: ZoneInfo) -> str:
    """Write weekday and times: "Wednesday 18:00–19:15"."""
    starts_at = during.starts_at.astimezone(zone)
    return (
        f"{weekday_in_words(starts_at.weekday())} "
        f"{clock_in_zone(starts_at, zone)}–{end_clock_in_zone(during.ends_at, zone)}"
    )


Pattern = tuple[str, str, str, int, int, int]


def pattern_of(case: Case, holder: str) -> Pattern:
    """Return what weekly sessions have in common: who, which ground, weekday, start, length."""
    return weekly_pattern(holder, case.pitch.key, case.area.key, case.during, case.zone)


def weekly_pattern(
    holder: str, pitch_key: str, area_key: str, during: TimeRange, zone: ZoneInfo
) -> Pattern:
    """Return the same of what is no case."""
    day = during.starts_at.astimezone(zone).date()
    start = minute_from_instant(during.starts_at, day, zone)
    return holder, pitch_key, area_key, day.weekday(), start, during.minutes


def load_standing(
    session: Session, scene: Scene, first: date, last: date, now: datetime, venue_key: str = ""
) -> list[Standing]:
    """Return what is booked on some dates and has not begun, by start, then by holder.

    Args:
        session: An open session.
        scene: The club round these dates.
        first: First local date.
        last: Last date, included.
        now: The present instant.
        venue_key: The only venue that is asked about; blank for all.
    """
    zone = scene.club.time_zone
    reasons = _load_reasons(session, now)
    whistles = _load_minutes_after(session, first, last)
    found = []
    for booking in scene.bookings:
        during = booking.during
        pitch = scene.pitches[booking.pitch_key]
        if venue_key not in ("", pitch.venue_key):
            continue
        is_there = first <= during.starts_at.astimezone(zone).date() <= last
        if not is_there or during.starts_at <= now or booking.purpose is Purpose.CLOSED:
            continue
        is_match = booking.purpose is Purpose.MATCH
        after = whistles.get(booking.number)
        case = Case(
            scene,
            pitch,
            pitch.area(booking.area_key),
            during,
            purpose=booking.purpose,
            squad=scene.squads.get(booking.squad_key or ""),
            ask=None if is_match else ask_for(booking, scene.asks.get(booking.squad_key or "", ())),
            number=booking.number,
            light_until=None if after is None else during.ends_at - after,
        )
        found.append(Standing(booking, case, reasons.get(booking.number, "")))
    return sorted(found, key=lambda one: (one.booking.during.starts_at, one.booking.holder))


def dates_in_words(days: Sequence[date]) -> str:
    """Write some dates in order: up to three by name, more as a number with first and last."""
    if len(days) <= 3:
        return ", ".join(short_day(day) for day in days)
    return _(
        "%(count)s dates, %(first)s to %(last)s",
        count=len(days),
        first=short_day(days[0]),
        last=short_day(days[-1]),
    )


def _load_reasons(session: Session, now: datetime) -> dict[int, str]:
    """Return why bookings to come stand where they do against a rule, by their numbers."""
    query = select(BookingRow.id, BookingRow.overruled).where(
        BookingRow.overruled != "", BookingRow.is_withdrawn.is_(False), BookingRow.starts_at > now
    )
    return {row.id: row.overruled for row in session.execute(query)}


def _load_minutes_after(session: Session, first: date, last: date) -> dict[int, timedelta]:
    """Return how long ground is kept after the end of a match, by the number of its booking."""
    query = select(FixtureRow.booking_id, FixtureRow.after_minutes).where(
        FixtureRow.day >= first, FixtureRow.day <= last, FixtureRow.booking_id.is_not(None)
    )
    return {
        number: timedelta(minutes=minutes)
        for number, minutes in session.execute(query)
        if number is not None
    }
