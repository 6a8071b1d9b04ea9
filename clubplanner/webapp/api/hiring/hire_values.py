"""Hires, as the API tells and takes them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING, Annotated, Literal

from pydantic import Field, StringConstraints

from clubplanner.domain.times.times import clock_from_minute
from clubplanner.webapp.api.frame.values import Day, Name, ShortWords, Value, Words, example
from clubplanner.webapp.api.shared.displaced_values import ChoiceValue
from clubplanner.webapp.api.shared.ground_at import PLACE, Place
from clubplanner.webapp.api.shared.squad_values import Phone, Weekday

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.services.hires.dates import HireDate
    from clubplanner.services.hires.whole_hires import WholeHire

LateClock = Annotated[str, StringConstraints(pattern=r"^(?:[0-3]\d|4[0-7]):[0-5]\d$|^48:00$")]
"""A time on the wall clock of the day on which something begins; past midnight above 24:00."""
_CALLED = {"name": "Choir of St Anne", "contact": "Kim Moss", "phone": "01234 567", "note": ""}
_WHEN = {
    "place": PLACE,
    "first_on": "2026-12-01",
    "last_on": "2027-03-30",
    "every_weeks": 1,
    "starts": "19:00",
    "ends": "20:30",
    "skips_breaks": True,
}


class HireDateValue(Value):
    """A date of a hire."""

    model_config = example(day="2026-12-01", booking=21)

    day: date
    booking: int | None = Field(description="Its booking that stands; none for one left out.")


class HireValue(Value):
    """Ground for somebody from outside, on one date or in a series of them."""

    model_config = example(
        number=2, **_CALLED, **_WHEN, dates=[{"day": "2026-12-01", "booking": 21}]
    )

    number: int
    name: str = Field(description="The hirer.")
    contact: str = Field(description="Whom to call.")
    phone: str
    note: str
    place: Place = Field(description="Where its later dates are.")
    first_on: date
    last_on: date
    every_weeks: int
    starts: str = Field(description="On the club's wall clock.")
    ends: str = Field(description="Past midnight above 24:00.")
    skips_breaks: bool
    dates: list[HireDateValue]


class HireLeaf(Value):
    """A leaf of the hires that stand, by name."""

    model_config = example(items=[], next=None)

    items: list[HireValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class DateDecision(Value):
    """What is decided for one date."""

    model_config = example(day="2026-12-22", value="out")

    day: Day
    value: Name = Field(description="One of its `choices`.")


class HireWritten(Value):
    """A hire somebody wants."""

    model_config = example(**_CALLED, **_WHEN, decisions=[], because="")

    name: Name = Field(description="The hirer.")
    contact: ShortWords = ""
    phone: Phone = ""
    note: Words = Field("", max_length=200)
    place: Place
    first_on: Day = Field(description="Its first date, which gives the weekday.")
    last_on: Day | None = Field(None, description="No date lies after it; left out for one date.")
    every_weeks: Literal[1, 2] = 1
    starts: LateClock = Field(description="On the club's wall clock.")
    ends: LateClock = Field(description="Past midnight above 24:00.")
    skips_breaks: bool = Field(default=False, description="Leave out breaks and public holidays.")
    decisions: list[DateDecision] = Field(
        default=[], max_length=200, description="Of those that `look` told; the others: as told."
    )
    because: Words = Field("", description="Why dates are booked against a rule.")


class HireDateForeseen(Value):
    """A date of a hire before it is booked."""

    model_config = example(
        day="2026-12-22",
        when="Tue 22 Dec, 19:00–20:30",
        against=[],
        notes=["In the break “Christmas”."],
        choices=[{"value": "out", "words": "leave out"}],
        chosen="out",
    )

    day: date
    when: str
    against: list[str] = Field(description="The rules that stand in the way.")
    notes: list[str] = Field(description="What else to know.")
    choices: list[ChoiceValue] = Field(description="What may be decided.")
    chosen: str = Field(description="What is decided, or proposed; blank: decide anew.")


class HireForeseen(Value):
    """Every date of a hire, looked at; nothing is changed."""

    model_config = example(dates=[])

    dates: list[HireDateForeseen]


class HireChange(Value):
    """Who takes the ground; what is left out stays."""

    model_config = example(**_CALLED)

    name: Name | None = None
    contact: ShortWords | None = None
    phone: Phone | None = None
    note: Annotated[str, StringConstraints(max_length=200)] | None = None


class HireMoveWritten(Value):
    """Where and when a hire shall be from a date on."""

    model_config = example(
        from_on="2027-01-12", place=PLACE, weekday="tue", starts="18:30", ends="20:00", because=""
    )

    from_on: Day
    place: Place
    weekday: Weekday = Field(description="Each date goes to that day of its week.")
    starts: LateClock
    ends: LateClock
    because: Words = Field("", description="Why rules are overruled; blank for not.")


class HireEndWritten(Value):
    """After which date a hire ends."""

    model_config = example(last_on="2027-02-23", why="They moved to the hall.")

    last_on: Day | None = Field(None, description="Its last date; left out: no more of it at all.")
    why: Words = Field("", description="For whoever looks at a board or calendar.")


def hire_value(whole: WholeHire) -> HireValue:
    """Return a hire as it goes out."""
    wish = whole.wish
    value = HireValue(
        number=whole.number,
        name=wish.name,
        contact=wish.contact,
        phone=wish.phone,
        note=wish.note,
        place=Place(pitch=whole.pitch_key, area=whole.area_key),
        first_on=wish.times.first_on,
        last_on=wish.times.last_on,
        every_weeks=wish.times.every_weeks,
        starts=clock_from_minute(wish.times.start_min),
        ends=_late_clock(wish.times.end_min),
        skips_breaks=wish.skips_breaks,
        dates=[HireDateValue(day=day, booking=booking) for day, booking in whole.dates],
    )
    return value.seen_at(whole.mark)


def dates_foreseen(dates: Iterable[HireDate]) -> HireForeseen:
    """Return dates that were looked at as they go out."""
    return HireForeseen(
        dates=[
            HireDateForeseen(
                day=one.day,
                when=one.when,
                against=list(one.against),
                notes=list(one.notes),
                choices=[ChoiceValue(value=c.value, words=c.words) for c in one.choices],
                chosen=one.chosen,
            )
            for one in dates
        ]
    )


def late_minute(clock: str) -> int:
    """Return the minutes after midnight of the day on which something begins."""
    hours, _colon, minutes = clock.partition(":")
    return int(hours) * 60 + int(minutes)


def _late_clock(minute: int) -> str:
    return f"{minute // 60:02}:{minute % 60:02}"
