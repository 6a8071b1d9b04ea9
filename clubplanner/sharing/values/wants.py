"""What a club may want beyond places and hours: graded wishes, pairs of squads, limits, prices."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

LOWEST_GRADE, HIGHEST_GRADE = 1, 3
"""A wish is "nice to have" (1), "matters" (2) or "matters much" (3)."""


@dataclass(frozen=True, slots=True)
class Window:
    """A stretch of a day, from start_min up to end_min."""

    day: int
    start_min: int
    end_min: int


@dataclass(frozen=True, slots=True)
class Wish:
    """Something an ask would like; a session keeps it when it meets every part that is given.

    Attributes:
        grade: 1 nice to have, 2 matters, 3 matters much; against the ask's own other wishes.
        windows: The session lies wholly within one of these; empty for any time.
        days: Indexes of days; empty for any day.
        venues: Keys of venues; empty for any.
        grounds: Keys of grounds; empty for any. Ground that lies wholly within one of them counts.
    """

    grade: int = 2
    windows: tuple[Window, ...] = ()
    days: frozenset[int] = frozenset()
    venues: frozenset[str] = frozenset()
    grounds: frozenset[str] = frozenset()


class PairKind(StrEnum):
    """What is wished of the sessions of two squads."""

    SHARE_PITCH = "share a pitch"
    """A session of the first squad has one of the other on the same pitch at some moment."""
    KEEP_APART = "keep apart"
    """No session of the first has one of the other on the same pitch at any moment."""
    NOT_TOGETHER = "not at one time"
    """No session of the first meets one of the other in time, wherever they are."""
    ONE_AFTER_OTHER = "one after the other"
    """A session of the first ends within `CLOSE_MIN` before one of the other at the same venue
    starts, or the other way round."""
    SAME_EVENING = "same evening"
    """A session of the first has one of the other on the same day at the same venue."""


CLOSE_MIN = 30
"""Minutes that may lie between two sessions that come one after the other."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A wish about two squads: friends that train beside each other, siblings, rivals.

    Attributes:
        kind: What is wished.
        squad: Key of the first squad; its sessions are what is counted.
        other: Key of the other squad.
        grade: 1 nice to have, 2 matters, 3 matters much.
    """

    kind: PairKind
    squad: str
    other: str
    grade: int = 2


@dataclass(frozen=True, slots=True)
class LoadLimit:
    """How much a pitch may be used in each week, Monday to Sunday, so that its grass lasts.

    Attributes:
        pitch: Key of the pitch.
        most_minutes: In minutes of the whole pitch; a session on a third counts a third of its
            own, rounded up. None for no such limit.
        most_sessions: In sessions, whatever part of the pitch they have. None for no such limit.
    """

    pitch: str
    most_minutes: int | None = None
    most_sessions: int | None = None


@dataclass(frozen=True, slots=True)
class Price:
    """What ground costs the club, in the smallest coin of its money or in points of its own.

    At each minute one price holds: that of a ground itself before its pitch's, that before its
    venue's, and of one place that of the day and window before that of all. Windows of one place
    and day do not overlap.

    Attributes:
        venue: Key of the venue.
        pitch: Key of a pitch there, whose own price an hour it is; None for every pitch of the
            venue that has no price of its own.
        per_hour: For an hour of the whole pitch; a session on a third pays a third, rounded up.
        per_opening: For each day of the plan on which the venue is used at all; only where pitch
            is None.
        ground: Key of a ground of that pitch, whose price an hour it is as it is and not by its
            share; None for the whole pitch's price.
        day: Index of the day it is for; None for every day.
        from_min: From which minute of that day; None for all of it, as is until_min.
        until_min: Up to which minute, not included.
        for_floodlights: Whether it is what floodlights cost on top: for the whole pitch while
            anybody is on it, in whole coins a minute, rounded up.
    """

    venue: str
    pitch: str | None = None
    per_hour: int = 0
    per_opening: int = 0
    ground: str | None = None
    day: int | None = None
    from_min: int | None = None
    until_min: int | None = None
    for_floodlights: bool = False
