"""A venue's ground as features of a map: where each pitch and part lies, in degrees."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.errors import MissingError
from clubplanner.language import _
from clubplanner.services.rows.snapshot import load_venues

if TYPE_CHECKING:
    from shapely import Polygon

    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.store.engine import Store

DIGITS = 7
"""Of a degree: about a centimetre (RFC 7946, section 11.2, warns of more)."""

Ring = tuple[tuple[float, float], ...]
"""Longitude and latitude, degrees; the first position again at the end."""


@dataclass(frozen=True, slots=True)
class MapFeature:
    """A pitch, or a part of one.

    Attributes:
        pitch: The pitch.
        area: Which part; the whole pitch is one, too.
        rings: Its outline anti-clockwise, then holes clockwise (RFC 7946, section 3.1.6); empty
            where nobody has said where the pitch lies.
    """

    pitch: Pitch
    area: Area
    rings: tuple[Ring, ...]


def list_venues(store: Store) -> tuple[Venue, ...]:
    """Return the venues with their pitches, in the club's order."""
    with store.read() as session:
        return tuple(load_venues(session))


def see_venue(store: Store, key: str) -> Venue:
    """Return a venue with its pitches.

    Raises:
        MissingError: If there is none of that key.
    """
    found = next((venue for venue in list_venues(store) if venue.key == key), None)
    if found is None:
        raise MissingError(_("There is no such venue; look at the list of grounds."))
    return found


def map_venue(venue: Venue) -> tuple[MapFeature, ...]:
    """Return every part of every pitch of a venue, the whole pitch first."""
    return tuple(
        MapFeature(pitch, area, _rings(pitch, area))
        for pitch in venue.pitches
        for area in pitch.areas
    )


def _rings(pitch: Pitch, area: Area) -> tuple[Ring, ...]:
    if pitch.frame is None:
        return ()
    placed: Polygon = pitch.frame.lonlat_polygon(area.polygon)
    outline = placed.exterior
    rings = [_ring(outline.coords, turned=not outline.is_ccw)]
    rings += [_ring(hole.coords, turned=hole.is_ccw) for hole in placed.interiors]
    return tuple(rings)


def _ring(positions: object, *, turned: bool) -> Ring:
    listed = [
        (round(float(lon), DIGITS), round(float(lat), DIGITS))
        for lon, lat, *_more in list(positions)  # type: ignore[call-overload]
    ]
    return tuple(reversed(listed)) if turned else tuple(listed)
