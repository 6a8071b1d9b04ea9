"""Matches: how long ground is needed, and when they may kick off."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import TimeRange, instant_from_wall

if TYPE_CHECKING:
    from collections.abc import Iterator
    from zoneinfo import ZoneInfo

USUAL_WARM_UP, USUAL_AFTER = 30, 15
"""Minutes on the ground before kick-off and after the end: common practice, no source."""


@dataclass(frozen=True, slots=True)
class Fixture:
    """A match at home as it was arranged.

    Attributes:
        squad_key: Whose it is.
        day: Local date.
        kick_off_from: Earliest minute of kick-off.
        kick_off_to: Latest minute of kick-off; the same for a set time.
        opponent: Who comes.
        format_code: The form of the game, by its code in the published tables.
        minutes: From kick-off to the end, half-time included.
        warm_up_minutes: On the ground before kick-off.
        after_minutes: Until the ground is free again.
        pitch_name: The pitch it must be on; blank for any.
        officials: Who referees and when they come, in words; may be blank.
        opponents: When the opponents come, in words; may be blank.
        note: What else people should know; may be blank.
    """

    squad_key: str
    day: date
    kick_off_from: int
    kick_off_to: int
    opponent: str
    format_code: str
    minutes: int
    warm_up_minutes: int = USUAL_WARM_UP
    after_minutes: int = USUAL_AFTER
    pitch_name: str = ""
    officials: str = ""
    opponents: str = ""
    note: str = ""

    def kick_offs(self, step_minutes: int) -> Iterator[int]:
        """Yield the minutes at which it may kick off, each step from the earliest."""
        yield from range(self.kick_off_from, self.kick_off_to + 1, step_minutes)

    def needs(self, kick_off_min: int, zone: ZoneInfo) -> TimeRange:
        """Return when the ground is needed: from the warm-up to the changeover.

        Args:
            kick_off_min: Minute of the local day.
            zone: The club's time zone.
        """
        kick_off = instant_from_wall(self.day, kick_off_min, zone)
        return TimeRange(
            kick_off - timedelta(minutes=self.warm_up_minutes),
            kick_off + timedelta(minutes=self.minutes + self.after_minutes),
        )

    def ends_at(self, kick_off: datetime) -> datetime:
        """Return the final whistle for a kick-off, no time added."""
        return kick_off + timedelta(minutes=self.minutes)


@dataclass(frozen=True, slots=True)
class MatchLength:
    """How long an age group plays.

    Attributes:
        age_from: Youngest age group.
        age_to: Oldest age group; None for no upper end.
        half_minutes: Longest half.
        half_time_minutes: Longest interval.
        standing: How sure the figures are.
        source: Where they are published.
    """

    age_from: int
    age_to: int | None
    half_minutes: int
    half_time_minutes: int
    standing: str
    source: str

    @property
    def minutes(self) -> int:
        """From kick-off to the end."""
        return 2 * self.half_minutes + self.half_time_minutes
