"""Who comes on an evening, and with how many."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from datetime import datetime

MOST_PLAYERS = 60
"""Nobody brings more to one session; a larger number is a slip of the hand."""
SHORTEST_MIN, LONGEST_MIN = 15, 300
"""Minutes that one evening's session may last."""


@dataclass(frozen=True, slots=True)
class Turnout:
    """What was said of a squad's session on one date; None where nothing was.

    Attributes:
        players: How many come, goalkeepers among them.
        goalkeepers: How many of them keep goal.
        is_coming: False for a squad that stays away, True for one that comes though nothing is
            planned for it.
        from_min: Not before this minute of the day.
        until_min: Over by then; given where `from_min` is.
        minutes: How long, in place of what the squad asks for.
        said_by: Who said something last.
        said_at: When that was.
    """

    players: int | None = None
    goalkeepers: int | None = None
    is_coming: bool | None = None
    from_min: int | None = None
    until_min: int | None = None
    minutes: int | None = None
    said_by: str = ""
    said_at: datetime | None = None

    @property
    def window(self) -> tuple[int, int] | None:
        """First and last minute between which the session is to lie; None for as usual."""
        if self.from_min is None or self.until_min is None:
            return None
        return self.from_min, self.until_min

    @property
    def is_blank(self) -> bool:
        """Whether nothing is said."""
        said = (self.players, self.is_coming, self.from_min, self.minutes)
        return all(value is None for value in said)
