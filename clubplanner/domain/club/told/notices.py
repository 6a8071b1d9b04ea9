"""Who has to be told of what, and when: pure rules over what bookings were and are.

A change is *noticeable* when a squad's calendar shows it; it is *soon* when the squad might set out
for the wrong ground before its calendar program looks again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.journal import is_same_state

if TYPE_CHECKING:
    from collections.abc import Iterable
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.journal import BookingState

SOON = timedelta(hours=24)
"""Calendar programs look again within a day (common practice, no source)."""
SETTLE = timedelta(minutes=2)
"""How long it must be quiet about a squad before it is told, so that one go is one mail."""
LONGEST_SETTLE = timedelta(minutes=10)
"""How long the first change of a go waits at most."""
REST_NEEDED = timedelta(hours=2)
"""Who has to leave the house sooner than this after the quiet hours is told at once."""
FIRST_PAUSE = timedelta(minutes=2)
LONGEST_PAUSE = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class NotedChange:
    """One change of one booking, as one squad has to hear of it.

    Attributes:
        number: The booking's number.
        before: What the squad had; None when the booking is new to it.
        after: What it became.
        sequence: The booking's count of changes after this one.
        changed_at: When, UTC.
        squad_id: Number of the squad for whose sake it is told; None where that is known otherwise.
        is_left: The booking goes on, but whoever is told is no longer written to about its squad.
    """

    number: int
    before: BookingState | None
    after: BookingState
    sequence: int
    changed_at: datetime
    squad_id: int | None = None
    is_left: bool = False


@dataclass(frozen=True, slots=True)
class QuietHours:
    """When nobody wants to be woken, on the club's wall clock; over midnight where start > end.

    Attributes:
        starts: First moment of quiet.
        ends: First moment after it; the same as `starts` for no quiet hours at all.
    """

    starts: time
    ends: time

    def end_after(self, instant: datetime, zone: ZoneInfo) -> datetime | None:
        """Return when the quiet hours that an instant lies in are over; None outside of them."""
        wall = instant.astimezone(zone)
        clock = wall.time().replace(tzinfo=None)
        if self.starts <= self.ends:
            inside, days = self.starts <= clock < self.ends, 0
        else:
            inside = clock >= self.starts or clock < self.ends
            days = 1 if clock >= self.starts else 0
        if not inside:
            return None
        day = wall.date() + timedelta(days=days)
        return datetime.combine(day, self.ends, zone).astimezone(instant.tzinfo)


def is_noticeable(before: BookingState | None, after: BookingState) -> bool:
    """Tell whether a squad's calendar shows the difference.

    Whether a share-out must leave a booking alone, and which rule was overruled for it, is of no
    interest to the squad; nor is what happens to a booking that stays withdrawn. That a squad is
    called otherwise is counted where it is renamed, and told by calendars alone.
    """
    if before is None:
        return not after.is_withdrawn
    if before.is_withdrawn and after.is_withdrawn:
        return False
    seen = replace(before, is_fixed=after.is_fixed, overruled=after.overruled)
    return not is_same_state(seen, after)


def squads_told(before: BookingState | None, after: BookingState) -> tuple[int, ...]:
    """Return the numbers of the squads concerned; a booking may pass from one to another."""
    squads = [after.squad_id] if before is None else [after.squad_id, before.squad_id]
    return tuple(dict.fromkeys(squad for squad in squads if squad is not None))


def is_soon(before: BookingState | None, after: BookingState, at: datetime) -> bool:
    """Tell whether ground that was or is held comes up within a day and is not over yet."""
    held = [state for state in (before, after) if state is not None and not state.is_withdrawn]
    return any(state.ends_at > at and state.starts_at < at + SOON for state in held)


def join_changes(
    changes: Iterable[NotedChange], *, all_of_them: bool = False
) -> tuple[NotedChange, ...]:
    """Make one change of all those of one booking: from what it was first to what it is last.

    Args:
        changes: Of one squad, oldest first.
        all_of_them: Whether what came back to where it was is there, too; else it is left out,
            for there is nothing to tell.
    """
    joined: dict[int, NotedChange] = {}
    for change in changes:
        first = joined.get(change.number)
        joined[change.number] = change if first is None else replace(change, before=first.before)
    return tuple(c for c in joined.values() if all_of_them or is_noticeable(c.before, c.after))


def is_settled(first_at: datetime, last_at: datetime, now: datetime) -> bool:
    """Tell whether a go of changes is over, or has lasted long enough to be told of."""
    return now >= last_at + SETTLE or now >= first_at + LONGEST_SETTLE


def due_at(
    changes: Iterable[NotedChange], now: datetime, quiet: QuietHours, zone: ZoneInfo
) -> datetime:
    """Return when to write: now, or at the end of the quiet hours if that is early enough."""
    ends_at = quiet.end_after(now, zone)
    if ends_at is None:
        return now
    for change in changes:
        for state in (change.before, change.after):
            if (
                state is not None
                and now < state.ends_at
                and state.starts_at < ends_at + REST_NEEDED
            ):
                return now
    return ends_at


def pause_after(attempts: int) -> timedelta:
    """Return how long to wait after so many tries: 2, 4, 8 … minutes, at most an hour."""
    doublings = min(max(attempts, 1) - 1, 10)
    return min(FIRST_PAUSE * (1 << doublings), LONGEST_PAUSE)
