"""How to get to a venue, as the club typed it, and whom to call there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _, sentence

if TYPE_CHECKING:
    from clubplanner.domain.ground.grounds import Pitch, Venue

DEGREE_DIGITS = 6
"""Digits after the point: a tenth of a metre on the ground."""


@dataclass(frozen=True, slots=True)
class WayThere:
    """What somebody needs who has to find a venue.

    Attributes:
        venue_name: Where.
        address: As the club typed it, like the next four; each may be blank.
        way_in: Where one goes in.
        parking: Where cars and bicycles go.
        contact: Whom to call; blank where the reader is not to see it.
        phone: Their number; blank where the reader is not to see it.
        call: The number as a `tel:` address (RFC 3966); blank without one.
        map_address: The way in as a `geo:` address (RFC 5870), which no service has to answer;
            blank as long as nobody has said where it lies.
        coordinates: The same to copy: latitude first, then longitude, degrees.
    """

    venue_name: str
    address: str
    way_in: str
    parking: str
    contact: str
    phone: str
    call: str
    map_address: str
    coordinates: str

    @property
    def lines(self) -> tuple[str, ...]:
        """The way in and the parking as sentences, for calendars; nothing that rings anybody."""
        lines = []
        if self.way_in:
            lines.append(_("Way in: %(words)s", words=_ended(self.way_in)))
        if self.parking:
            lines.append(_("Parking: %(words)s", words=_ended(self.parking)))
        return tuple(lines)


def way_to(venue: Venue, pitch: Pitch | None = None, *, is_member: bool = False) -> WayThere:
    """Tell how to get to a venue.

    Args:
        venue: Where.
        pitch: Which of its pitches: where the club typed no way in, the side on which one comes
            onto it stands in; None for none of them.
        is_member: Whether the reader is signed in: others see whom to call only where the club
            says so.
    """
    is_shown = is_member or venue.phone_for_parents
    phone = venue.contact_phone if is_shown else ""
    spot = ""
    if venue.lat is not None and venue.lon is not None:
        spot = f"{_degrees(venue.lat)}, {_degrees(venue.lon)}"
    return WayThere(
        venue_name=venue.name,
        address=venue.address,
        way_in=venue.way_in or sentence("" if pitch is None else entrance_edge(pitch)),
        parking=venue.parking,
        contact=venue.contact if is_shown else "",
        phone=phone,
        call=f"tel:{phone.replace(' ', '')}" if phone else "",
        map_address=f"geo:{spot.replace(' ', '')}" if spot else "",
        coordinates=spot,
    )


def entrance_edge(pitch: Pitch) -> str:
    """Name the edge of a pitch that the way in is at; blank where nobody said."""
    if pitch.entrance is None:
        return ""
    x, y = pitch.entrance
    x0, y0, x1, y1 = pitch.polygon.bounds
    edges = pitch.edges
    near = {edges.start: abs(x - x0), edges.far: abs(x - x1)}
    near |= {edges.right: abs(y - y0), edges.left: abs(y - y1)}
    return min(near, key=lambda name: near[name])


def _degrees(value: float) -> str:
    """Write degrees with a point, as long as they have to be: "52.3146", "-2.612", "0"."""
    text = f"{value:.{DEGREE_DIGITS}f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _ended(words: str) -> str:
    return words if words.endswith((".", "!", "?")) else f"{words}."
