"""From the club's records to a share-out's problem: ground, days, light, bookings, asks."""

from __future__ import annotations

from collections import defaultdict
from functools import cache, lru_cache, partial
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.squads import age_from_group
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.ground.grounds import Area, Pitch, Venue, may_have_goal, usable_ground
from clubplanner.domain.keys import ground_key
from clubplanner.domain.rules.ground.load import percents_of_squads
from clubplanner.domain.rules.times.latest_finish import latest_finish_min
from clubplanner.domain.times.daylight import LightKind, find_light, find_sunrise, light_from
from clubplanner.domain.times.times import (
    MINUTES_A_DAY,
    TimeRange,
    day_in_words,
    instant_from_wall,
    minute_from_instant,
)
from clubplanner.domain.times.times import Window as ClubWindow
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.language import weekday_in_words
from clubplanner.services.problem.coach_names import name_coaches
from clubplanner.services.problem.prices import prices_of
from clubplanner.services.problem.standing_people import does_stand, free_of_standing
from clubplanner.services.problem.wants import Places, limits, pairs, wishes
from clubplanner.services.rows.ground.ground_values import MOST_PITCHES
from clubplanner.services.rows.remembered import KeptWith
from clubplanner.sharing.values.problem import (
    Ask,
    Darkness,
    Day,
    Ground,
    LightsOut,
    Opening,
    Problem,
    Standing,
)
from clubplanner.sharing.values.wants import Window

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence
    from datetime import date
    from zoneinfo import ZoneInfo

    from shapely import Polygon

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask as ClubAsk
    from clubplanner.domain.club.squads import Squad
    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.money.tariffs import Tariff


def build_problem(
    club: ClubSettings,
    venues: Sequence[Venue],
    dates: Sequence[date],
    bookings: Iterable[Booking],
    squads: Sequence[Squad],
    asks: Sequence[tuple[int, ClubAsk]],
    formats: Sequence[GameFormat],
    *,
    by_date: bool = False,
    tariffs: Sequence[Tariff] = (),
) -> Problem:
    """Put a stretch of a season as one problem.

    Args:
        club: Step, changeover, travel and time zone.
        venues: With their pitches.
        dates: Every training date of the stretch, breaks left out.
        bookings: Those of the stretch; training that an earlier share-out placed does not stand.
        squads: All squads.
        asks: All asks with their numbers, which become their keys.
        formats: Game formats that an ask may name as its least ground.
        by_date: Whether each date is a day by itself (an evening, a week) and not a weekday with
            all its dates.
        tariffs: What ground costs; those that the club pays are an aim of the share-out.

    Raises:
        RefusedError: If a limit or a wish names a place that is not there.
    """
    zone = club.time_zone
    days = _single_days(dates) if by_date else _days(dates)
    played = tuple(formats)
    grounds = tuple(
        one for venue in venues for pitch in venue.pitches for one in _GROUNDS(pitch, played)
    )
    places = Places(venues, grounds)
    known = tuple(bookings)
    percents = percents_of_squads(club.rules, {}, squads)
    wanted = tuple(_asks(club, squads, asks, days, places))
    if by_date:
        wanted = free_of_standing(wanted, days, known, squads, zone)
    return Problem(
        grounds=grounds,
        days=days,
        openings=tuple(_openings(venues, days)),
        darkness=tuple(_darkness(venues, days, zone)),
        lights_out=tuple(_lights_out(venues, days)),
        standing=tuple(_standing(known, percents, zone)),
        asks=wanted,
        step_minutes=club.step_minutes,
        changeover_minutes=club.changeover_minutes,
        travel_minutes=club.travel_minutes,
        loads=limits(club.rules, places),
        pairs=pairs(ask for _, ask in asks),
        prices=prices_of(tariffs, venues, days, zone),
        wants_compact=club.rules.wants_compact,
        wants_apart=len(days) > 1,
        evenings=club.rules.evenings if len(days) > 1 else None,
    )


