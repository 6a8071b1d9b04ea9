"""What a line of a report's table is a sum of; the values of two lines together are again one."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import TYPE_CHECKING, Self

from clubplanner.services.reports.report_values import SECONDS_AN_HOUR, Amount

if TYPE_CHECKING:
    from clubplanner.services.reports.report_values import (
        Asked,
        LampCost,
        Lost,
        PitchTime,
    )


NOTHING = Amount()


@dataclass(frozen=True, slots=True)
class Costs:
    """Money in hundredths, by currency; what is of two currencies does not add up to one."""

    hundredths: tuple[tuple[str, int], ...] = ()

    def __add__(self, other: Costs) -> Costs:
        found = dict(self.hundredths)
        for currency, more in other.hundredths:
            found[currency] = found.get(currency, 0) + more
        return Costs(tuple(sorted(found.items())))

    def of(self, currency: str) -> int | None:
        """Return what there is of a currency; None where nothing was paid in it."""
        return dict(self.hundredths).get(currency)


FREE_OF_COST = Costs()


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
    """How long floodlights burnt, and what that cost, in hundredths by currency.

    `unpriced_seconds` is how long they burnt where nobody has said what an hour costs.
    """

    seconds: int = 0
    unpriced_seconds: int = 0
    costs: Costs = FREE_OF_COST

    @classmethod
    def of(cls, lamps: LampCost) -> LampSum:
        """Return that of a pitch in a month."""
        if lamps.hundredths is None:
            return cls(lamps.seconds, lamps.seconds)
        return cls(lamps.seconds, 0, Costs(((lamps.currency, lamps.hundredths),)))


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
