"""Where else a session could go: free ground that satisfies what the squad asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose, draft_booking
from clubplanner.domain.ground.ground_words import part_in_words
from clubplanner.domain.ground.grounds import goals_on, usable_ground
from clubplanner.domain.ground.places import Place
from clubplanner.domain.rules.book import (
    AT_THE_VENUE,
    ON_THE_AREA,
    ON_THE_PITCH,
    is_free,
    least_hindered,
)
from clubplanner.domain.rules.case import Case, Hindrance, Scene
from clubplanner.domain.times.times import TimeRange, clock_in_zone, end_clock_in_zone

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue

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


def find_places(
    scene: Scene, need: Need, *, most: int = MOST_PLACES, at: Venue | None = None
) -> tuple[Place, ...]:
    """Find free ground for a session, nearest to what it has first.

    A place is offered only where no rule of the rule book stands in the way, and where it is as
    good as what the session has: a match needs a field like its own, and a booking without an ask
    ground of about its size and kind.

    Args:
        scene: The club round that day, without the bookings that are to go.
        need: What the session must have.
        most: How many to return.
        at: The venue that is looked at; None for all.
    """
    found = []
    for case, grounds, further in _venues_at_times(scene, need, at):
        if is_free(case, AT_THE_VENUE):
            for there, cost in _free_ground(case, grounds):
                if _is_elsewhere(need, there):
                    found.append(_place(scene, there, cost + further))
    return tuple(sorted(found, key=lambda p: (p.cost, p.during, p.name))[:most])


def is_place(scene: Scene, need: Need, pitch: Pitch, area: Area, start: datetime) -> bool:
    """Tell whether `find_places` would offer an area at a time, without looking at any other."""
    if start not in starts_of(scene.club, need) or _cost(scene, need, pitch, area) is None:
        return False
    during = TimeRange(start, start + timedelta(minutes=need.booking.during.minutes))
    case = Case(
        scene,
        pitch,
        area,
        during,
        purpose=need.booking.purpose,
        squad=need.squad,
        ask=need.ask,
        number=need.booking.number,
        was=need.booking.during,
    )
    return (
        _is_elsewhere(need, case)
        and not area.cells & case.taken_cells
        and all(is_free(case, rules) for rules in (AT_THE_VENUE, ON_THE_PITCH, ON_THE_AREA))
    )


def what_hinders(
    scene: Scene, need: Need, *, at: Venue | None = None
) -> tuple[Hindrance, ...] | None:
    """Return what keeps a session from the place where the fewest rules do.

    Args:
        scene: The club round that day, without the bookings that are to go.
        need: What the session must have.
        at: The venue that is looked at; None for all.

    Returns:
        Nothing where some place is free; None where no ground at all is as good as what it has.
    """
    return least_hindered(
        there
        for case, grounds, _further in _venues_at_times(scene, need, at)
        for pitch, areas in grounds
        for area, _cost in areas
        if _is_elsewhere(need, there := case.on(pitch, area))
    )


def place_in_words(place: Place, was: TimeRange, zone: ZoneInfo) -> str:
    """Write a place, with its times where these differ: "Low pitch half, Low pitch from 18:30"."""
    if place.during == was:
        return place.name
    return f"{place.name} {clock_in_zone(place.during.starts_at, zone)}–" + end_clock_in_zone(
        place.during.ends_at, zone
    )


def ask_for(booking: Booking, asks: Iterable[Ask]) -> Ask | None:
    """Return the ask that a squad's session most likely comes from: of the same length if any."""
    own = [ask for ask in asks if ask.squad_key == booking.squad_key]
    return min(own, key=lambda ask: abs(ask.minutes - booking.during.minutes), default=None)


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


_Grounds = list[tuple["Pitch", list[tuple["Area", int]]]]
"""Pitches of a venue with those of their areas that are as good, and how far each is."""


def _venues_at_times(
    scene: Scene, need: Need, at: Venue | None = None
) -> Iterator[tuple[Case, _Grounds, int]]:
    """Yield each time at each venue, or at one, with ground as good as what a session has.

    Yields:
        The case on the first of that ground, all of it, and how far the time is.
    """
    own = need.booking
    venues = scene.venues if at is None else (at,)
    by_venue = [grounds for venue in venues if (grounds := _as_good(scene, need, venue))]
    for start in starts_of(scene.club, need):
        during = TimeRange(start, start + timedelta(minutes=own.during.minutes))
        steps = abs(start - own.during.starts_at) // timedelta(minutes=scene.club.step_minutes)
        for grounds in by_venue:
            pitch, areas = grounds[0]
            case = Case(
                scene,
                pitch,
                areas[0][0],
                during,
                purpose=own.purpose,
                squad=need.squad,
                ask=need.ask,
                number=own.number,
                was=own.during,
            )
            yield case, grounds, A_STEP * steps


