"""From rows of ground to frozen values."""

from __future__ import annotations

from collections import defaultdict
from typing import TYPE_CHECKING, Any

from sqlalchemy import inspect as mapper_of
from sqlalchemy import select

from clubplanner.domain.ground.grounds import Area, Edges, Goal, GoalKind, Pitch, Venue
from clubplanner.domain.times.times import Window
from clubplanner.geometry.frame import Frame
from clubplanner.services.rows.remembered import Remembered
from clubplanner.store.tables.ground_tables import AreaRow, ObstacleRow, PitchRow, VenueRow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sqlalchemy import Row
    from sqlalchemy.orm import Session


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
    areas = _by_pitch(session, AreaRow, AreaRow.position)
    obstacles = _by_pitch(session, ObstacleRow)
    pitches: dict[int, list[Pitch]] = defaultdict(list)
    keys = {row.id: row.key for row in session.execute(select(VenueRow.id, VenueRow.key))}
    for row in session.execute(
        select(*columns_of(PitchRow)).order_by(PitchRow.position, PitchRow.id)
    ):
        pitch = _pitch(row, keys[row.venue_id], areas[row.id], obstacles[row.id])
        pitches[row.venue_id].append(pitch)
    rows = session.execute(select(*columns_of(VenueRow)).order_by(VenueRow.position, VenueRow.id))
    return tuple(_venue(row, pitches[row.id]) for row in rows)


_VENUES = Remembered(_read_venues)


def _by_pitch(session: Session, row: type[Any], *order: Any) -> dict[int, list[Row[Any]]]:
    found: dict[int, list[Row[Any]]] = defaultdict(list)
    for one in session.execute(select(*columns_of(row)).order_by(*order, row.id)):
        found[one.pitch_id].append(one)
    return found


def _goal(stored: list[Any]) -> Goal:
    x_m, y_m, along_deg, width_m, height_m, kind = stored
    return Goal(x_m, y_m, along_deg, width_m, height_m, GoalKind(kind))
