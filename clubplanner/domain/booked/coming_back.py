"""Who had to go from ground that was closed or given to a match, and has not come back."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.domain.booked.journal import BookingState


class Mover(Enum):
    """Why a booking was changed: for this closure or match, for another one, or by a person."""

    THIS_GROUND = auto()
    OTHER_GROUND = auto()
    PERSON = auto()


@dataclass(frozen=True, slots=True)
class Step:
    """One change of one booking, and why it was made.

    Attributes:
        number: The booking's number.
        before: What was; None for a booking that the change added.
        after: What it became.
        mover: Why.
    """

    number: int
    before: BookingState | None
    after: BookingState
    mover: Mover


@dataclass(frozen=True, slots=True)
class Away:
    """A session that a closure or a match withdrew or moved and that is not back.

    Attributes:
        number: The booking's number.
        was: Where it stood before it had to go.
        is_moved_on: Whether somebody changed it since by a decision of their own.
    """

    number: int
    was: BookingState
    is_moved_on: bool


def still_away(steps: Iterable[Step]) -> tuple[Away, ...]:
    """Follow bookings that a closure or a match displaced; return those that never came back.

    A session that another closure or match displaced once more is still away because of them; only
    what a person did to it counts as a decision.

    Args:
        steps: Every change of the bookings concerned, oldest first.

    Returns:
        The sessions by the start they had.
    """
    away: dict[int, Away] = {}
    for step in steps:
        known = away.get(step.number)
        if known is None:
            if step.mover is Mover.THIS_GROUND and step.before is not None:
                away[step.number] = Away(step.number, step.before, is_moved_on=False)
        elif is_there(step.after, known.was):
            del away[step.number]
        elif step.mover is Mover.PERSON and not _is_same_place(step):
            away[step.number] = Away(step.number, known.was, is_moved_on=True)
    return tuple(sorted(away.values(), key=lambda one: (one.was.starts_at, one.number)))


def is_there(state: BookingState, was: BookingState) -> bool:
    """Tell whether a booking stands where and when it once stood."""
    return not state.is_withdrawn and _place(state) == _place(was)


def has_to_go(state: BookingState | None, taken: BookingState) -> bool:
    """Tell whether a booking stood at a time at which its pitch was taken; cells aside."""
    return (
        state is not None
        and not state.is_withdrawn
        and not taken.is_withdrawn
        and state.pitch_id == taken.pitch_id
        and state.starts_at < taken.ends_at
        and taken.starts_at < state.ends_at
    )


def _is_same_place(step: Step) -> bool:
    """Tell whether only words or a fixing were changed."""
    before = step.before
    return (
        before is not None
        and before.is_withdrawn == step.after.is_withdrawn
        and _place(before) == _place(step.after)
    )


def _place(state: BookingState) -> tuple[object, ...]:
    return state.area_id, state.starts_at, state.ends_at
