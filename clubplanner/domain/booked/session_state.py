"""What is true of a session: on, moved, off, or on with a condition. It is decided here alone.

A session's *plan* is what people were told first: where and when it was made, or where a share-out
put it that was published at least `PLAN_NOTICE` before. Whatever takes it from there later is told
until its time has passed, by whoever did it: a hand, a closure, a match, an exchange of places, a
share-out published shortly before. What comes back to its plan is on, as if nothing had been; a
session that a later plan does without was never called off, it is no session any more.

A session that was called off and for which another was made on the same day is moved. One that was
moved and is off then is off where it stood last, for whoever heard of the move, and where it was to
be by its plan, for whoever did not.

States know no clock: that a session is over is seen by its times.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence
    from datetime import datetime

    from clubplanner.domain.booked.closures import Closure
    from clubplanner.domain.times.times import TimeRange

PLAN_NOTICE = timedelta(days=7)
"""A share-out published this long before a session is its plan: by then people have made none of
their own (common practice, no source)."""


class Outcome(StrEnum):
    """What whoever sets out for a session has to know first."""

    ON = "on"
    MOVED = "moved"
    OFF = "off"
    LIMITED = "limited"


class Cause(StrEnum):
    """What kind of thing took a session from its place."""

    UNSAID = "unsaid"
    SAID = "said"
    PLAN = "plan"
    CLOSED = "closed"
    MATCH = "match"
    COACH = "coach"
    SECRETARY = "secretary"
    SWAP = "swap"
    BREAK = "break"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a session was changed.

    Attributes:
        cause: What kind of thing it was.
        words: As somebody typed them; for a match or a swap whose, for a break its name, for a
            plan the reason of the closure it goes round. May be blank.
    """

    cause: Cause = Cause.UNSAID
    words: str = ""

    @property
    def is_said(self) -> bool:
        """Whether it tells people anything."""
        return bool(self.words) or self.cause in (Cause.COACH, Cause.SECRETARY)


@dataclass(frozen=True, slots=True)
class Spot:
    """Where and when a session is.

    Attributes:
        pitch_key: The pitch.
        area_key: The area of that pitch.
        during: Half-open range of instants.
        place: The ground in words; says nothing about whether two spots are the same.
    """

    pitch_key: str
    area_key: str
    during: TimeRange
    place: str = field(default="", compare=False)


@dataclass(frozen=True, slots=True)
class Step:
    """What one change did to a session.

    Attributes:
        at: When it was made.
        before: Where it was; None where it had been withdrawn.
        after: Where it was put; None where it was withdrawn.
        reason: Why.
    """

    at: datetime
    before: Spot | None
    after: Spot | None
    reason: Reason

    @property
    def is_plan(self) -> bool:
        """Whether it is a plan that was published early enough to be the plan for everybody."""
        starts = [spot.during.starts_at for spot in (self.before, self.after) if spot is not None]
        return self.reason.cause is Cause.PLAN and all(
            start >= self.at + PLAN_NOTICE for start in starts
        )


@dataclass(frozen=True, slots=True)
class SessionState:
    """What is true of a session.

    Attributes:
        outcome: What to know first.
        was: Where and when it was to be by its plan, of one that is off where it stood last; None
            while it is there.
        since: When it last became what it is; None where nothing happened to it.
        reason: Why.
        conditions: What the ground it is on asks for; empty for a session that is off.
        instead: Where the squad is that day instead of a session that is off; None for nowhere.
        is_dropped: Whether the plan itself does without it: then it is no session at all.
        planned: Of one that is off, where it was to be by its plan if that is not where it stood
            last; None else.
    """

    outcome: Outcome
    was: Spot | None = None
    since: datetime | None = None
    reason: Reason = field(default_factory=Reason)
    conditions: tuple[Closure, ...] = ()
    instead: Spot | None = None
    is_dropped: bool = False
    planned: Spot | None = None

    @property
    def missed_at(self) -> tuple[Spot, ...]:
        """Where people may look for it in vain: where it stood last, then by its plan."""
        return tuple(spot for spot in (self.was, self.planned) if spot is not None)

    @property
    def is_off(self) -> bool:
        """Whether nobody has to set out for it."""
        return self.outcome is Outcome.OFF

    @property
    def differs(self) -> bool:
        """Whether there is anything to say."""
        return self.outcome is not Outcome.ON

    def off_here(self, spot: Spot) -> SessionState:
        """Return the state as a place sees it that the session has left."""
        return replace(self, outcome=Outcome.OFF, was=spot, planned=None, conditions=())


AS_PLANNED = SessionState(Outcome.ON)


def state_of(
    spot: Spot,
    steps: Sequence[Step],
    conditions: Iterable[Closure] = (),
    *,
    is_withdrawn: bool,
) -> SessionState:
    """Decide what is true of a session.

    Args:
        spot: Where it is; of a withdrawn one where it was last.
        steps: What was done to it since it was made, oldest first.
        conditions: Of its ground, meanwhile.
        is_withdrawn: Whether it has been.
    """
    planned, since, reason = _read_past(spot, steps)
    there = tuple(conditions)
    if is_withdrawn:
        if planned is None:
            return SessionState(Outcome.OFF, spot, since, reason, is_dropped=True)
        elsewhere = None if planned == spot else planned
        return SessionState(Outcome.OFF, spot, since, reason, planned=elsewhere)
    if planned is not None and planned != spot:
        return SessionState(Outcome.MOVED, planned, since, reason, there)
    return SessionState(Outcome.LIMITED if there else Outcome.ON, conditions=there)


def replaced_by(off: SessionState, instead: Spot) -> SessionState:
    """Return the state of a session that is off and has another in its place."""
    return replace(off, instead=instead)


def in_place_of(new: SessionState, off: SessionState) -> SessionState:
    """Return the state of a session that was made in place of one that is off."""
    if new.outcome is Outcome.MOVED or off.was is None:
        return new
    was = off.planned or off.was
    return replace(new, outcome=Outcome.MOVED, was=was, since=off.since, reason=off.reason)


def _read_past(spot: Spot, steps: Sequence[Step]) -> tuple[Spot | None, datetime | None, Reason]:
    """Return the plan, when the session last left it, and why."""
    planned: Spot | None = steps[0].before if steps else spot
    since: datetime | None = None
    reason = Reason()
    for step in steps:
        if step.before == step.after:
            continue
        if step.is_plan:
            planned, since, reason = step.after, step.at, step.reason
        elif step.after == planned:
            since, reason = None, Reason()
        else:
            was_away = since is not None and step.before is not None and step.after is not None
            since = step.at
            if step.reason.is_said or not was_away:  # what drove it away first still holds
                reason = step.reason
    return planned, since, reason
