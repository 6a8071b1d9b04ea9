"""Matches at home, as the API tells and takes them."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from pydantic import Field

from clubplanner.domain.times.times import clock_from_minute
from clubplanner.webapp.api.frame.values import Clock, Day, Name, ShortWords, Value, Words, example
from clubplanner.webapp.api.shared.displaced_values import DECIDED, MOVED, Decision, DisplacedValue
from clubplanner.webapp.api.shared.ground_at import PLACE, Place

if TYPE_CHECKING:
    from clubplanner.services.evening.matches.whole import WholeMatch

_ARRANGED = {
    "squad": "u12-kestrels",
    "day": "2026-11-28",
    "kick_off": "10:00",
    "latest_kick_off": "11:00",
    "opponent": "Brook Town",
    "format": "9v9",
    "minutes": 75,
    "officials": "",
    "opponents": "",
    "note": "",
}


class MatchValue(Value):
    """A match at home."""

    model_config = example(
        number=4, **_ARRANGED, warm_up_minutes=30, after_minutes=15, booking=17, place=PLACE
    )

    number: int
    squad: str
    day: date
    kick_off: str = Field(description="The earliest, on the club's wall clock.")
    latest_kick_off: str = Field(description="The same for a set time.")
    opponent: str
    format: str = Field(description="The form of the game.")
    minutes: int = Field(description="From kick-off to the end, half-time included.")
    warm_up_minutes: int
    after_minutes: int = Field(description="Until the ground is free again.")
    officials: str
    opponents: str = Field(description="When the opponents come, in words.")
    note: str
    booking: int | None = Field(description="The booking of its ground; none as long as it waits.")
    place: Place | None


class MatchLeaf(Value):
    """A leaf of the matches ahead, by date."""

    model_config = example(items=[], next=None)

    items: list[MatchValue]
    next: str | None = Field(description="The cursor of the leaf after; none after the last.")


class MatchWritten(Value):
    """A match that was arranged."""

    model_config = example(**_ARRANGED)

    squad: Name = Field(description="Key of the squad.")
    day: Day
    kick_off: Clock = Field(description="The earliest, on the club's wall clock.")
    latest_kick_off: Clock | None = Field(None, description="Left out for a set time.")
    opponent: Name
    format: ShortWords = Field("", description="The form of the game; by age if left out.")
    minutes: int | None = Field(
        None, ge=5, le=300, description="Half-time among them; by age if left out."
    )
    officials: Words = Field("", max_length=200)
    opponents: Words = Field("", max_length=200, description="When they come, in words.")
    note: Words = Field("", max_length=200)


class GroundOption(Value):
    """Ground and kick-off that do for a match."""

    model_config = example(
        place=PLACE,
        kick_off="10:00",
        words="Top pitch",
        needed="09:30–11:30",
        displaces=1,
        cautions=[],
        is_full_size=True,
    )

    place: Place
    kick_off: str
    words: str = Field(description="The ground in words.")
    needed: str = Field(description="From when to when the ground is needed.")
    displaces: int = Field(description="How many trainings have to go.")
    cautions: list[str]
    is_full_size: bool


class MatchGround(Value):
    """What a match needs, and the ground that does."""

    model_config = example(needs="9v9. 75 minutes with half-time.", options=[])

    needs: str
    options: list[GroundOption] = Field(description="Those that disturb fewest first.")


class GroundChosen(Value):
    """The ground and the kick-off chosen for a match."""

    model_config = example(place=PLACE, kick_off="10:00", decisions=[DECIDED])

    place: Place = Field(description="Of one of the options.")
    kick_off: Clock
    decisions: list[Decision] | None = Field(
        None, max_length=500, description="Where each displaced training goes; none: as proposed."
    )


class MatchForeseen(Value):
    """Whom a choice of ground displaces; nothing is changed."""

    model_config = example(displaced=[MOVED])

    displaced: list[DisplacedValue]


def match_value(whole: WholeMatch) -> MatchValue:
    """Return a match as it goes out."""
    fixture = whole.fixture
    is_placed = whole.booking is not None
    return MatchValue(
        number=whole.number,
        squad=fixture.squad_key,
        day=fixture.day,
        kick_off=clock_from_minute(fixture.kick_off_from),
        latest_kick_off=clock_from_minute(fixture.kick_off_to),
        opponent=fixture.opponent,
        format=fixture.format_code,
        minutes=fixture.minutes,
        warm_up_minutes=fixture.warm_up_minutes,
        after_minutes=fixture.after_minutes,
        officials=fixture.officials,
        opponents=fixture.opponents,
        note=fixture.note,
        booking=whole.booking,
        place=Place(pitch=whole.pitch_key, area=whole.area_key) if is_placed else None,
    )
