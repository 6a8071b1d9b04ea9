"""Tariffs: what an hour or an opening costs, where, when, in which light, and for whom."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import MINUTES_A_DAY

if TYPE_CHECKING:
    from collections.abc import Iterable

ANY_SEASON = ""
LONGEST_NAME = 60


class Payer(StrEnum):
    """Who pays: the club its venues, squads the club, or hirers the club."""

    CLUB = "club"
    SQUAD = "squad"
    HIRER = "hirer"


class Per(StrEnum):
    """What is paid for: an hour, or each date on which there is any session (an opening)."""

    HOUR = "hour"
    OPENING = "opening"


class InLight(StrEnum):
    """In which light it holds: in any, while floodlights burn, or while they do not."""

    ANY = "any"
    FLOODLIGHT = "floodlight"
    DAYLIGHT = "daylight"


@dataclass(frozen=True, slots=True)
class Spot:
    """Ground by its keys: a venue, one of its pitches, a part of that; blank for all of them."""

    venue: str
    pitch: str = ""
    area: str = ""

    def covers(self, other: Spot) -> bool:
        """Tell whether other ground lies within this by its keys."""
        return (
            self.venue == other.venue
            and self.pitch in ("", other.pitch)
            and self.area in ("", other.area)
        )


@dataclass(frozen=True, slots=True)
class Moment:
    """A minute as tariffs see it: the local date, the minute of its clock, and whether it is lit.

    On the night the clocks go back an hour's minutes come twice, and cost twice.
    """

    day: date
    minute: int
    is_lit: bool = False


@dataclass(frozen=True, slots=True)
class Tariff:
    """What somebody pays for ground.

    Attributes:
        number: Its number in the club's records.
        payer: Who pays.
        spot: For which ground. For a part of a pitch it is the price of that part as it is; else
            it is the whole pitch's, and a session on half of it pays half.
        amount: In smallest units of the club's currency.
        per: For an hour, or for each date with a session.
        name: What people call it; may be blank.
        adds: Whether it comes on top of the price that holds anyway.
        light: In which light.
        weekdays: 0 is Monday; empty for every day.
        from_min: From which minute of the local day.
        to_min: Up to which, which is not included; 1440 for the end of the day.
        season_from: First day of each year, "10-01"; blank together with `season_to` for all year.
        season_to: Last day, included; before `season_from` it lies in the next year.
        starts_on: First date on which it holds; None for always so far.
        ends_on: Last date, included; None for as long as it stands.
    """

    number: int
    payer: Payer
    spot: Spot
    amount: int
    per: Per = Per.HOUR
    name: str = ""
    adds: bool = False
    light: InLight = InLight.ANY
    weekdays: frozenset[int] = frozenset()
    from_min: int = 0
    to_min: int = MINUTES_A_DAY
    season_from: str = ANY_SEASON
    season_to: str = ANY_SEASON
    starts_on: date | None = None
    ends_on: date | None = None

    def holds_on(self, day: date) -> bool:
        """Tell whether it holds on a date at all."""
        if self.weekdays and day.weekday() not in self.weekdays:
            return False
        if self.starts_on is not None and day < self.starts_on:
            return False
        if self.ends_on is not None and day > self.ends_on:
            return False
        if not self.season_from:
            return True
        today = f"{day:%m-%d}"
        if self.season_from <= self.season_to:
            return self.season_from <= today <= self.season_to
        return today >= self.season_from or today <= self.season_to

    def holds_at(self, moment: Moment) -> bool:
        """Tell whether it holds at a moment."""
        if not self.from_min <= moment.minute < self.to_min:
            return False
        if self.light is not InLight.ANY and moment.is_lit != (self.light is InLight.FLOODLIGHT):
            return False
        return self.holds_on(moment.day)

    @property
    def is_always(self) -> bool:
        """Whether it holds at every moment."""
        return not self.said

    @property
    def said(self) -> int:
        """How many conditions it names: light, days, hours, season, dates."""
        return sum(
            (
                self.light is not InLight.ANY,
                bool(self.weekdays),
                (self.from_min, self.to_min) != (0, MINUTES_A_DAY),
                bool(self.season_from),
                (self.starts_on, self.ends_on) != (None, None),
            )
        )

    @property
    def rank(self) -> tuple[bool, bool, int, date, int]:
        """By what one comes before another; see `choose`."""
        first = self.starts_on or date.min
        return bool(self.spot.area), bool(self.spot.pitch), self.said, first, self.number


def choose(tariffs: Iterable[Tariff], moment: Moment) -> Tariff | None:
    """Return the tariff that holds at a moment, None where none does.

    Of several the one for the smaller ground holds; then the one that names more of light, days,
    hours, season and dates; then the one that began later; then the newer one.

    Args:
        tariffs: Those of one payer, one place and one kind (the price, or what adds to it).
        moment: When.
    """
    holding = [tariff for tariff in tariffs if tariff.holds_at(moment)]
    return max(holding, key=lambda tariff: tariff.rank, default=None)


def tariffs_at(
    tariffs: Iterable[Tariff], payer: Payer, spot: Spot, per: Per, *, adds: bool
) -> tuple[Tariff, ...]:
    """Return the tariffs of one payer and kind that are for some ground."""
    return tuple(
        tariff
        for tariff in tariffs
        if tariff.payer is payer
        and tariff.per is per
        and tariff.adds is adds
        and tariff.spot.covers(spot)
    )
