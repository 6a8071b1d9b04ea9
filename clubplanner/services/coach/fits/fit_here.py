"""The outline of ground of the club, for questions about what fits on it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.domain.ground.grounds import usable_ground
from clubplanner.errors import MissingError, RefusedError
from clubplanner.language import _
from clubplanner.services.rows.snapshot import load_venues

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def outline_of(store: Store, pitch_key: str, area_key: str) -> str:
    """Return what of an area can be used, obstacles left out, as well-known text in metres.

    Raises:
        MissingError: If there is no such ground.
        RefusedError: If nothing of it is left.
    """
    with store.read() as session:
        pitches = {pitch.key: pitch for venue in load_venues(session) for pitch in venue.pitches}
    pitch = pitches.get(pitch_key)
    area = next((one for one in pitch.areas if one.key == area_key), None) if pitch else None
    if pitch is None or area is None:
        raise MissingError(_("There is no such ground; look at the list of grounds."))
    ground = usable_ground(area, pitch.obstacles)
    if ground is None:
        raise RefusedError(_("Nothing of this ground can be played on."))
    return str(ground.wkt)
