"""What a line of a report's table is a sum of; the values of two lines together are again one."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Self

from clubplanner.services.reports.sums.report_values import SECONDS_AN_HOUR, Amount

if TYPE_CHECKING:
    from clubplanner.services.reports.sums.report_values import (
        Asked,
        LampCost,
        Lost,
        PitchTime,
    )


NOTHING = Amount()


@dataclass(frozen=True, slots=True)
class Costs:
    """Money in smallest units; None where no tariff says what anything of it costs."""

    units: int | None = None

    def __add__(self, other: Costs) -> Costs:
        known = [one for one in (self.units, other.units) if one is not None]
        return Costs(sum(known) if known else None)


UNKNOWN_COSTS = Costs()


@dataclass(frozen=True, slots=True)
class Sum:
    """Values that add up, each by itself."""

    def __add__(self, other: Self) -> Self:
        names: tuple[str, ...] = tuple(
            type(self).__slots__
        )  # quicker than asking for the fields, and as many sums
        return type(self)(*(getattr(self, name) + getattr(other, name) for name in names))


@dataclass(frozen=True, slots=True)
class UseSum(Sum):
    """What was used, by what for; `to_come` is the part that is still ahead."""

    training: Amount = NOTHING
    match: Amount = NOTHING
    hire: Amount = NOTHING
    to_come: Amount = NOTHING

    @property
    def all(self) -> Amount:
        """All of it."""
        return self.training + self.match + self.hire


@dataclass(frozen=True, slots=True)
class TimeSum(Sum):
    """What became of pitches' time; ground is weighted by its area."""

    open_seconds: int = 0
    empty_seconds: int = 0
    lamp_seconds: int = 0
    open_ground: int = 0
    closed_ground: int = 0
    held_ground: int = 0
    beyond_ground: int = 0

    @classmethod
    def of(cls, time: PitchTime) -> TimeSum:
        """Return that of a pitch in a month."""
        return cls(**{f.name: getattr(time, f.name) for f in fields(cls)})

    @property
    def free_ground(self) -> int:
        """What nobody had although it was open."""
        return self.open_ground - self.closed_ground - self.held_ground


@dataclass(frozen=True, slots=True)
class AskedSum(Sum):
    """What was asked for, and what there was of training."""

    asked_seconds: int = 0
    had_seconds: int = 0

    @classmethod
    def of(cls, asked: Asked) -> AskedSum:
        """Return that of a squad."""
        return cls(asked.asked_seconds, asked.had_seconds)


@dataclass(frozen=True, slots=True)
class LampSum(Sum):
    """How long floodlights burnt, and what that cost.

    `unpriced_seconds` is how long they burnt where no tariff says what an hour costs.
    """

    seconds: int = 0
    unpriced_seconds: int = 0
    costs: Costs = UNKNOWN_COSTS

    @classmethod
    def of(cls, lamps: LampCost) -> LampSum:
        """Return that of a pitch in a month."""
        unpriced = lamps.seconds if lamps.units is None else 0
        return cls(lamps.seconds, unpriced, Costs(lamps.units))


@dataclass(frozen=True, slots=True)
class LostSum(Sum):
    """What was lost, and which part of it to the weather."""

    amount: Amount = NOTHING
    weather: Amount = NOTHING

    @classmethod
    def of(cls, lost: Lost) -> LostSum:
        """Return that of a single loss."""
        return cls(lost.amount, lost.amount if lost.is_weather else Amount())


def hours_of(seconds: int) -> float:
    """Return hours of seconds."""
    return seconds / SECONDS_AN_HOUR
