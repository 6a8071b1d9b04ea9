"""From rows of ground to frozen values."""

from __future__ import annotations

import json
from collections import defaultdict
from functools import lru_cache, partial
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

from sqlalchemy import JSON, LargeBinary, Text, cast, select, type_coerce
from sqlalchemy import inspect as mapper_of

from clubplanner.domain.ground.grounds import Area, Edges, Goal, GoalKind, Pitch, Venue
from clubplanner.domain.times.times import Window
from clubplanner.geometry.frame import Frame
from clubplanner.services.rows.remembered import Remembered
from clubplanner.store.tables.columns import Ground, polygon_from_stored
from clubplanner.store.tables.ground_tables import AreaRow, ObstacleRow, PitchRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from shapely import Polygon
    from sqlalchemy import Row
    from sqlalchemy.orm import Session

MOST_PITCHES = 2_000
"""How many pitches are remembered."""
_OF_PITCH = (
    PitchRow.key,
    PitchRow.name,
    PitchRow.surface,
    PitchRow.is_lit,
    PitchRow.is_indoor,
    PitchRow.polygon,
    PitchRow.frame,
    PitchRow.edges,
    PitchRow.goals,
    PitchRow.portable_goals,
    PitchRow.entrance,
)
_OF_AREA = (
    AreaRow.key,
    AreaRow.name,
    AreaRow.cut,
    AreaRow.polygon,
    AreaRow.cells,
    AreaRow.twelfths,
)


def load_venues(session: Session) -> tuple[Venue, ...]:
    """Return all venues with their pitches, in the club's order; read again once they changed."""
    return _VENUES(session)


def venue_from_row(row: VenueRow) -> Venue:
    """Read a venue by itself, without its pitches."""
    return _venue(row, ())


def pitch_from_row(row: PitchRow, venue_key: str) -> Pitch:
    """Read a pitch."""
    return _pitch(row, venue_key, row.areas, row.obstacles)


def _venue(row: VenueRow | Row[Any], pitches: Sequence[Pitch]) -> Venue:
    return Venue(
        key=row.key,
        name=row.name,
        address=row.address,
        lon=row.lon,
        lat=row.lat,
        opening=windows_from_json(row.opening),
        lights_off_min=row.lights_off_min,
        dusk_margin_minutes=row.dusk_margin_minutes,
        pitches=tuple(pitches),
        way_in=row.way_in,
        parking=row.parking,
        contact=row.contact,
        contact_phone=row.contact_phone,
        phone_for_parents=row.phone_for_parents,
    )


def _pitch(
    row: PitchRow | Row[Any],
    venue_key: str,
    areas: Sequence[AreaRow | Row[Any]],
    obstacles: Sequence[ObstacleRow | Row[Any]],
) -> Pitch:
    return Pitch(
        key=row.key,
        name=row.name,
        venue_key=venue_key,
        surface=row.surface,
        is_lit=row.is_lit,
        is_indoor=row.is_indoor,
        polygon=row.polygon,
        frame=None if row.frame is None else Frame(*row.frame),
        edges=Edges(**row.edges),
        areas=tuple(
            Area(area.key, area.name, area.cut, area.polygon, area.cells, area.twelfths)
            for area in areas
        ),
        goals=tuple(_goal(stored) for stored in row.goals or ()),
        obstacles=tuple(obstacle.polygon for obstacle in obstacles),
        portable_goals=row.portable_goals,
        entrance=None if row.entrance is None else (row.entrance[0], row.entrance[1]),
        are_goals_known=row.goals is not None,
    )


def columns_of(row: type[Any]) -> list[Any]:
    """Return the columns of a table, to be read as they are.

    Rows made into objects would take four times as long.
    """
    return [getattr(row, one.key) for one in mapper_of(row).column_attrs]


def windows_from_json(stored: list[list[int]]) -> tuple[Window, ...]:
    """Read windows as they are stored."""
    return tuple(Window(*entry) for entry in stored)


def _read_venues(session: Session) -> tuple[Venue, ...]:
    areas = _by_pitch(session, AreaRow, _OF_AREA, AreaRow.position)
    obstacles = _by_pitch(session, ObstacleRow, (ObstacleRow.polygon,))
    pitches: dict[int, list[Pitch]] = defaultdict(list)
    keys = {row.id: row.key for row in session.execute(select(VenueRow.id, VenueRow.key))}
    for number, venue_id, *stored in session.execute(
        select(PitchRow.id, PitchRow.venue_id, *_as_stored(_OF_PITCH)).order_by(
            PitchRow.position, PitchRow.id
        )
    ):
        pitch = _pitch_as_stored(
            keys[venue_id], tuple(stored), tuple(areas[number]), tuple(obstacles[number])
        )
        pitches[venue_id].append(pitch)
    rows = session.execute(select(*columns_of(VenueRow)).order_by(VenueRow.position, VenueRow.id))
    return tuple(_venue(row, pitches[row.id]) for row in rows)


_VENUES = Remembered(_read_venues)


def _by_pitch(
    session: Session, row: type[Any], columns: Sequence[Any], *order: Any
) -> dict[int, list[tuple[Any, ...]]]:
    found: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
    for pitch_id, *stored in session.execute(
        select(row.pitch_id, *_as_stored(columns)).order_by(*order, row.id)
    ):
        found[pitch_id].append(tuple(stored))
    return found


def _as_stored(columns: Sequence[Any]) -> list[Any]:
    """Return columns to be read as bytes and texts, by which it is told what has changed."""
    return [_AS_READ.get(type(one.type), _as_it_is)(one) for one in columns]


def _as_it_is(column: Any) -> Any:
    return column


_AS_READ: dict[type[Any], Callable[[Any], Any]] = {
    Ground: partial(type_coerce, type_=LargeBinary),
    JSON: partial(cast, type_=Text),
}


@lru_cache(maxsize=MOST_PITCHES)
def _pitch_as_stored(
    venue_key: str,
    stored: tuple[Any, ...],
    areas: tuple[tuple[Any, ...], ...],
    obstacles: tuple[tuple[Any, ...], ...],
) -> Pitch:
    """Read a pitch from what is stored of it, its parts and obstacles: once as long as that is so.

    A council's pitches are hundreds, of which a change touches one.
    """
    return _pitch(
        _values(_OF_PITCH, stored),
        venue_key,
        [_values(_OF_AREA, one) for one in areas],
        [_values((ObstacleRow.polygon,), one) for one in obstacles],
    )


def _values(columns: Sequence[Any], stored: Sequence[Any]) -> Any:
    """Return what is stored under its columns' names, as a row would give it."""
    found = SimpleNamespace()
    for one, value in zip(columns, stored, strict=True):
        read = _READ.get(type(one.type))
        setattr(found, one.key, value if read is None or value is None else read(value))
    return found


def _polygon(stored: bytes) -> Polygon:
    return polygon_from_stored(bytes(stored))


_READ: dict[type[Any], Callable[[Any], Any]] = {Ground: _polygon, JSON: json.loads}


def _goal(stored: list[Any]) -> Goal:
    x_m, y_m, along_deg, width_m, height_m, kind = stored
    return Goal(x_m, y_m, along_deg, width_m, height_m, GoalKind(kind))