def _days(dates: Sequence[date]) -> tuple[Day, ...]:
    by_weekday: dict[int, list[date]] = defaultdict(list)
    for day in dates:
        by_weekday[day.weekday()].append(day)
    return tuple(
        Day(index, weekday_in_words(weekday), weekday, tuple(by_weekday[weekday]))
        for index, weekday in enumerate(sorted(by_weekday))
    )


def _single_days(dates: Sequence[date]) -> tuple[Day, ...]:
    return tuple(
        Day(index, day_in_words(day), day.weekday(), (day,)) for index, day in enumerate(dates)
    )


def _grounds(pitch: Pitch, formats: tuple[GameFormat, ...]) -> tuple[Ground, ...]:
    whole_m2 = pitch.areas[0].area_m2
    return tuple(
        Ground(
            key=ground_key(pitch.key, area.key),
            pitch=pitch.key,
            venue=pitch.venue_key,
            name=part_in_words(area, pitch.name),
            cells=area.cells,
            share=area.twelfths,
            cut=area.cut,
            area_m2=area.area_m2,
            share_of_pitch=min(1.0, area.area_m2 / whole_m2),
            surface=pitch.surface,
            has_goal=may_have_goal(area, pitch),
            is_lit=pitch.is_lit,
            is_indoor=pitch.is_indoor,
            formats=_formats_on(pitch, area, formats),
        )
        for area in pitch.areas
    )


_GROUNDS: KeptWith[Pitch, tuple[Ground, ...]] = KeptWith(_grounds, MOST_PITCHES)


def _formats_on(pitch: Pitch, area: Area, formats: tuple[GameFormat, ...]) -> frozenset[str]:
    """Return the formats an area holds; in a hall its own game is played to its walls."""
    ground = usable_ground(area, pitch.obstacles)
    return frozenset() if ground is None else _formats_in(ground, formats)


@lru_cache(maxsize=1_000)
def _formats_in(ground: Polygon, formats: tuple[GameFormat, ...]) -> frozenset[str]:
    """Return the formats that a shape holds; pitches of one shape are many."""
    return frozenset(game.code for game in formats if fits_format(ground, game))


def _openings(venues: Sequence[Venue], days: Sequence[Day]) -> Iterable[Opening]:
    for venue in venues:
        for day in days:
            for window in venue.opening:
                if window.weekday == day.weekday:
                    yield Opening(venue.key, day.index, window.start_min, window.end_min)


def _darkness(venues: Sequence[Venue], days: Sequence[Day], zone: ZoneInfo) -> Iterable[Darkness]:
    """Yield from when, and in the morning until when, it is dark on some of a day's dates."""
    for venue in venues:
        if all(pitch.is_indoor for pitch in venue.pitches):
            continue
        for day in days:
            at = venue.lon, venue.lat, venue.dusk_margin_minutes, zone
            earliest = _dark_on_one_of(day.dates, *at)
            if earliest is not None:
                yield Darkness(venue.key, day.index, earliest, _light_on_all_of(day.dates, *at))


@lru_cache(maxsize=10_000)
def _dark_on_one_of(
    dates: tuple[date, ...], lon: float | None, lat: float | None, margin: int, zone: ZoneInfo
) -> int | None:
    """Return from when it is dark on at least one of some dates; None where it never is."""
    minutes = (_dark_from(day, lon, lat, margin, zone) for day in dates)
    return min((minute for minute in minutes if minute is not None), default=None)


def _dark_from(
    day: date, lon: float | None, lat: float | None, margin: int, zone: ZoneInfo
) -> int | None:
    light = find_light(day, lon, lat, zone)
    if light.kind is LightKind.NONE:
        return 0
    until = light.usable_until(margin)
    return None if until is None else max(0, minute_from_instant(until, day, zone))


@lru_cache(maxsize=10_000)
def _light_on_all_of(
    dates: tuple[date, ...], lon: float | None, lat: float | None, margin: int, zone: ZoneInfo
) -> int | None:
    """Return from when it is light in the morning on all of some dates; None where it always is."""
    sunrises = ((day, find_sunrise(day, lon, lat, zone)) for day in dates)
    return max(
        (
            minute_from_instant(light_from(sunrise, margin), day, zone)
            for day, sunrise in sunrises
            if sunrise is not None
        ),
        default=None,
    )


