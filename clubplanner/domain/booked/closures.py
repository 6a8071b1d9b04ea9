"""Closed ground, and ground that is open with a condition."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import MINUTES_A_DAY, TimeRange, instant_from_wall
from clubplanner.language import _, term

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo


class Condition(StrEnum):
    """How far ground is closed."""

    CLOSED = "closed"
    NO_STUDS = "no studs"
    HALF_LOAD = "half load"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class Closure:
    """Ground that is closed or open with a condition, from when to when.

    Attributes:
        number: Its number in the records.
        pitch_key: The pitch.
        pitch_name: As people say it.
        area_name: The part of it.
        cells: Bit mask of the part's cells.
        during: Half-open range of instants.
        condition: How far it is closed.
        reason: Why, in words: "waterlogged".
        words: For a condition of another kind: what is allowed.
    """

    number: int
    pitch_key: str
    pitch_name: str
    area_name: str
    cells: int
    during: TimeRange
    condition: Condition
    reason: str
    words: str = ""

    @property
    def is_closed(self) -> bool:
        """Whether nobody may use it."""
        return self.condition is Condition.CLOSED

    @property
    def load_factor(self) -> float:
        """Part of the usual load that the ground may bear meanwhile."""
        return {Condition.CLOSED: 0.0, Condition.HALF_LOAD: 0.5}.get(self.condition, 1.0)

    @property
    def sentence(self) -> str:
        """In words: "Top pitch is closed: waterlogged." or "…: no studs (soft)."."""
        if self.is_closed:
            return _(
                "%(area_name)s is closed: %(reason)s.", area_name=self.area_name, reason=self.reason
            )
        return f"{self.area_name}: {self.allowed} ({self.reason})."

    @property
    def allowed(self) -> str:
        """What the condition is, in words: "no studs"."""
        return self.words if self.condition is Condition.OTHER else term(self.condition.value)


def day_pieces(during: TimeRange, zone: ZoneInfo) -> tuple[TimeRange, ...]:
    """Cut a range at each local midnight, so that no piece is longer than a day.

    Args:
        during: Half-open range of instants.
        zone: Whose midnights are meant.

    Returns:
        The pieces in order; together they are the range.
    """
    pieces = []
    start = during.starts_at
    while start < during.ends_at:
        midnight = instant_from_wall(start.astimezone(zone).date(), MINUTES_A_DAY, zone)
        end = min(midnight, during.ends_at)
        pieces.append(TimeRange(start, end))
        start = end
    return tuple(pieces)
