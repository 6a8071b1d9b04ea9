"""What is free for a squad that begins in mid-season, shown before anything is booked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import clock_from_minute, minute_from_instant
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _, weekday_in_words
from clubplanner.services.places.scenes import load_scenes
from clubplanner.services.problem.standing_plans import Disruption, Scope, load_standing
from clubplanner.services.proposals.proposals import Sort
from clubplanner.services.rows.named import find_squad
from clubplanner.services.rows.near import usual_venue
from clubplanner.services.rows.snapshot import load_asks
from clubplanner.services.season.free_series import (
    MOST_OFFERED,
    find_series,
    sessions_of,
    why_none,
)
from clubplanner.services.season.squads.begins import dates_to_come, has_address, read_choice
from clubplanner.services.setup.squads.page import ask_in_words
from clubplanner.services.showing.choosing.choices import venues_apart
from clubplanner.sharing.reasons.reasons import explain_ask
from clubplanner.sharing.reasons.telling.changes import tell_change

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import date, datetime

    from sqlalchemy.orm import Session

    from clubplanner.domain.club.squads import Ask
    from clubplanner.domain.ground.grounds import Venue
    from clubplanner.domain.rules.case import Scene
    from clubplanner.domain.times.seasons import Stretch
    from clubplanner.services.season.free_series import Series
    from clubplanner.services.showing.choosing.choices import Choice
    from clubplanner.store.engine import Store
    from clubplanner.store.tables.squad_tables import SquadRow

MOST_LOST_TOLD = 4


@dataclass(frozen=True, slots=True)
class FreeSeries:
    """A place in the week that is free.

    Attributes:
        value: As a form sends it.
        words: Weekday, times and ground.
        count: On how many dates.
        lost: The dates on which it is not, with why, the first few.
        more_lost: How many dates besides are not told.
    """

    value: str
    words: str
    count: int
    lost: tuple[str, ...]
    more_lost: int


@dataclass(frozen=True, slots=True)
class SessionSought:
    """One session a week that a squad asks for.

    Attributes:
        number: The ask's.
        field: Names it in a form.
        words: What is asked for.
        options: Where it could be, the best first, beside the best ones of the sessions before.
        why: Why there is none, sentences.
        would_help: What would change that, each by itself; not told of one venue among many, for
            which the whole club would have to be looked at.
    """

    number: int
    field: str
    words: str
    options: tuple[FreeSeries, ...]
    why: tuple[str, ...] = ()
    would_help: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BeginPage:
    """What a squad can have from a date on.

    Attributes:
        key: The squad.
        name: The same in words.
        from_day: The first date looked at.
        last_day: The end of the stretch.
        stretch_name: The stretch.
        sought: Each session that it asks for and does not have.
        has: How many sessions a week it has by then.
        makes_address: Whether it has no address yet.
        venues: Where a club is spread over many venues, those that are looked at one at a time.
        venue_key: The one that was looked at; blank for all.
    """

    key: str
    name: str
    from_day: date
    last_day: date
    stretch_name: str
    sought: tuple[SessionSought, ...]
    has: int
    makes_address: bool
    venues: tuple[Choice, ...] = ()
    venue_key: str = ""


def see_squad_begin(
    store: Store, squad_key: str, from_day: date, now: datetime, venue_key: str = ""
) -> BeginPage:
    """Show what a squad that begins could have to the end of the stretch.

    Args:
        store: The database.
        squad_key: Which squad.
        from_day: The first date: today or later.
        now: The present instant.
        venue_key: Where a club is spread over many venues (`rows/near.py`), which of them is looked
            at; blank for the one that the squad or its club is at most.

    Raises:
        MissingError: If there is no such squad, or the date lies in no stretch.
        RefusedError: If the squad ends, asks for nothing, or there is no training date left.
    """
    with store.read() as session:
        squad = find_squad(session, squad_key)
        stretch, dates = dates_to_come(session, squad, from_day, now)
        asks = _asks(session, squad)
        venues = venues_apart(session)
        if venue_key not in {one.value for one in venues}:
            venue_key = usual_venue(session, squad.id) if venues else ""
        scene = load_scenes(session, dates[0], dates[-1], venue_key, squad.key)
        at = next((one for one in scene.venues if one.key == venue_key), None)
        has = _habits(squad, scene, dates)
        sought: list[SessionSought] = []
        for number, ask, place in _missing(asks, has):
            if sought and sought[-1].number == number and not sought[-1].options:
                continue  # what one session cannot have, the next of the same cannot
            found = _sought(scene, ask, (number, place), dates, now, at)
            if not found.options and at is None:
                helps = _would_help(session, stretch, dates[0], number, now)
                found = replace(found, would_help=helps)
            sought.append(found)
            chosen = sought[-1].options
            if chosen:
                spot, _count = read_choice(chosen[0].value, scene)
                own = scene.squads[squad.key]
                days = [d for d in dates if d.weekday() == spot.weekday]
                scene = scene.with_booked(*sessions_of(scene, own, {spot: days}))
        return BeginPage(
            key=squad.key,
            name=squad.name,
            from_day=from_day,
            last_day=stretch.ends_on,
            stretch_name=stretch.name,
            sought=tuple(sought),
            has=len(has),
            makes_address=not has_address(session, squad),
            venues=venues,
            venue_key=venue_key,
        )


def _asks(session: Session, squad: SquadRow) -> list[tuple[int, Ask]]:
    asks = [(number, ask) for number, ask in load_asks(session) if ask.squad_key == squad.key]
    if not asks:
        raise RefusedError(
            _("%(squad)s ask for nothing; say first what they ask for.", squad=squad.name)
        )
    return asks


def _habits(squad: SquadRow, scene: Scene, dates: Sequence[date]) -> list[tuple[int, int, int]]:
    """Return weekday, start and length of what the squad has already week by week."""
    zone = scene.club.time_zone
    found: dict[tuple[int, int, int], int] = {}
    for booking in scene.bookings:
        day = booking.during.starts_at.astimezone(zone).date()
        if booking.squad_key == squad.key and booking.purpose is Purpose.TRAINING and day in dates:
            start = minute_from_instant(booking.during.starts_at, day, zone)
            habit = day.weekday(), start, booking.during.minutes
            found[habit] = found.get(habit, 0) + 1
    return [habit for habit, count in found.items() if count * 7 >= len(dates) / 2]


def _missing(
    asks: Sequence[tuple[int, Ask]], has: Sequence[tuple[int, int, int]]
) -> list[tuple[int, Ask, int]]:
    """Return each session that is asked for and not had, with its ask and its place in it."""
    left = [minutes for _weekday, _start, minutes in has]
    found = []
    for number, ask in asks:
        for place in range(ask.sessions):
            if ask.minutes in left:
                left.remove(ask.minutes)
            else:
                found.append((number, ask, place))
    return found


def _sought(
    scene: Scene,
    ask: Ask,
    which: tuple[int, int],
    dates: Sequence[date],
    now: datetime,
    at: Venue | None,
) -> SessionSought:
    number, place = which
    squad = scene.squads[ask.squad_key]
    field, words = f"session-{number}-{place}", ask_in_words(ask)
    found = find_series(scene, squad, ask, dates, now, at)
    if found:
        options = tuple(_shown(scene, one) for one in found[:MOST_OFFERED])
        return SessionSought(number, field, words, options)
    why = why_none(scene, squad, ask, dates, now, at)
    if not why:
        why = (_("No ground is open then that does for this squad."),)
    return SessionSought(number, field, words, (), why)


def _would_help(
    session: Session, stretch: Stretch, first: date, number: int, now: datetime
) -> tuple[str, ...]:
    """Return what would help, as a share-out of the rest of the stretch tells it."""
    scope = Scope(Sort.REST, first)
    try:
        standing = load_standing(session, stretch, scope, Disruption(), now)
    except (MissingError, RefusedError):
        return ()
    if not any(ask.key == str(number) for ask in standing.problem.asks):
        return ()
    refusal = explain_ask(standing.problem, standing.placements, str(number), is_proved=False)
    return () if refusal is None else tuple(map(tell_change, refusal.changes))


def _shown(scene: Scene, one: Series) -> FreeSeries:
    spot = one.spot
    pitch = scene.pitches[spot.pitch_key]
    area = pitch.area(spot.area_key)
    times = (
        f"{clock_from_minute(spot.start_min)}–{clock_from_minute(spot.start_min + spot.minutes)}"
    )
    names = ("" if area.cut == "whole" else area.name, pitch.name, scene.venue_of[pitch.key].name)
    place = ", ".join(dict.fromkeys(name for name in names if name))
    area_id = scene.area_ids[pitch.key, area.key]
    return FreeSeries(
        f"{spot.weekday}@{spot.start_min}@{spot.minutes}@{area_id}@{len(one.dates)}",
        f"{weekday_in_words(spot.weekday)} {times}, {place}",
        len(one.dates),
        tuple(words for _day, words in one.lost[:MOST_LOST_TOLD]),
        max(0, len(one.lost) - MOST_LOST_TOLD),
    )