def _lights_out(venues: Sequence[Venue], days: Sequence[Day]) -> Iterable[LightsOut]:
    for venue in venues:
        if venue.lights_off_min is not None:
            for day in days:
                yield LightsOut(venue.key, None, day.index, venue.lights_off_min)


def _standing(
    bookings: Iterable[Booking], percents: Mapping[str, int], zone: ZoneInfo
) -> Iterable[Standing]:
    """Yield bookings that stand, a piece a local date."""
    pieces = cache(lambda during: tuple(_local_pieces(during, zone)))  # many are at the same time
    for booking in bookings:
        if booking.is_withdrawn or not does_stand(booking):
            continue
        for day, start, end in pieces(booking.during):
            is_closed = booking.purpose is Purpose.CLOSED
            yield Standing(
                booking.pitch_key,
                booking.cells,
                day,
                start,
                end,
                booking.holder,
                wear_percent=0 if is_closed else percents.get(booking.squad_key or "", 100),
                needs_changeover=not is_closed,
            )


def _local_pieces(during: TimeRange, zone: ZoneInfo) -> Iterable[tuple[date, int, int]]:
    day = during.starts_at.astimezone(zone).date()
    last = during.ends_at.astimezone(zone).date()
    while day <= last:
        next_midnight = instant_from_wall(day, MINUTES_A_DAY, zone)
        start = max(during.starts_at, instant_from_wall(day, 0, zone))
        end = min(during.ends_at, next_midnight)
        if start < end:
            end_min = MINUTES_A_DAY if end == next_midnight else minute_from_instant(end, day, zone)
            start_min = minute_from_instant(start, day, zone)
            if end_min > start_min:
                yield day, start_min, end_min
        day = next_midnight.astimezone(zone).date()


def _asks(
    club: ClubSettings,
    squads: Sequence[Squad],
    asks: Sequence[tuple[int, ClubAsk]],
    days: Sequence[Day],
    places: Places,
) -> Iterable[Ask]:
    by_key = {squad.key: squad for squad in squads}
    coaches = name_coaches(squads)
    rest: dict[str, int] = defaultdict(int)
    for _unused, ask in asks:
        rest[ask.squad_key] = max(rest[ask.squad_key], ask.rest_days)
    index: dict[int, list[int]] = defaultdict(list)
    for day in days:
        index[day.weekday].append(day.index)
    windows = cache(partial(_windows, index=index))  # many squads can come at the same times
    rules = cache(lambda group: club.rules.for_age(age_from_group(group)))
    for number, ask in asks:
        squad = by_key[ask.squad_key]
        rule = rules(squad.age_group)
        yield Ask(
            key=str(number),
            squad=squad.key,
            squad_name=squad.name,
            coach=coaches.get(squad.coach_key),
            sessions=ask.sessions,
            minutes=ask.minutes,
            possible=windows(ask.possible),
            preferred=windows(ask.preferred),
            least_m2=ask.least_ground.area_m2,
            least_share=ask.least_ground.share,
            least_format=ask.least_ground.format_code or None,
            surfaces=ask.surfaces,
            needs_goal=ask.needs_goal,
            needs_light=ask.needs_light,
            priority=ask.priority,
            latest_finish_min=latest_finish_min(club.rules, squad, ask),
            rest_days=rest[squad.key],  # a squad rests, whatever its trainings are
            no_day_before=ask.no_day_before,
            no_day_after=ask.no_day_after,
            earliest_start_min=rule.earliest_start_min,
            most_in_a_row=ask.most_in_a_row,
            wear_percent=rule.wear_percent,
            wishes=wishes(ask, squad.name, index, places),
        )


def _windows(
    windows: tuple[ClubWindow, ...], index: Mapping[int, Sequence[int]]
) -> tuple[Window, ...]:
    return tuple(
        Window(day, w.start_min, w.end_min) for w in windows for day in index.get(w.weekday, ())
    )