def _as_good(scene: Scene, need: Need, venue: Venue) -> _Grounds:
    """Return the ground of a venue that is as good as what a session has."""
    found = []
    for pitch in venue.pitches:
        costs = [(area, _cost(scene, need, pitch, area)) for area in pitch.areas]
        areas = [(area, cost) for area, cost in costs if cost is not None]
        if areas:
            found.append((pitch, areas))
    return found


def _free_ground(at_venue: Case, grounds: _Grounds) -> Iterator[tuple[Case, int]]:
    """Yield the ground of a venue that is free at a time at which its rules let a session be."""
    for pitch, areas in grounds:
        on_pitch = at_venue.on(pitch, areas[0][0])
        if not is_free(on_pitch, ON_THE_PITCH):
            continue
        taken = on_pitch.taken_cells
        for area, cost in areas:
            if area.cells & taken:
                continue  # held or closed; nobody needs to hear by whom
            there = at_venue.on(pitch, area)
            if is_free(there, ON_THE_AREA):
                yield there, cost


def _is_elsewhere(need: Need, case: Case) -> bool:
    """Tell whether it is another place or time than that which the session has."""
    own = need.booking
    was = own.pitch_key, own.area_key, own.during
    return (case.pitch.key, case.area.key, case.during) != was


def _place(scene: Scene, case: Case, cost: int) -> Place:
    pitch, area = case.pitch, case.area
    return Place(
        scene.area_ids[pitch.key, area.key],
        pitch.key,
        area.cells,
        part_in_words(area, pitch.name),
        case.venue.name,
        case.during,
        cost,
    )


def _cost(scene: Scene, need: Need, pitch: Pitch, area: Area) -> int | None:
    """Return how far ground is from what was; None where it is not as good."""
    was_pitch = scene.pitches.get(need.booking.pitch_key)
    was_m2 = area.area_m2
    if was_pitch is not None:
        was_m2 = was_pitch.area(need.booking.area_key).area_m2
        if not _is_as_good(need, was_pitch, pitch, area):
            return None
    cost = 0
    if was_pitch is None or pitch.venue_key != was_pitch.venue_key:
        cost = OTHER_VENUE
    elif pitch.key != was_pitch.key:
        cost = OTHER_PITCH
    ratio = area.area_m2 / was_m2
    cost += round(SMALLER * (1 - ratio)) if ratio < 1 else min(SMALLER, round(2 * (ratio - 1)))
    return cost


def _is_as_good(need: Need, was_pitch: Pitch, pitch: Pitch, area: Area) -> bool:
    """Tell whether ground is as good as what a session has, where no ask says what it needs."""
    if need.booking.purpose is Purpose.MATCH and not _holds_match(
        was_pitch, need.booking.area_key, pitch, area
    ):
        return False
    if need.ask is not None:
        return True
    was_m2 = was_pitch.area(need.booking.area_key).area_m2
    return area.area_m2 >= USUAL_SIZE * was_m2 and was_pitch.is_indoor == pitch.is_indoor


def _holds_match(was_pitch: Pitch, was_key: str, pitch: Pitch, area: Area) -> bool:
    """Tell whether a match can go from one area to another: field and goals must be as there."""
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
    if not pitch.are_goals_known:
        return True
    wanted = sorted((g.width_m, g.height_m) for g in goals_on(was, was_pitch.goals))
    there = sorted((g.width_m, g.height_m) for g in goals_on(area, pitch.goals))
    return all(goal in there for goal in wanted) and len(there) >= len(wanted)


def with_closed(scene: Scene, pitch_key: str, cells: int, during: TimeRange) -> Scene:
    """Return a scene in which some ground is closed."""
    closed = draft_booking(
        number=0,
        pitch_key=pitch_key,
        cells=cells,
        during=during,
        purpose=Purpose.CLOSED,
    )
    return scene.with_booked(closed)
