"""What was, and how to get it back: pure rules over the journal of bookings."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from operator import attrgetter
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import datetime

    from clubplanner.domain.booked.bookings import Purpose


@dataclass(frozen=True, slots=True)
class BookingState:
    """A booking as it stood at some moment.

    Attributes:
        pitch_id: Number of the pitch.
        area_id: Number of the area.
        starts_at: Instant, UTC.
        ends_at: Instant, UTC; not included.
        purpose: Why.
        squad_id: Number of the squad; None for a hirer or a closure.
        holder: Who, in words: of a squad, what it was called then.
        note: May be blank.
        is_withdrawn: Whether its ground had been given back.
        is_fixed: Whether the share-out had to leave it alone.
        overruled: Why it was put there against a rule; blank where none was.
    """

    pitch_id: int
    area_id: int
    starts_at: datetime
    ends_at: datetime
    purpose: Purpose
    squad_id: int | None
    holder: str
    note: str
    is_withdrawn: bool
    is_fixed: bool
    overruled: str = ""


def is_same_state(one: BookingState, other: BookingState) -> bool:
    """Tell whether a booking is unchanged: a squad that is called otherwise is the same squad."""
    if one.squad_id is not None and one.squad_id == other.squad_id:
        return _all_but_holder(one) == _all_but_holder(other)
    return one == other


_all_but_holder = attrgetter(*(one.name for one in fields(BookingState) if one.name != "holder"))


@dataclass(frozen=True, slots=True)
class ChangedBooking:
    """What one change did to one booking.

    Attributes:
        number: The booking's number.
        before: What was; None for a booking that the change added.
        after: What it became.
    """

    number: int
    before: BookingState | None
    after: BookingState


@dataclass(frozen=True, slots=True)
class Taking:
    """One booking to put back when a change is taken back.

    Attributes:
        number: The booking's number.
        expected: What it must still be.
        target: What it becomes.
    """

    number: int
    expected: BookingState
    target: BookingState


def plan_undo(changed: Iterable[ChangedBooking], now: datetime) -> tuple[Taking, ...]:
    """Work out what taking a change back does to each booking that is not over.

    A booking that was added is withdrawn, not removed, so that calendars hear of it. One whose
    time has passed both before and after is left as it is.

    Args:
        changed: The bookings of the change.
        now: The present instant.

    Returns:
        One entry a booking; empty when all of it is over.
    """
    takings = []
    for entry in changed:
        target = entry.before or replace(entry.after, is_withdrawn=True)
        if max(target.ends_at, entry.after.ends_at) > now:
            takings.append(Taking(entry.number, entry.after, target))
    return tuple(takings)


def changed_since(
    takings: Iterable[Taking], current: Mapping[int, BookingState]
) -> tuple[Taking, ...]:
    """Return the entries whose bookings are no longer as the change left them."""
    return tuple(
        taking
        for taking in takings
        if (now := current.get(taking.number)) is None or not is_same_state(now, taking.expected)
    )


def states_before(
    current: Mapping[int, BookingState], later: Sequence[ChangedBooking]
) -> dict[int, BookingState]:
    """Return every booking as it stood before some changes.

    Args:
        current: What stands now, by number.
        later: All that was changed since the moment asked for, oldest first.

    Returns:
        The bookings that existed then, by number.
    """
    states: dict[int, BookingState | None] = dict(current)
    for entry in reversed(later):
        states[entry.number] = entry.before
    return {number: state for number, state in states.items() if state is not None}
