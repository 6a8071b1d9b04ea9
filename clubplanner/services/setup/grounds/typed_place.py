"""Where a venue or a pitch lies, as it was pasted into a form; in doubt somebody chooses."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.problems import Problem
from clubplanner.domain.times.zones import zone_places
from clubplanner.errors import FaultyInputError
from clubplanner.inputs.ground_files.pasted_place import ZONE_KM, geo_uri, read_place, spots_near
from clubplanner.language import _, figure
from clubplanner.services.rows.snapshot import load_zone
from clubplanner.services.showing.choosing.choices import Choice
from clubplanner.store.tables.ground_tables import VenueRow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from sqlalchemy.orm import Session

    from clubplanner.inputs.ground_files.pasted_place import Spot

PLACE, CHOSEN = "place", "place_choice"


def with_place_read(session: Session, cells: Mapping[str, str]) -> dict[str, str]:
    """Put longitude and latitude into cells in place of what was pasted into the cell `place`.

    A blank or missing cell leaves the others as they are. What may lie in two places is the one
    that was chosen (`place_choice`), else the one near the club's venues, else the one where the
    club's time zone is.

    Raises:
        FaultyInputError: If no coordinates were found, or somebody has to choose.
    """
    read = dict(cells)
    text = read.pop(PLACE, "").strip()
    chosen = read.pop(CHOSEN, "")
    if not text:
        return read
    spots = read_place(text)
    if not spots:
        words = _(
            "No coordinates were found in this. Paste them as a map shows them, like 52.47, 1.75, "
            "or leave the place for later."
        )
        raise FaultyInputError([Problem(PLACE, "not-a-place", words)])
    if len(spots) > 1:
        by_choice = tuple(spot for spot in spots if geo_uri(spot) == chosen)
        spots = by_choice or spots_near(spots, _venues(session))
    if len(spots) > 1:
        spots = spots_near(spots, _time_zone(session), ZONE_KM)
    if len(spots) > 1:
        words = _("This can be read in more than one way; choose where it is.")
        raise FaultyInputError([Problem(CHOSEN, "which", words)])
    lon, lat = spots[0]
    return {**read, "lon": f"{lon:.9f}", "lat": f"{lat:.9f}"}


def place_choices(text: str) -> tuple[Choice, ...]:
    """Return what a pasted place can mean, to choose from; empty where there is no doubt."""
    spots = read_place(text)
    if len(spots) < 2:
        return ()
    return tuple(Choice(geo_uri(spot), place_in_words(spot)) for spot in spots)


def place_in_words(spot: Spot) -> str:
    """Say where a place lies: "52.47° north, 1.75° east"."""
    lon, lat = (figure(round(abs(value), 5), "g") for value in spot)
    if spot[1] >= 0:
        if spot[0] >= 0:
            return _("%(lat)s° north, %(lon)s° east", lat=lat, lon=lon)
        return _("%(lat)s° north, %(lon)s° west", lat=lat, lon=lon)
    if spot[0] >= 0:
        return _("%(lat)s° south, %(lon)s° east", lat=lat, lon=lon)
    return _("%(lat)s° south, %(lon)s° west", lat=lat, lon=lon)


def _time_zone(session: Session) -> tuple[Spot, ...]:
    place = zone_places().get(load_zone(session).key)
    return () if place is None else (place,)


def _venues(session: Session) -> list[Spot]:
    rows = session.execute(
        select(VenueRow.lon, VenueRow.lat).where(VenueRow.lon.is_not(None))
    ).all()
    return [(row.lon, row.lat) for row in rows if row.lon is not None and row.lat is not None]
