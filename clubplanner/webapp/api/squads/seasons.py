"""The season in figures: fairness, the use of grass, the light; and the club's settings."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Literal

from pydantic import Field

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.times import clock_from_minute
from clubplanner.errors import FaultyInputError
from clubplanner.language import _
from clubplanner.services.history.fairness import SquadFair, see_fairness
from clubplanner.services.rows.club.club import club_zone
from clubplanner.services.season.figures import EveningFigures, PitchUse, measure_light, measure_use
from clubplanner.services.setup.settings_shown import see_settings
from clubplanner.webapp.api.frame.operations import operation
from clubplanner.webapp.api.frame.values import Day, Moment, Name, Value, example
from clubplanner.webapp.api.shared.ground_at import in_zone
from clubplanner.webapp.base.security import (
    for_ground_seen,
    for_signed_in,
    for_squads,
)
from clubplanner.webapp.base.state import app_state

if TYPE_CHECKING:
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.ground.wear import WearLimit, WeekWear

MOST_DAYS = 400
_SQUAD = {
    "squad": "u12-kestrels",
    "name": "U12 Kestrels",
    "hours": 12.5,
    "asked_hours": 14.0,
    "even_hours": 12.0,
    "served": 0.893,
}
_WEEK = {
    "monday": "2026-11-23",
    "hours": 9.5,
    "youth_hours": 4.0,
    "matches": 1.0,
    "factor": 1.0,
    "share_of_limit": 0.63,
}
_USE = {
    "pitch": "marsh-lane-low-pitch",
    "name": "Low pitch, Marsh Lane",
    "limit_hours": 15.0,
    "limit_matches": None,
    "weeks": [_WEEK],
}
_EVENING = {
    "day": "2026-11-25",
    "kind": "sets",
    "sunset_at": "2026-11-25T15:57:12+00:00",
    "civil_dusk_at": "2026-11-25T16:33:40+00:00",
    "usable_until": "2026-11-25T16:07:00+00:00",
    "lamp_minutes": 188,
}
_SPAN = {"name": "Winter", "first_day": "2026-10-12", "last_day": "2027-04-09"}
_AGE = {
    "up_to": 10,
    "latest_finish": "19:30",
    "earliest_start": None,
    "wear_percent": 50,
}


class SquadServed(Value):
    """What a squad has had so far."""

    model_config = example(**_SQUAD)

    squad: str = Field(description="Its key.")
    name: str
    hours: float = Field(description="Training so far.")
    asked_hours: float = Field(description="What it asked for on the same dates.")
    even_hours: float = Field(description="What an even share of all hours had given it.")
    served: float | None = Field(description="Hours over hours asked for; none if it asked none.")


class Fairness(Value):
    """How even the season has been so far."""

    model_config = example(
        first_day="2026-10-12", last_day="2026-11-25", squads=[_SQUAD], jain=0.98, gini=0.05
    )

    first_day: Day
    last_day: Day
    squads: list[SquadServed] = Field(description="The worst served first.")
    jain: float | None = Field(description="Jain's index of hours over hours asked for.")
    gini: float | None = Field(description="Gini coefficient of the same.")


class LoadQuery(Value):
    """Which weeks."""

    day: Day | None = Field(None, description="A date of the first week; today if left out.")
    weeks: int = Field(8, ge=1, le=60, description="How many.")


class WeekUse(Value):
    """A pitch in one week."""

    model_config = example(**_WEEK)

    monday: Day
    hours: float = Field(description="Adult hours of the whole pitch, as booked.")
    youth_hours: float = Field(description="Part of these that the young bring, weighed.")
    matches: float = Field(description="Match equivalents.")
    factor: float = Field(description="Part of the limit that holds: closures lessen it.")
    share_of_limit: float | None = Field(
        description="Use over what is allowed, the worse of hours and matches; none without a "
        "limit, or where nothing is allowed."
    )


class PitchLoad(Value):
    """How much a grass pitch is used."""

    model_config = example(**_USE)

    pitch: str = Field(description="Its key.")
    name: str
    limit_hours: float | None = Field(description="Hours a week; none for no such limit.")
    limit_matches: float | None = Field(description="Matches a week; none for no such limit.")
    weeks: list[WeekUse]


class Loads(Value):
    """How much grass is used."""

    model_config = example(pitches=[_USE])

    pitches: list[PitchLoad]


class LightQuery(Value):
    """Which light."""

    venue: Name = Field(description="Key of the venue.")
    first_day: Day
    last_day: Day = Field(description="Included; at most 400 days later.")


class EveningLightValue(Value):
    """The light of one date."""

    model_config = example(**_EVENING)

    day: Day
    kind: Literal["sets", "all day", "none", "unknown"] = Field(
        description="Whether the sun sets, is up all day, or not at all."
    )
    sunset_at: Moment | None
    civil_dusk_at: Moment | None
    usable_until: Moment | None = Field(description="Until when unlit ground is of use.")
    lamp_minutes: int = Field(description="How long floodlights burn, each pitch by itself.")


class Lights(Value):
    """The light at a venue, date by date; none where nobody has said where it lies."""

    model_config = example(evenings=[_EVENING])

    evenings: list[EveningLightValue]


class SpanValue(Value):
    """A named span of dates."""

    model_config = example(**_SPAN)

    name: str
    first_day: Day
    last_day: Day = Field(description="Included.")


class StretchValue(SpanValue):
    """A stretch of the season."""

    model_config = example(key="winter", **_SPAN)

    key: str


class AgeRuleValue(Value):
    """What holds for squads up to an age."""

    model_config = example(**_AGE)

    up_to: int = Field(description="Under so many years: 10 for U10 and younger.")
    latest_finish: str | None = Field(description="Sessions end by then.")
    earliest_start: str | None = Field(description="No session on a weekday begins before.")
    wear_percent: int = Field(description="How much of a session counts against load limits.")


class Settings(Value):
    """The club's settings."""

    model_config = example(
        name="Alderby Rovers",
        time_zone="Europe/London",
        language="en",
        step_minutes=15,
        changeover_minutes=0,
        travel_minutes=30,
        stretches=[{"key": "winter", **_SPAN}],
        breaks=[{"name": "Christmas", "first_day": "2026-12-21", "last_day": "2027-01-03"}],
        ages=[_AGE],
    )

    name: str
    time_zone: str = Field(description="IANA time zone of all venues.")
    language: str
    step_minutes: int = Field(description="Sessions start at multiples of this.")
    changeover_minutes: int = Field(description="Kept free between two bookings of one ground.")
    travel_minutes: int = Field(description="What a coach needs from one venue to another.")
    stretches: list[StretchValue]
    breaks: list[SpanValue]
    ages: list[AgeRuleValue]


