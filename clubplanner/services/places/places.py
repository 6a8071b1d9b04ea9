"""Where else a session could go: free ground that satisfies what the squad asked for."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.ground.grounds import goals_on, usable_ground
from clubplanner.domain.ground.places import Place
from clubplanner.domain.times.times import TimeRange, clock_in_zone, minute_from_instant
from clubplanner.fitting.setting_out.formats import fits_format
from clubplanner.services.rows.light_words import light_in_words

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable, Mapping, Sequence
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.domain.times.times import Window

SAME = 0.98
"""A match may move to a field this much as long and as wide as its own."""
USUAL_SIZE = 0.6
"""Without an ask of its own a booking takes ground of at least this part of what it has."""
OTHER_VENUE, OTHER_PITCH, A_STEP, SMALLER = 40, 10, 3, 12
"""Points: another venue, another pitch, each start step away, and (at most) for smaller ground."""
MOST_PLACES = 10


@dataclass(frozen=True, slots=True)
class Need:
    """What a session must have wherever it goes.

    Attributes:
        booking: The session as it stands; its length is kept.
        ask: What the squad asked for; None where it asked for nothing.
        squad: Whose it is; None for a hirer.
        earliest: No start before this instant.
        latest: No start after this instant.
    """

    booking: Booking
    ask: Ask | None
    squad: Squad | None
    earliest: datetime
    latest: datetime


@dataclass(frozen=True, slots=True)
class Scene:
    """A club on a day: its ground, what is booked, and who is whose coach.

    Attributes:
        club: Step, changeover, travel and zone.
        venues: All venues with their pitches.
        bookings: What stands on that day and may not be touched.
        coaches: Squad key → the coach's name, folded; blank when not known.
        area_ids: (pitch key, area key) → the area's number.
        formats: Every game format that an ask may name.
    """

    club: ClubSettings
    venues: Sequence[Venue]
    bookings: Sequence[Booking]
    coaches: Mapping[str, str]
    area_ids: Mapping[tuple[str, str], int]
    formats: Sequence[GameFormat] = ()


def find_places(scene: Scene, need: Need, *, most: int = MOST_PLACES) -> tuple[Place, ...]:
    """Find free ground for a session, nearest to what it has first.

    A place is offered only where the ground is large enough and of a right surface, a goal stands
    on it if one is needed, the venue is open, there is light to the end, the changeover is kept on
    both sides, and neither squad nor coach is elsewhere, travel between venues included.

    Args:
        scene: The club on that day, without the bookings that are to go.
        need: What the session must have.
        most: How many to return.
    """
    found: list[Place] = []
    for start in starts_of(scene.club, need):
        during = TimeRange(start, start + timedelta(minutes=need.booking.during.minutes))
        if not _is_wished(need, during, scene.club.time_zone):
            continue
        for venue in scene.venues:
            if is_open(venue, during, scene.club.time_zone) and _is_free(
                scene, need, venue, during
            ):
                found += _places_at(scene, need, venue, during)
    return tuple(sorted(found, key=lambda p: (p.cost, p.during, p.name))[:most])


def place_in_words(place: Place, was: TimeRange, zone: ZoneInfo) -> str:
    """Write a place, with its times where these differ: "Low pitch half, Low pitch from 18:30"."""
    if place.during == was:
        return place.name
    return f"{place.name} {clock_in_zone(place.during.starts_at, zone)}–" + clock_in_zone(
        place.during.ends_at, zone
    )


def ask_for(booking: Booking, asks: Iterable[Ask]) -> Ask | None:
    """Return the ask that a squad's session most likely comes from: of the same length if any."""
    own = [ask for ask in asks if ask.squad_key == booking.squad_key]
    return min(own, key=lambda ask: abs(ask.minutes - booking.during.minutes), default=None)


def is_large_enough(
    pitch: Pitch,
    area: Area,
    need: Need,
    standing_m2: float,
    formats: Sequence[GameFormat],
) -> bool:
    """Tell whether an area satisfies the squad's least ground, or is near what it has."""
    ask = need.ask
    if ask is None:
        return area.area_m2 >= USUAL_SIZE * standing_m2
    least = ask.least_ground
    whole = pitch.areas[0].area_m2
    if area.area_m2 < least.area_m2 - 0.5 or area.area_m2 / whole < least.share - 0.001:
        return False
    if not least.format_code:
        return True
    game = next((game for game in formats if game.code == least.format_code), None)
    return game is not None and _holds_format(pitch, area, game)


def _holds_format(pitch: Pitch, area: Area, game: GameFormat) -> bool:
    ground = usable_ground(area, pitch.obstacles)
    return ground is not None and fits_format(ground, game)


def starts_of(club: ClubSettings, need: Need) -> list[datetime]:
    """Return the instants at which a session may start, a step apart, by its need alone."""
    step = timedelta(minutes=club.step_minutes)
    start = need.booking.during.starts_at
    while start - step >= need.earliest:
        start -= step
    while start < need.earliest:
        start += step
    starts = []
    while start <= need.latest:
        starts.append(start)
        start += step
    return starts


def _is_wished(need: Need, during: TimeRange, zone: ZoneInfo) -> bool:
    if need.ask is None or during == need.booking.during:
        return True
    return any(_lies_in(window, during, zone) for window in need.ask.possible)


def is_open(venue: Venue, during: TimeRange, zone: ZoneInfo) -> bool:
    """Tell whether a venue is open for the whole of a range."""
    return any(_lies_in(window, during, zone) for window in venue.opening)


def _lies_in(window: Window, during: TimeRange, zone: ZoneInfo) -> bool:
    day = during.starts_at.astimezone(zone).date()
    start = minute_from_instant(during.starts_at, day, zone)
    end = minute_from_instant(during.ends_at, day, zone)
    return window.weekday == day.weekday() and window.start_min <= start and end <= window.end_min


