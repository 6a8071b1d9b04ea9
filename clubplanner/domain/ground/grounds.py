"""Venues, pitches, areas and goals, in metres of the pitch's own frame."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from typing import TYPE_CHECKING

import shapely
from shapely import LineString, Point, Polygon

from clubplanner.geometry.shapes import largest_part

if TYPE_CHECKING:
    from clubplanner.domain.times.times import Window
    from clubplanner.geometry.frame import Frame

METRES_PER_YARD = 0.9144
"""Exactly, by the international yard of 1959."""
AREA_SLACK_M2 = 0.5
"""Ground may be this much smaller than asked for: corners are held to the millimetre only."""
SHARE_SLACK = 0.001
"""A part may be this much smaller, as a share of its pitch, than asked for."""
SAME_M = 0.02
"""Corners so near each other are the same corner: tracing is not that exact."""
GOAL_REACH_M = 0.5
"""A goal counts as standing on an area when its mouth is no further outside than this."""


class GoalKind(StrEnum):
    """Whether a goal can be carried away."""

    FIXED = "fixed"
    PORTABLE = "portable"


@dataclass(frozen=True, slots=True)
class Goal:
    """A goal where it stands.

    Attributes:
        x_m: Middle of the mouth, along the length.
        y_m: Middle of the mouth, across the width.
        along_deg: Direction of the goal line, counter-clockwise from x: 90 for a goal at an end,
            0 for one at a side.
        width_m: Between the posts.
        height_m: Under the bar.
        kind: Fixed or portable.
    """

    x_m: float
    y_m: float
    along_deg: float
    width_m: float
    height_m: float
    kind: GoalKind

    @property
    def mouth(self) -> LineString:
        """The goal line from post to post."""
        line = LineString([(-self.width_m / 2, 0), (self.width_m / 2, 0)])
        turned = shapely.affinity.rotate(line, self.along_deg, origin=(0, 0))
        return shapely.affinity.translate(turned, self.x_m, self.y_m)


@dataclass(frozen=True, slots=True)
class Area:
    """A part of a pitch that can be booked.

    Attributes:
        key: Short name, one of a kind on its pitch: "whole", "third-2", "marking-mini-1".
        name: Where to stand, in local words: "Clubhouse third".
        cut: Which cut it belongs to: "whole", "halves", "thirds", "quarters", "grid",
            "markings" or "drawn".
        polygon: The ground, metres.
        cells: Bit mask of its cells on the pitch.
        twelfths: Its share where the cut is into equal parts (a third is 4); None otherwise.
    """

    key: str
    name: str
    cut: str
    polygon: Polygon
    cells: int
    twelfths: int | None

    @property
    def length_m(self) -> float:
        """Extent along the pitch's length."""
        x0, _, x1, _ = self.polygon.bounds
        return float(x1 - x0)

    @property
    def width_m(self) -> float:
        """Extent across the pitch's width."""
        _, y0, _, y1 = self.polygon.bounds
        return float(y1 - y0)

    @property
    def area_m2(self) -> float:
        """Ground in square metres."""
        return float(self.polygon.area)


@dataclass(frozen=True, slots=True)
class Edges:
    """What people call the four edges of a pitch.

    Attributes:
        start: The end at x = 0.
        far: The end at full length.
        right: The side at y = 0, on the right hand of someone looking along x.
        left: The side at full width.
    """

    start: str
    far: str
    right: str
    left: str


@dataclass(frozen=True, slots=True)
class Pitch:
    """One continuous playing surface.

    Attributes:
        key: Short name, one of a kind in the club: "marsh-lane-top".
        name: As people say it.
        venue_key: Where it lies.
        surface: Such as "grass", "artificial" or "indoor".
        is_lit: Whether it has floodlights (a hall always has).
        is_indoor: Whether it is a hall or court under a roof.
        polygon: The playing surface, metres; holes are ground that cannot be used.
        frame: Where it lies in the world; None when it was given by its size alone.
        edges: Names of ends and sides.
        areas: Everything that can be booked, the whole pitch first.
        goals: Where goals stand.
        obstacles: Ground taken by something else (a store, a pillar), metres.
        portable_goals: Goals that can be brought on.
        entrance: Where people come in, metres; None when not known.
        are_goals_known: Whether somebody has said where goals stand, or that none does.
    """

    key: str
    name: str
    venue_key: str
    surface: str
    is_lit: bool
    is_indoor: bool
    polygon: Polygon
    frame: Frame | None
    edges: Edges
    areas: tuple[Area, ...]
    goals: tuple[Goal, ...] = ()
    obstacles: tuple[Polygon, ...] = ()
    portable_goals: int = 0
    entrance: tuple[float, float] | None = None
    are_goals_known: bool = True

    def area(self, key: str) -> Area:
        """Return the area of that key.

        Raises:
            KeyError: If the pitch has none.
        """
        for area in self.areas:
            if area.key == key:
                return area
        raise KeyError(key)

    @property
    def needs_daylight(self) -> bool:
        """Whether the pitch is of use only in daylight."""
        return not (self.is_lit or self.is_indoor)