@operation("GET", "/fairness", answer=Fairness)
@for_squads
def measure_fairness() -> Fairness:
    """Say what each squad has had since the season began, and how even that is."""
    state = app_state()
    page = see_fairness(state.store, state.clock())
    return Fairness(
        first_day=page.since,
        last_day=page.until,
        squads=[_served(one) for one in page.squads],
        jain=page.jain,
        gini=page.gini,
    )


@operation("GET", "/loads", answer=Loads, query=LoadQuery)
@for_ground_seen
def measure_loads(query: LoadQuery) -> Loads:
    """Say how much grass pitches are used, week by week, and what they may bear."""
    state = app_state()
    day = query.day or state.today(club_zone(state.store))
    found = measure_use(state.store, day, query.weeks)
    return Loads(pitches=[_load(one) for one in found])


@operation("GET", "/light", answer=Lights, query=LightQuery)
@for_signed_in
def measure_evenings(query: LightQuery) -> Lights:
    """Say until when there is light at a venue, and how long floodlights burn."""
    if not 0 <= (query.last_day - query.first_day).days <= MOST_DAYS:
        words = _("Choose a last day that is not before the first, at most 400 days later.")
        raise FaultyInputError([Problem("last_day", "order", words)])
    store = app_state().store
    zone = club_zone(store)
    found = measure_light(store, query.venue, query.first_day, query.last_day)
    return Lights(evenings=[_evening(one, zone) for one in found])


@operation("GET", "/settings", answer=Settings)
@for_signed_in
def show_settings() -> Settings:
    """Show the club's settings."""
    shown = see_settings(app_state().store)
    club = shown.club
    return Settings(
        name=club.name,
        time_zone=club.zone,
        language=club.language,
        step_minutes=club.step_minutes,
        changeover_minutes=club.changeover_minutes,
        travel_minutes=club.travel_minutes,
        stretches=[
            StretchValue(key=one.key, name=one.name, first_day=one.starts_on, last_day=one.ends_on)
            for one in shown.stretches
        ],
        breaks=[
            SpanValue(name=one.name, first_day=one.starts_on, last_day=one.ends_on)
            for one in shown.breaks
        ],
        ages=[
            AgeRuleValue(
                up_to=rule.up_to,
                latest_finish=_clock(rule.latest_finish_min),
                earliest_start=_clock(rule.earliest_start_min),
                wear_percent=rule.wear_percent,
            )
            for rule in club.rules.ages
        ],
    )


def _served(one: SquadFair) -> SquadServed:
    return SquadServed(
        squad=one.key,
        name=one.name,
        hours=round(one.hours, 3),
        asked_hours=round(one.asked, 3),
        even_hours=round(one.even, 3),
        served=None if one.served is None else round(one.served, 3),
    )


def _load(one: PitchUse) -> PitchLoad:
    return PitchLoad(
        pitch=one.key,
        name=one.name,
        limit_hours=None if one.limit is None else one.limit.hours,
        limit_matches=None if one.limit is None else one.limit.matches,
        weeks=[_week(week, one.limit) for week in one.weeks],
    )


def _week(week: WeekWear, limit: WearLimit | None) -> WeekUse:
    share = None if limit is None else week.share_of(limit)
    return WeekUse(
        monday=week.monday,
        hours=round(week.hours, 3),
        youth_hours=round(week.youth_hours, 3),
        matches=round(week.matches, 3),
        factor=round(week.factor, 3),
        share_of_limit=None if share is None or share == float("inf") else round(share, 3),
    )


def _evening(one: EveningFigures, zone: ZoneInfo) -> EveningLightValue:
    members: dict[str, Any] = {"kind": one.kind.value}
    return EveningLightValue(
        day=one.day,
        sunset_at=_moment(one.sunset_at, zone),
        civil_dusk_at=_moment(one.civil_dusk_at, zone),
        usable_until=_moment(one.usable_until, zone),
        lamp_minutes=round(one.lamp_minutes),
        **members,
    )


def _moment(instant: datetime | None, zone: ZoneInfo) -> datetime | None:
    return None if instant is None else in_zone(instant.replace(microsecond=0), zone)


def _clock(minute: int | None) -> str | None:
    return None if minute is None else clock_from_minute(minute)
