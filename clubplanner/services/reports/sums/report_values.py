"""The values of a report, exact: whole seconds, whole patches, whole smallest units of money.

A patch is a twelfth of a square decimetre, so that a half, third, quarter or sixth of a pitch is
exactly that, and three thirds are the whole of it. A figure is kept as finely as any table parts
it, and every table is a sum over all of them, so that tables cannot disagree.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import date, datetime

    from clubplanner.domain.booked.bookings import Purpose
    from clubplanner.domain.booked.session_state import Cause

SECONDS_AN_HOUR = 3600
PATCHES_A_M2 = 1200


@dataclass(frozen=True, slots=True)
class Amount:
    """How much of time and ground.

    Attributes:
        seconds: How long.
        ground: Patches × seconds.
        sessions: How many begin in it.
    """

    seconds: int = 0
    ground: int = 0
    sessions: int = 0

    def __add__(self, other: Amount) -> Amount:
        return Amount(
            self.seconds + other.seconds,
            self.ground + other.ground,
            self.sessions + other.sessions,
        )

    @property
    def hours(self) -> float:
        """How long, hours."""
        return self.seconds / SECONDS_AN_HOUR


class Who(StrEnum):
    """What kind of user has ground: one of our squads, somebody who hires it, anybody else."""

    SQUAD = "squad"
    HIRER = "hirer"
    OTHER = "other"


@dataclass(frozen=True, slots=True)
class User:
    """Who has ground.

    Attributes:
        kind: What kind of user.
        key: The squad's key; a hirer's or another's name.
        name: As people say it.
        age_group: A squad's; else blank.
        club: The club within the record that a squad belongs to; blank for none.
    """

    kind: Who
    key: str
    name: str
    age_group: str = ""
    club: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """A pitch and its venue, by key and name; `patches` is the size of the whole pitch."""

    pitch_key: str
    pitch: str
    venue_key: str
    venue: str
    patches: int


@dataclass(frozen=True, slots=True)
class Use:
    """What somebody had in a month, for one purpose, wherever it was.

    Attributes:
        user: Who.
        month: First date of the month.
        purpose: What for.
        is_past: Whether it was over when the report was made; what is under way is cut in two.
        amount: How much.
    """

    user: User
    month: date
    purpose: Purpose
    is_past: bool
    amount: Amount


@dataclass(frozen=True, slots=True)
class GroundUse:
    """What all of them had of a pitch in a month, for one purpose; the rest as in `Use`."""

    place: Place
    month: date
    purpose: Purpose
    is_past: bool
    amount: Amount


@dataclass(frozen=True, slots=True)
class PitchTime:
    """What became of a pitch's time in a month.

    Attributes:
        place: The pitch.
        month: First date of the month.
        open_seconds: How long it was open and there was light enough on it.
        closed_ground: What was closed of that, patches × seconds.
        held_ground: What somebody had of that.
        beyond_ground: What somebody had outside of it.
        empty_seconds: How long of it nobody was on the pitch and no part of it was closed.
        lamp_seconds: How long its floodlights burnt.
    """

    place: Place
    month: date
    open_seconds: int = 0
    closed_ground: int = 0
    held_ground: int = 0
    beyond_ground: int = 0
    empty_seconds: int = 0
    lamp_seconds: int = 0

    @property
    def open_ground(self) -> int:
        """All of the pitch as long as it was open, patches × seconds."""
        return self.open_seconds * self.place.patches

    @property
    def free_ground(self) -> int:
        """What nobody had although it was open: empty pitches, and parts beside others."""
        return self.open_ground - self.closed_ground - self.held_ground


@dataclass(frozen=True, slots=True)
class Asked:
    """What a squad asked for, and what it had of training."""

    user: User
    asked_seconds: int
    had_seconds: int


@dataclass(frozen=True, slots=True)
class Lost:
    """Sessions that were called off and had nothing else that day: one, or several alike.

    Attributes:
        cause: What kind of thing it was.
        words: Why, as whoever closed the ground or called it off said it; may be blank.
        is_weather: Whether these words speak of the weather.
        place: Where they were last.
        month: First date of the month.
        amount: How much.
    """

    cause: Cause
    words: str
    is_weather: bool
    place: Place
    month: date
    amount: Amount


@dataclass(frozen=True, slots=True)
class LampCost:
    """What the floodlights of a pitch cost in a month.

    Attributes:
        place: The pitch.
        month: First date of the month.
        seconds: How long they burnt.
        units: What that cost, in smallest units of the currency, rounded once; None where no tariff
            says what any of it costs.
        currency: Its code (ISO 4217); blank as long as nobody has said which it is.
    """

    place: Place
    month: date
    seconds: int
    units: int | None
    currency: str


@dataclass(frozen=True, slots=True)
class Report:
    """A report, in the finest parts of which all of its tables are sums.

    Attributes:
        club: The club's name.
        first: First local date.
        last: Last one, included.
        made_at: When it was made.
        months: First dates of the months it touches, in order; the first and last may be in part.
        uses: Who had how much.
        on_ground: How much was on which pitch; adds up to the same as `uses`.
        times: What became of each pitch's time.
        asked: What each squad asked for, squads with nothing of either left out.
        lost: What was called off.
        lamps: What floodlights cost, lit pitches outdoors only.
        clubs: Names of the clubs within the record, in its order; empty where it names none.
    """

    club: str
    first: date
    last: date
    made_at: datetime
    months: tuple[date, ...]
    uses: tuple[Use, ...]
    on_ground: tuple[GroundUse, ...]
    times: tuple[PitchTime, ...]
    asked: tuple[Asked, ...]
    lost: tuple[Lost, ...]
    lamps: tuple[LampCost, ...]
    clubs: tuple[str, ...] = ()

    @property
    def total(self) -> Amount:
        """All that was used."""
        return sum_amounts(use.amount for use in self.uses)


def sum_amounts(amounts: Iterable[Amount]) -> Amount:
    """Add amounts up."""
    total = Amount()
    for amount in amounts:
        total += amount
    return total


def part_of(some: int, all_of_it: int) -> float | None:
    """Return a part, 0 to 1; None of nothing."""
    return some / all_of_it if all_of_it else None