def _is_free(scene: Scene, need: Need, venue: Venue, during: TimeRange) -> bool:
    """Tell whether squad and coach can be at a venue at that time."""
    squad_key = need.booking.squad_key
    if squad_key is None:
        return True
    coach = scene.coaches.get(squad_key, "")
    travel = timedelta(minutes=scene.club.travel_minutes)
    here = {pitch.key for pitch in venue.pitches}
    for other in scene.bookings:
        if other.number == need.booking.number or other.squad_key is None:
            continue
        same_coach = bool(coach) and scene.coaches.get(other.squad_key) == coach
        if other.squad_key != squad_key and not same_coach:
            continue
        gap = timedelta(0) if other.pitch_key in here else travel
        if (
            other.during.starts_at < during.ends_at + gap
            and during.starts_at < other.during.ends_at + gap
        ):
            return False
    return True


def _places_at(scene: Scene, need: Need, venue: Venue, during: TimeRange) -> Iterable[Place]:
    zone = scene.club.time_zone
    day = during.starts_at.astimezone(zone).date()
    for pitch in venue.pitches:
        if not _suits(pitch, need):
            continue
        if light_in_words(pitch, venue, day, zone).ends_too_late(during.ends_at):
            continue
        held = held_cells(scene.bookings, pitch.key, during, scene.club.changeover_minutes)
        for area in pitch.areas:
            if area.cells & held:
                continue
            cost = _cost(scene, need, pitch, area, during)
            if cost is not None:
                name = area.name if area.cut == "whole" else f"{area.name}, {pitch.name}"
                number = scene.area_ids.get((pitch.key, area.key))
                if number is not None:
                    yield Place(number, pitch.key, area.cells, name, venue.name, during, cost)


def held_cells(
    bookings: Iterable[Booking], pitch_key: str, during: TimeRange, changeover_minutes: int
) -> int:
    """Return the cells of a pitch that are held at some moment, changeover included."""
    gap = timedelta(minutes=changeover_minutes)
    held = 0
    for booking in bookings:
        if (
            booking.pitch_key == pitch_key
            and booking.during.starts_at < during.ends_at + gap
            and during.starts_at < booking.during.ends_at + gap
        ):
            held |= booking.cells
    return held


def _suits(pitch: Pitch, need: Need) -> bool:
    ask = need.ask
    if ask is None:
        return True
    if ask.surfaces and pitch.surface not in ask.surfaces:
        return False
    return not ask.needs_light or pitch.is_lit or pitch.is_indoor


def _cost(scene: Scene, need: Need, pitch: Pitch, area: Area, during: TimeRange) -> int | None:
    """Return how far a place is from what was; None where it does not do."""
    was_pitch = next(
        (p for v in scene.venues for p in v.pitches if p.key == need.booking.pitch_key), None
    )
    was_m2 = was_pitch.area(need.booking.area_key).area_m2 if was_pitch else area.area_m2
    if not is_large_enough(pitch, area, need, was_m2, scene.formats):
        return None
    if need.ask is not None and need.ask.needs_goal and not goals_on(area, pitch.goals):
        return None
    is_match = need.booking.purpose is Purpose.MATCH and was_pitch is not None
    if is_match and not _holds_match(was_pitch, need.booking.area_key, pitch, area):
        return None
    if was_pitch is not None and need.ask is None and was_pitch.is_indoor != pitch.is_indoor:
        return None
    steps = abs(during.starts_at - need.booking.during.starts_at) // timedelta(
        minutes=scene.club.step_minutes
    )
    cost = A_STEP * steps
    if was_pitch is None or pitch.venue_key != was_pitch.venue_key:
        cost += OTHER_VENUE
    elif pitch.key != was_pitch.key:
        cost += OTHER_PITCH
    ratio = area.area_m2 / was_m2
    cost += round(SMALLER * (1 - ratio)) if ratio < 1 else min(SMALLER, round(2 * (ratio - 1)))
    return cost


def _holds_match(was_pitch: Pitch | None, was_key: str, pitch: Pitch, area: Area) -> bool:
    """Tell whether a match can go from one area to another: field and goals must be as there."""
    if was_pitch is None:
        return False
    was = was_pitch.area(was_key)
    ground = usable_ground(area, pitch.obstacles)
    field = usable_ground(was, was_pitch.obstacles)
    if ground is None or field is None:
        return False
    x0, y0, x1, y1 = field.bounds
    length, width = max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)
    u0, v0, u1, v1 = ground.bounds
    if max(u1 - u0, v1 - v0) < SAME * length or min(u1 - u0, v1 - v0) < SAME * width:
        return False
    wanted = sorted((g.width_m, g.height_m) for g in goals_on(was, was_pitch.goals))
    there = sorted((g.width_m, g.height_m) for g in goals_on(area, pitch.goals))
    return all(goal in there for goal in wanted) and len(there) >= len(wanted)


def without(scene: Scene, numbers: Collection[int]) -> Scene:
    """Return a scene without some bookings."""
    return replace(scene, bookings=[b for b in scene.bookings if b.number not in numbers])


def with_closed(scene: Scene, pitch_key: str, cells: int, during: TimeRange) -> Scene:
    """Return a scene in which some ground is closed."""
    closed = Booking(
        number=0,
        uid="",
        pitch_key=pitch_key,
        area_key="",
        cells=cells,
        during=during,
        purpose=Purpose.CLOSED,
        squad_key=None,
        holder="",
        note="",
        is_withdrawn=False,
        sequence=0,
        changed_at=during.starts_at,
        is_fixed=True,
    )
    return replace(scene, bookings=[*scene.bookings, closed])
