"""Tariffs and reductions, as the API tells and takes them."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from clubplanner.domain.money.lines import MOST_FREE_MINUTES, Reduction
from clubplanner.domain.money.tariffs import LONGEST_NAME, InLight, Payer, Per, Spot, Tariff
from clubplanner.domain.times.times import clock_from_minute, minute_from_clock
from clubplanner.webapp.api.frame.values import (
    NO_CONTROLS,
    Clock,
    Day,
    Name,
    ShortWords,
    Value,
    example,
)
from clubplanner.webapp.api.shared.squad_values import WEEKDAY_WORDS, Weekday

PayerWord = Literal["club", "squad", "hirer"]
PerWord = Literal["hour", "opening"]
LightWord = Literal["any", "floodlight", "daylight"]
Money = Annotated[str, StringConstraints(pattern=r"^[0-9]{1,10}([.][0-9]{1,4})?$")]
"""An exact amount in the club's currency, with a point: "12.50"."""
Label = Annotated[str, StringConstraints(max_length=LONGEST_NAME, pattern=NO_CONTROLS)]
DayOfYear = Annotated[str, StringConstraints(pattern=r"^([0-9]{2}-[0-9]{2})?$")]

_TARIFF = {
    "payer": "hirer",
    "spot": {"venue": "marsh-lane", "pitch": "marsh-lane-top-pitch", "area": ""},
    "amount": "30.00",
    "per": "hour",
    "name": "Evening",
    "adds": False,
    "light": "any",
    "weekdays": ["mon", "tue"],
    "starts": "17:00",
    "ends": "24:00",
    "season_from": "10-01",
    "season_to": "03-31",
    "starts_on": "2026-09-01",
    "ends_on": None,
}
_REDUCTION = {
    "payer": "squad",
    "who": "",
    "up_to_age": 12,
    "venue": "",
    "percent": 50,
    "free_minutes": 0,
    "name": "Young",
}
TARIFF_MEMBERS = {"from_min": "/starts", "to_min": "/ends"}
"""Where fields of a tariff stand in a body, if elsewhere than by their names."""


class SpotValue(Value):
    """Ground that costs: a venue, one of its pitches, a part of that; blank for all of them."""

    model_config = example(venue="marsh-lane", pitch="", area="")

    venue: Name = Field(description="Key of the venue.")
    pitch: ShortWords = Field("", description="Key of the pitch.")
    area: ShortWords = Field("", description="Key of the part.")


class TariffWritten(Value):
    """What somebody pays for ground."""

    model_config = example(**_TARIFF)

    payer: PayerWord = Field(description="The club its venues, squads the club, hirers the club.")
    spot: SpotValue
    amount: Money = Field(description="In the club's currency, exact.")
    per: PerWord = Field("hour", description="For an hour, or each date with a session.")
    name: Label = Field("", description="What people call it.")
    adds: bool = Field(default=False, description="Whether it comes on top of the price.")
    light: LightWord = "any"
    weekdays: list[Weekday] = Field(default=[], max_length=7, description="Empty for every day.")
    starts: Clock = Field("00:00", description="From when of each day.")
    ends: Clock = Field("24:00", description="Up to when.")
    season_from: DayOfYear = Field("", description="First day of each year, 10-01; blank for all.")
    season_to: DayOfYear = Field("", description="Last day, included.")
    starts_on: Day | None = Field(None, description="First date on which it holds.")
    ends_on: Day | None = Field(None, description="Last date, included.")

    def tariff(self, number: int) -> Tariff:
        """Return the tariff, its amount left at 0: that is read in the club's currency."""
        return Tariff(
            number=number,
            payer=Payer(self.payer),
            spot=Spot(self.spot.venue, self.spot.pitch, self.spot.area),
            amount=0,
            per=Per(self.per),
            name=self.name.strip(),
            adds=self.adds,
            light=InLight(self.light),
            weekdays=frozenset(map(WEEKDAY_WORDS.index, self.weekdays)),
            from_min=minute_from_clock(self.starts),
            to_min=minute_from_clock(self.ends),
            season_from=self.season_from,
            season_to=self.season_to,
            starts_on=self.starts_on,
            ends_on=self.ends_on,
        )


class TariffValue(Value):
    """A tariff."""

    model_config = example(number=4, **_TARIFF)

    number: int
    payer: PayerWord
    spot: SpotValue
    amount: str = Field(description="In the club's currency, exact.")
    per: PerWord
    name: str
    adds: bool
    light: LightWord
    weekdays: list[Weekday]
    starts: str
    ends: str
    season_from: str
    season_to: str
    starts_on: date | None
    ends_on: date | None


class TariffLeaf(Value):
    """A leaf of the tariffs, in the order in which they came."""

    model_config = example(items=[], next=None)

    items: list[TariffValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class ReductionWritten(Value):
    """Minutes that are free each month, and what is taken off the rest."""

    model_config = example(**_REDUCTION)

    payer: PayerWord = Field(description="Whose price it takes something off.")
    who: ShortWords = Field("", description="A squad's key or a hirer's name; blank for all.")
    up_to_age: int | None = Field(None, ge=1, le=99, description="Only squads up to this age.")
    venue: ShortWords = Field("", description="Key of the one venue it is for; blank for any.")
    percent: int = Field(0, ge=0, le=100, description="Taken off every line.")
    free_minutes: int = Field(0, ge=0, le=MOST_FREE_MINUTES, description="Free each month.")
    name: Label = ""

    def reduction(self, number: int) -> Reduction:
        """Return the reduction."""
        return Reduction(
            number,
            Payer(self.payer),
            self.who.strip(),
            self.up_to_age,
            self.venue,
            self.percent,
            self.free_minutes,
            self.name.strip(),
        )


class ReductionValue(Value):
    """A reduction."""

    model_config = example(number=1, **_REDUCTION)

    number: int
    payer: PayerWord
    who: str
    up_to_age: int | None
    venue: str
    percent: int
    free_minutes: int
    name: str


class ReductionLeaf(Value):
    """A leaf of the reductions, in the order in which they came."""

    model_config = example(items=[], next=None)

    items: list[ReductionValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


def tariff_value(tariff: Tariff, amount: str) -> TariffValue:
    """Return a tariff as it goes out."""
    spot = tariff.spot
    return TariffValue(
        number=tariff.number,
        payer=tariff.payer.value,
        spot=SpotValue(venue=spot.venue, pitch=spot.pitch, area=spot.area),
        amount=amount,
        per=tariff.per.value,
        name=tariff.name,
        adds=tariff.adds,
        light=tariff.light.value,
        weekdays=[WEEKDAY_WORDS[day] for day in sorted(tariff.weekdays)],
        starts=clock_from_minute(tariff.from_min),
        ends=clock_from_minute(tariff.to_min),
        season_from=tariff.season_from,
        season_to=tariff.season_to,
        starts_on=tariff.starts_on,
        ends_on=tariff.ends_on,
    )


def reduction_value(reduction: Reduction) -> ReductionValue:
    """Return a reduction as it goes out."""
    return ReductionValue(
        number=reduction.number,
        payer=reduction.payer.value,
        who=reduction.who,
        up_to_age=reduction.up_to_age,
        venue=reduction.venue,
        percent=reduction.percent,
        free_minutes=reduction.free_minutes,
        name=reduction.name,
    )