@dataclass(frozen=True, slots=True)
class Venue:
    """A place with pitches.

    Attributes:
        key: Short name, one of a kind in the club.
        name: As people say it.
        address: For the calendar; may be blank.
        lon: Degrees east, of the way in; None when nobody has said yet where it lies.
        lat: Degrees north; None together with `lon`.
        opening: When the venue is open.
        lights_off_min: Minute at which floodlights go out; None for no rule.
        dusk_margin_minutes: How long after sunset, and before sunrise, unlit ground is usable; may
            be negative.
        pitches: Its pitches, in the order of the file.
        way_in: Where one goes in, in the club's words; may be blank, as may the three that follow.
        parking: Where cars and bicycles go.
        contact: Whom to call when something is wrong there.
        contact_phone: Their number, as it was typed.
        phone_for_parents: Whether who has a squad's address may see whom to call; who is signed in
            does in any case.
    """

    key: str
    name: str
    address: str
    lon: float | None
    lat: float | None
    opening: tuple[Window, ...]
    lights_off_min: int | None
    dusk_margin_minutes: int
    pitches: tuple[Pitch, ...] = ()
    way_in: str = ""
    parking: str = ""
    contact: str = ""
    contact_phone: str = ""
    phone_for_parents: bool = False


@lru_cache(maxsize=10_000)
def goals_on(area: Area, goals: tuple[Goal, ...]) -> tuple[Goal, ...]:
    """Return the goals whose whole mouth stands on an area or on its edge."""
    reach = shapely.buffer(area.polygon, GOAL_REACH_M)
    return tuple(goal for goal in goals if reach.contains(goal.mouth))


def may_have_goal(area: Area, pitch: Pitch) -> bool:
    """Tell whether a squad that needs a goal may train on an area: the one place that decides it.

    As long as nobody has said where a pitch's goals stand, they are not known, which is not the
    same as none: nobody goes without for what was never asked. Goals that can be brought on do not
    count, because which of them is needed where at a time is not shared out.
    """
    return not pitch.are_goals_known or bool(goals_on(area, pitch.goals))


def is_same_ground(one: Pitch, other: Pitch) -> bool:
    """Tell whether two pitches are the same to anybody who stands there: within `SAME_M`."""
    plain = ("name", "surface", "is_lit", "is_indoor", "edges", "portable_goals", "are_goals_known")
    if any(getattr(one, name) != getattr(other, name) for name in plain):
        return False
    if [(a.key, a.name) for a in one.areas] != [(a.key, a.name) for a in other.areas]:
        return False
    if (one.entrance is None) != (other.entrance is None):
        return False
    shapes = [
        [
            *(area.polygon for area in pitch.areas),
            *pitch.obstacles,
            *(goal.mouth for goal in pitch.goals),
            *(() if pitch.entrance is None else (Point(pitch.entrance),)),
        ]
        for pitch in (one, other)
    ]
    kinds = [[(goal.kind, goal.height_m) for goal in pitch.goals] for pitch in (one, other)]
    return (
        kinds[0] == kinds[1]
        and len(shapes[0]) == len(shapes[1])
        and all(a.hausdorff_distance(b) <= SAME_M for a, b in zip(*shapes, strict=True))
    )


def usable_ground(
    area: Area, obstacles: tuple[Polygon, ...], *, clearance_m: float = 0.0
) -> Polygon | None:
    """Return the part of an area that can be played on.

    Args:
        area: The booked area.
        obstacles: The pitch's obstacles.
        clearance_m: Distance kept from each obstacle.

    Returns:
        The largest piece left after taking out the obstacles, or None when nothing is left.
    """
    blocked = [shapely.buffer(shape, clearance_m, join_style="mitre") for shape in obstacles]
    rest = (
        shapely.difference(area.polygon, shapely.unary_union(blocked)) if blocked else area.polygon
    )
    return largest_part(rest)


def yards_from_metres(metres: float) -> float:
    """Convert a length: 1 yd = 0.9144 m."""
    return metres / METRES_PER_YARD
