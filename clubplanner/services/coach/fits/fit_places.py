"""The ground on which it is asked what fits: what lies round it, and how much is kept clear."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import shapely

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.ground.grounds import GoalKind, goals_on, usable_ground
from clubplanner.domain.ground.orientation.measures import USUAL_PACE_M
from clubplanner.fitting.setting_out.formats import match_of_age
from clubplanner.fitting.setting_out.ground_lines import ON_LINE_M
from clubplanner.fitting.setting_out.laying import REACH_M
from clubplanner.fitting.setting_out.places_in_words import Anchors
from clubplanner.fitting.setting_out.run_off import INDOORS_M, OUTDOORS_M, Hazard, HazardKind
from clubplanner.fitting.setting_out.ways import GoalSpot, SessionNeed
from clubplanner.services.rows.ground.known_sizes import published_bands, published_formats
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.plans import painted_lines

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from datetime import date

    from shapely import Polygon

    from clubplanner.domain.ground.formats import GameFormat
    from clubplanner.domain.ground.grounds import Area, Pitch

CLEARANCE_M = 1.0
"""Kept from pillars and other obstacles even where games go to the line (common practice, no
source)."""
HALFWAY_SHARE = 0.8
"""So much of a halfway line must be painted for people to pace from it."""


@dataclass(frozen=True, slots=True)
class FitWish:
    """What a coach typed.

    Attributes:
        players: Expected tonight, goalkeepers among them.
        goalkeepers: Of them.
        length_m: Length of a practice area; None for no wish.
        width_m: Its width; None for no wish.
        age: Years of the age group; None for adults.
        portable_goals: Goals that can be brought on; None for those the pitch has.
        pace_m: Length of the coach's own pace; None for a usual one.
        target_goals: Small goals that nobody keeps.
        margin_m: Clear ground to keep all round; None for the club's own, or the published.
    """

    players: int
    goalkeepers: int
    length_m: float | None
    width_m: float | None
    age: int | None
    portable_goals: int | None = None
    pace_m: float | None = None
    target_goals: int = 0
    margin_m: float | None = None


@dataclass(frozen=True, slots=True)
class FitPlace:
    """Where and when it is asked what fits.

    Attributes:
        pitch: The pitch, with its goals and obstacles.
        area: The booked area.
        on: The date: forms of the game change from season to season.
        own_formats: The club's own table of sizes.
        halls: Pitches under a roof where the squad could go instead.
        neighbours: Ground of this pitch on which others are at that time.
    """

    pitch: Pitch
    area: Area
    on: date
    own_formats: Sequence[GameFormat] = ()
    halls: Sequence[Pitch] = ()
    neighbours: Sequence[Polygon] = ()


@dataclass(frozen=True, slots=True)
class FitGround:
    """Ground on which something is laid out.

    Attributes:
        pitch: The pitch.
        area: The squad's part of it.
        need: What is asked.
        anchors: What can be found there to pace from.
        pace_m: Length of the coach's own pace.
    """

    pitch: Pitch
    area: Area
    need: SessionNeed
    anchors: Anchors
    pace_m: float

    @classmethod
    def of(cls, place: FitPlace, wish: FitWish, need: SessionNeed) -> FitGround:
        """Look round on the ground of a question."""
        pitch, area = place.pitch, place.area
        anchors = Anchors.of(
            pitch.polygon,
            pitch.edges,
            area.polygon,
            goals=need.goals,
            entrance=pitch.entrance,
            has_halfway=has_halfway_line(pitch),
        )
        pace_m = USUAL_PACE_M if wish.pace_m is None else wish.pace_m
        return cls(pitch, area, need, anchors, pace_m)


def has_halfway_line(pitch: Pitch) -> bool:
    """Tell whether a halfway line is painted across the pitch, as far as is known."""
    x0, y0, x1, y1 = pitch.polygon.bounds
    middle = shapely.buffer(shapely.LineString([((x0 + x1) / 2, y) for y in (y0, y1)]), ON_LINE_M)
    along = [shapely.intersection(line, middle).length for line in painted_lines(pitch)]
    return sum(along) > HALFWAY_SHARE * (y1 - y0)


def neighbours_there(
    pitch: Pitch, own: Booking, bookings: Sequence[Booking]
) -> tuple[Polygon, ...]:
    """Return the ground on which others play while a booking lasts; nobody is on closed ground."""
    return tuple(
        pitch.area(one.booking.area_key).polygon
        for one in neighbours_of(pitch, own, bookings)
        if one.booking.purpose is not Purpose.CLOSED
    )


def need_of(place: FitPlace, wish: FitWish) -> SessionNeed | None:
    """Put what was typed as a question; None when there is no ground to play on."""
    pitch, area = place.pitch, place.area
    ground = usable_ground(area, pitch.obstacles, clearance_m=CLEARANCE_M)
    if ground is None:
        return None
    has_size = wish.length_m is not None and wish.width_m is not None
    match = match_of_age(place.own_formats, published_formats(), wish.age, on=place.on)
    return SessionNeed(
        ground=ground,
        players=wish.players,
        goalkeepers=wish.goalkeepers,
        age=wish.age,
        goals=spots_on(pitch, area),
        portable_goals=goals_to_bring(pitch, wish),
        target_goals=wish.target_goals,
        size_m=(wish.length_m or 0.0, wish.width_m or 0.0) if has_size else None,
        bands=published_bands(),
        match=match,
        hazards=tuple(_hazards(place)),
        margin_m=_margin_m(place, wish, match),
    )


def spots_on(pitch: Pitch, area: Area) -> tuple[GoalSpot, ...]:
    """Return the goals that stand on an area."""
    return tuple(
        GoalSpot(goal.x_m, goal.y_m, goal.width_m, goal.kind)
        for goal in goals_on(area, pitch.goals)
    )


def goals_to_bring(pitch: Pitch, wish: FitWish) -> int:
    """Return how many goals can be brought on: as typed, else those the pitch has."""
    return pitch.portable_goals if wish.portable_goals is None else wish.portable_goals


def _margin_m(place: FitPlace, wish: FitWish, match: GameFormat | None) -> float:
    """Return the clear ground to keep: as typed, by the club's own table, else as published."""
    if wish.margin_m is not None:
        return wish.margin_m
    if match is not None and match in place.own_formats and match.run_off_m is not None:
        return match.run_off_m
    return INDOORS_M if place.pitch.is_indoor else OUTDOORS_M


def _hazards(place: FitPlace) -> Iterator[Hazard]:
    """List what lies round an area: the pitch's edges, neighbours, obstacles, holes.

    An edge on which a fixed goal stands is a goal line, which games may go to.
    Where the area ends and the pitch goes on, nothing is in the way unless somebody is there.
    """
    pitch = place.pitch
    kind = HazardKind.WALL if pitch.is_indoor else HazardKind.EDGE
    fixed = [
        shapely.Point(goal.x_m, goal.y_m)
        for goal in goals_on(place.area, pitch.goals)
        if goal.kind is GoalKind.FIXED
    ]
    for ends in pairwise(pitch.polygon.exterior.coords):
        edge = shapely.LineString(ends)
        has_goal = any(edge.distance(spot) <= REACH_M for spot in fixed)
        yield Hazard(HazardKind.GOAL_LINE if has_goal else kind, edge)
    for hole in pitch.polygon.interiors:
        yield Hazard(HazardKind.OBSTACLE, shapely.LineString(hole.coords))
    for obstacle in pitch.obstacles:
        yield Hazard(HazardKind.OBSTACLE, obstacle)
    for ground in place.neighbours:
        yield Hazard(HazardKind.NEIGHBOUR, ground)
