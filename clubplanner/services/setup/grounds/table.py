"""All ground of the club as a table to take away, and where each piece of it lies."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.language import _, marked, sentence, term
from clubplanner.outputs.tables.map_files import GroundShape
from clubplanner.outputs.tables.table import Column, Kind, Table
from clubplanner.services.rows.snapshot import load_club, load_venues

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue
    from clubplanner.outputs.tables.table import Cell
    from clubplanner.store.engine import Store

_CUTS = {
    "whole": marked("the whole pitch"),
    "halves": marked("half"),
    "thirds": marked("third"),
    "quarters": marked("quarter"),
    "grid": marked("quarter"),
    "markings": marked("marked out"),
    "drawn": marked("drawn by hand"),
}


def ground_table(store: Store) -> tuple[Table, tuple[GroundShape, ...]]:
    """Return a row for each pitch and each part of it that can be booked, and its ground.

    Raises:
        MissingError: If no club has been loaded yet.
    """
    with store.read() as session:
        load_club(session)
        venues = load_venues(session)
    found = [
        (venue, pitch, area) for venue in venues for pitch in venue.pitches for area in pitch.areas
    ]
    columns = (
        Column(_("Venue")),
        Column(_("Pitch")),
        Column(_("Part of the pitch")),
        Column(_("Cut")),
        Column(_("Surface")),
        Column(_("Floodlights")),
        Column(_("Indoor")),
        Column(_("Length, m"), Kind.NUMBER, decimals=1),
        Column(_("Width, m"), Kind.NUMBER, decimals=1),
        Column(_("Ground, m²"), Kind.NUMBER, decimals=0),
        Column(_("Longitude of its middle"), Kind.NUMBER, decimals=6),
        Column(_("Latitude of its middle"), Kind.NUMBER, decimals=6),
    )
    rows = [_row(*one) for one in found]
    shapes = tuple(GroundShape(pitch.frame, area.polygon) for _venue, pitch, area in found)
    return Table(_("Grounds"), columns, rows), shapes


def _row(venue: Venue, pitch: Pitch, area: Area) -> tuple[Cell, ...]:
    middle = area.polygon.representative_point()
    place: tuple[float | None, float | None] = (None, None)
    if pitch.frame is not None:
        place = pitch.frame.lonlat_from_local(middle.x, middle.y)
    return (
        venue.name,
        pitch.name,
        "" if area.cut == "whole" else area.name,
        sentence(term(_CUTS[area.cut])),
        sentence(term(pitch.surface)),
        _("yes") if pitch.is_lit else _("no"),
        _("yes") if pitch.is_indoor else _("no"),
        area.length_m,
        area.width_m,
        area.area_m2,
        *place,
    )
