"""Small invented values for tests: a pitch, a venue, a squad, an ask, a booking.

Each builder fills in everything a test does not care about; give by name what it does care about.
`changes` are fields of the value that is built, by their own names.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from clubplanner.domain.booked.bookings import Booking, Purpose
from clubplanner.domain.club.squads import Ask, LeastGround, Squad
from clubplanner.domain.ground.grounds import Area, Edges, GoalKind, Pitch, Venue
from clubplanner.domain.ground.pitch_from_plan import build_pitch
from clubplanner.domain.ground.plans import GoalPlan, PitchPlan
from clubplanner.domain.keys import key_from_name
from clubplanner.domain.times.times import TimeRange, range_from_wall
from clubplanner.domain.times.windows import parse_windows
from clubplanner.geometry.frame import Frame
from clubplanner.geometry.shapes import rectangle

if TYPE_CHECKING:
    from shapely import Polygon

LONDON = ZoneInfo("Europe/London")
A_WEDNESDAY = date(2026, 11, 25)
NOW = datetime(2026, 11, 16, 12, 0, 7, 482_193, tzinfo=UTC)
"""The present of all tests with a database: a Monday noon before `A_WEDNESDAY`, at an odd second,
since no real clock stands at a whole one."""
NOW_KEPT = NOW.replace(microsecond=0)
"""`NOW` as records keep it: to the second."""
FULL_SIZE_GOALS = GoalPlan("both ends", 7.32, 2.44, GoalKind.FIXED)
"""Goals of 7.32 × 2.44 m (IFAB Laws of the Game, Law 1)."""
LEVEL_FRAME = Frame(-1.2, 52.9, 90.0)
"""x towards the east, y towards the north, at an invented place in the English Midlands."""


def make_plan(
    name: str = "Top pitch", *, length_m: float = 100.0, width_m: float = 60.0, **changes: Any
) -> PitchPlan:
    """Return the plan of a pitch: 100 × 60 m, grass, unlit, no frame, with every equal cut.

    `polygon=` takes the place of length and width; `cuts=()` leaves only the whole pitch.
    """
    plan = PitchPlan(
        name=name,
        venue_key="marsh-lane",
        surface="grass",
        is_lit=False,
        is_indoor=False,
        polygon=rectangle(0, 0, length_m, width_m),
        frame=None,
        cuts=("halves", "thirds", "quarters", "grid"),
        goals=(FULL_SIZE_GOALS,),
    )
    return replace(plan, **changes)


def make_pitch(
    name: str = "Top pitch", *, length_m: float = 100.0, width_m: float = 60.0, **changes: Any
) -> Pitch:
    """Return the pitch of `make_plan`, laid out; its key is "marsh-lane-top-pitch" by default.

    Its areas by default: whole, half-1 and -2, third-1 to -3, quarter-1 to -4, corner-1 to -4.
    """
    return build_pitch(make_plan(name, length_m=length_m, width_m=width_m, **changes))


def make_area(polygon: Polygon | None = None, *, key: str = "drawn-patch", cells: int = 1) -> Area:
    """Return a drawn area on its own, by default 50 × 40 m at the origin."""
    shape = polygon if polygon is not None else rectangle(0, 0, 50, 40)
    return Area(key, "Patch", "drawn", shape, cells, None)


def make_edges() -> Edges:
    """Return edges with local names."""
    return Edges(start="Clubhouse end", far="Road end", right="Hedge side", left="Car park side")


def make_venue(
    name: str = "Marsh Lane",
    *,
    opening: str = "Mon-Fri 17:00-22:00; Sat-Sun 09:00-18:00",
    **changes: Any,
) -> Venue:
    """Return a venue in the English Midlands with one `make_pitch()`, lights off at 21:30."""
    key = key_from_name(name)
    venue = Venue(
        key=key,
        name=name,
        address="Marsh Lane, Alderby",
        lon=-1.2,
        lat=52.9,
        opening=parse_windows(opening),
        lights_off_min=21 * 60 + 30,
        dusk_margin_minutes=0,
        pitches=(make_pitch(venue_key=key),),
    )
    return replace(venue, **changes)


def make_squad(name: str = "U12 Kestrels", **changes: Any) -> Squad:
    """Return a squad of sixteen under-twelves, two of them goalkeepers; its key from its name."""
    squad = Squad(
        key=key_from_name(name),
        name=name,
        age_group="U12",
        players=16,
        goalkeepers=2,
        coach="Robin Hale",
        coach_email="robin@example.org",
    )
    return replace(squad, **changes)


def make_ask(
    squad_key: str = "u12-kestrels",
    *,
    possible: str = "Mon-Fri 17:00-21:00",
    preferred: str = "",
    **changes: Any,
) -> Ask:
    """Return an ask for one session of 75 minutes on any weekday evening, on any ground.

    `possible` and `preferred` are windows as people write them.
    """
    ask = Ask(
        squad_key=squad_key,
        sessions=1,
        minutes=75,
        possible=parse_windows(possible),
        preferred=parse_windows(preferred),
        least_ground=LeastGround(),
        surfaces=frozenset(),
        needs_goal=False,
        needs_light=False,
    )
    return replace(ask, **changes)


def make_range(
    day: date = A_WEDNESDAY,
    start_min: int = 18 * 60,
    end_min: int = 19 * 60 + 15,
    zone: ZoneInfo = LONDON,
) -> TimeRange:
    """Return the range 18:00–19:15 of a Wednesday in November 2026, or another."""
    return range_from_wall(day, start_min, end_min, zone)


def make_booking(number: int = 1, *, area: Area | None = None, **changes: Any) -> Booking:
    """Return training of U12 Kestrels on a Wednesday 18:00–19:15 on `area`, else on "half-1"."""
    booking = Booking(
        number=number,
        uid=f"booking-{number}@club.example",
        pitch_key="marsh-lane-top-pitch",
        area_key=area.key if area else "half-1",
        cells=area.cells if area else 1,
        during=make_range(),
        purpose=Purpose.TRAINING,
        squad_key="u12-kestrels",
        holder="U12 Kestrels",
        note="",
        is_withdrawn=False,
        sequence=0,
        changed_at=datetime(2026, 11, 1, 9, 0, tzinfo=UTC),
        is_fixed=False,
    )
    return replace(booking, **changes)
