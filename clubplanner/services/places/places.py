"""Where else a session could go: free ground that satisfies what the squad asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.ground.grounds import goals_on, usable_ground
from clubplanner.domain.ground.places import Place
from clubplanner.domain.rules.book import is_free, least_hindered
from clubplanner.domain.rules.case import Case, Hindrance, Scene
from clubplanner.domain.times.times import TimeRange, clock_in_zone

if TYPE_CHECKING:
    from collections.abc import Iterable
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.club.settings import ClubSettings
    from clubplanner.domain.club.squads import Ask, Squad
    from clubplanner.domain.ground.grounds import Area, Pitch

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


def find_places(scene: Scene, need: Need, *, most: int = MOST_PLACES) -> tuple[Place, ...]:
    """Find free ground for a session, nearest to what it has first.

    A place is offered only where no rule of the rule book stands in the way, and where it is as
    good as what the session has: a match needs a field like its own, and a booking without an ask
    ground of about its size and kind.

    Args:
        scene: The club round that day, without the bookings that are to go.
        need: What the session must have.
        most: How many to return.
    """
    found = [_place(scene, case, cost) for case, cost in _cases(scene, need) if is_free(case)]
    return tuple(sorted(found, key=lambda p: (p.cost, p.during, p.name))[:most])


def what_hinders(scene: Scene, need: Need) -> tuple[Hindrance, ...] | None:
    """Return what keeps a session from the place where the fewest rules do.

    Returns:
        Nothing where some place is free; None where no ground at all is as good as what it has.
    """
    return least_hindered(case for case, _cost in _cases(scene, need))


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


def _cases(scene: Scene, need: Need) -> Iterable[tuple[Case, int]]:
    """Yield every other place and time as good as what a session has, with how far it is."""
    own = need.booking
    for start in starts_of(scene.club, need):
        during = TimeRange(start, start + timedelta(minutes=need.booking.during.minutes))
        for venue in scene.venues:
            for pitch in venue.pitches:
                for area in pitch.areas:
                    if (pitch.key, area.key, during) == (own.pitch_key, own.area_key, own.during):
                        continue
                    cost = _cost(scene, need, pitch, area, during)
                    if cost is not None:
                        yield (
                            Case(
                                scene,
                                pitch,
                                area,
                                during,
                                purpose=need.booking.purpose,
                                squad=need.squad,
                                ask=need.ask,
                                number=need.booking.number,
                                was=need.booking.during,
                            ),
                            cost,
                        )


def _place(scene: Scene, case: Case, cost: int) -> Place:
    pitch, area = case.pitch, case.area
    return Place(
        scene.area_ids[pitch.key, area.key],
        pitch.key,
        area.cells,
        area.name if area.cut == "whole" else f"{area.name}, {pitch.name}",
        case.venue.name,
        case.during,
        cost,
    )


def _cost(scene: Scene, need: Need, pitch: Pitch, area: Area, during: TimeRange) -> int | None:
    """Return how far a place is from what was; None where it is not as good."""
    was_pitch = scene.pitches.get(need.booking.pitch_key)
    was_m2 = area.area_m2
    if was_pitch is not None:
        was_m2 = was_pitch.area(need.booking.area_key).area_m2
        if not _is_as_good(need, was_pitch, pitch, area):
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
    wanted = sorted((g.width_m, g.height_m) for g in goals_on(was, was_pitch.goals))
    there = sorted((g.width_m, g.height_m) for g in goals_on(area, pitch.goals))
    return all(goal in there for goal in wanted) and len(there) >= len(wanted)


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
    return scene.with_booked(closed)
