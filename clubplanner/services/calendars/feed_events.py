"""A booking as calendars show it: the same event in every feed and every mail."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from clubplanner.domain.booked.session_state import AS_PLANNED
from clubplanner.domain.booked.state_words import Told
from clubplanner.domain.ground.orientation.measures import size_in_words
from clubplanner.domain.rules.times.light import begins_in_the_dark, ends_in_the_dark
from clubplanner.domain.times.times import clock_in_zone
from clubplanner.language import _, in_running_text, isolated, term
from clubplanner.outputs.calendars.feed import FeedEvent
from clubplanner.services.rows.named import find_pitch
from clubplanner.services.showing.ground.neighbours import neighbours_of
from clubplanner.services.showing.ground.plans import followers_in_words
from clubplanner.services.showing.ground.way_in_words import way_in_short
from clubplanner.services.showing.ground.way_there import entrance_edge, way_to
from clubplanner.services.showing.light_words import light_in_words
from clubplanner.services.showing.states.session_states import places_in_words, spot_of

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date, datetime
    from zoneinfo import ZoneInfo

    from clubplanner.domain.booked.bookings import Booking
    from clubplanner.domain.booked.session_state import SessionState
    from clubplanner.domain.ground.grounds import Area, Pitch, Venue


@dataclass(frozen=True, slots=True)
class EventMaker:
    """What all events of a feed share.

    Attributes:
        venues: All venues of the club.
        zone: The club's time zone.
        page_url: The page behind the feed's address, without a slash at the end, which is secret;
            None for a file that leads to no page.
        uid_prefix: Put before the uid of each booking.
        followers: A booking's number → who comes on the pitch while it runs.
        states: A booking's number → what is true of it.
    """

    venues: Sequence[Venue]
    zone: ZoneInfo
    page_url: str | None = field(repr=False)
    uid_prefix: str = ""
    followers: Mapping[int, Sequence[Booking]] = field(default_factory=dict)
    states: Mapping[int, SessionState] = field(default_factory=dict)
    _ways: dict[tuple[str, str], str] = field(default_factory=dict, init=False, repr=False)
    _places: dict[tuple[str, str], str] = field(default_factory=dict, init=False, repr=False)

    def event_of(
        self, booking: Booking, elsewhere: Booking | None = None, *, is_left: bool = False
    ) -> FeedEvent:
        """Return the event of a booking.

        Args:
            booking: As this calendar has to show it.
            elsewhere: As it stands now, of one that has left this calendar's ground; None else.
            is_left: Whether it goes on without whoever reads this calendar.

        Raises:
            MissingError: If its pitch no longer exists.
        """
        venue, pitch = find_pitch(self.venues, booking.pitch_key)
        area = pitch.area(booking.area_key)
        lon, lat = venue.lon, venue.lat
        if pitch.frame is not None:
            centre = area.polygon.centroid
            lon, lat = pitch.frame.lonlat_from_local(centre.x, centre.y)
        day = booking.during.starts_at.astimezone(self.zone).date().isoformat()
        told = self.told(booking, None, elsewhere, is_left=is_left)
        page, change = self.page_url, f"?change={booking.sequence}"
        return FeedEvent(
            uid=f"{self.uid_prefix}{booking.uid}",
            sequence=booking.sequence,
            starts_at=booking.during.starts_at,
            ends_at=booking.during.ends_at,
            changed_at=booking.changed_at,
            is_withdrawn=booking.is_withdrawn,
            title=_title(told, booking, area),
            place=_place(venue, pitch, area),
            lon=lon,
            lat=lat,
            lines=told.lines
            if told.state.is_off
            else (*told.lines, *self._lines(booking, venue, pitch, area)),
            url=None if page is None else f"{page}?date={day}",
            picture_url=None if page is None else f"{page}/map/{booking.number}.png{change}",
        )

    def told(
        self,
        booking: Booking,
        today: date | None = None,
        elsewhere: Booking | None = None,
        *,
        is_left: bool = False,
    ) -> Told:
        """Return a booking whose state can be put into words.

        Args:
            booking: As it stands, or as this calendar has to show it.
            today: The local date of whoever reads them; None where that may be any.
            elsewhere: As it stands now, of one that has left this calendar's ground; None else.
            is_left: Whether it goes on without whoever reads this calendar.
        """
        if not self._places:
            self._places.update(places_in_words(self.venues))
        spot = spot_of(booking, self._places)
        state = self.states.get(booking.number, AS_PLANNED)
        if elsewhere is not None:
            now = spot_of(elsewhere, self._places)
            return Told(state, now, booking.purpose, self.zone, today).seen_from(spot)
        if booking.is_withdrawn and not state.is_off:
            state = state.off_here(spot)
        return Told(state, spot, booking.purpose, self.zone, today, is_left=is_left)

    def _lines(self, booking: Booking, venue: Venue, pitch: Pitch, area: Area) -> tuple[str, ...]:
        where = (
            area.name
            if area.cut == "whole"
            else _("%(area)s of %(pitch)s", area=area.name, pitch=pitch.name)
        )
        lines = [
            f"{where}, {size_in_words(area.length_m, area.width_m)}.",
            _(
                "Ends of the pitch: %(start)s and %(far)s.",
                start=pitch.edges.start,
                far=pitch.edges.far,
            ),
            _(
                "Surface: %(surface)s. Bring footwear for it; the venue's rules come first.",
                surface=term(pitch.surface),
            ),
        ]
        day = booking.during.starts_at.astimezone(self.zone).date()
        light = light_in_words(pitch, venue, day, self.zone)
        dawn = light.usable_from
        if dawn is not None and begins_in_the_dark(pitch, venue, booking.during, self.zone):
            clock = self._clock(dawn)
            lines.append(
                _(
                    "No floodlights, and it is dark until %(clock)s: do not begin before.",
                    clock=clock,
                )
            )
        if ends_in_the_dark(pitch, venue, booking.during, self.zone):
            until = light.usable_until
            words = (
                _("dark all day")
                if until is None
                else _("dark from %(until)s", until=self._clock(until))
            )
            lines.append(
                _("No floodlights, and it is %(words)s: be off the ground by then.", words=words)
            )
        lines += self._way_in(pitch, area)
        lines += way_to(venue).lines
        neighbours = neighbours_of(pitch, booking, self.followers.get(booking.number, ()))
        lines += filter(None, [followers_in_words(neighbours, self.zone), booking.note])
        return tuple(lines)

    def _way_in(self, pitch: Pitch, area: Area) -> tuple[str, ...]:
        """Say the way from where people come in; nothing where nobody said where that is.

        Who is next door on the way is left out: it would change what calendars keep.
        """
        if pitch.entrance is None:
            return ()
        key = (pitch.key, area.key)
        if key not in self._ways:
            self._ways[key] = way_in_short(pitch, area)
        return (self._ways[key],)

    def _clock(self, instant: datetime) -> str:
        return clock_in_zone(instant, self.zone)


def _title(told: Told, booking: Booking, area: Area) -> str:
    """Name an event: the outcome before whose it is, since phones cut off the end."""
    purpose = term(booking.purpose.value)
    holder, part = isolated(booking.holder), isolated(area.name)
    if told.state.is_off:
        return f"{told.label}: {holder}, {purpose}"
    if told.label:
        return f"{told.label}: {holder}, {purpose}, {part}"
    return f"{holder}: {purpose}, {part}"


def _place(venue: Venue, pitch: Pitch, area: Area) -> str:
    """Say where to go: venue, pitch, part, address, and where the way in is."""
    part = "" if area.cut == "whole" else area.name
    names = dict.fromkeys(filter(None, (venue.name, pitch.name, part, venue.address)))
    return ", ".join((*names, *_way_in(pitch)))


def _way_in(pitch: Pitch) -> tuple[str, ...]:
    """Name the edge that the way in is at; nothing where nobody said."""
    edge = entrance_edge(pitch)
    return (_("way in: %(edge)s", edge=in_running_text(edge)),) if edge else ()


def ground_in_words(venues: Sequence[Venue], booking: Booking) -> str:
    """Name ground exactly: "Clubhouse third, Top pitch, Marsh Lane"."""
    venue, pitch = find_pitch(venues, booking.pitch_key)
    area = pitch.area(booking.area_key)
    names = (area.name if area.cut != "whole" else "", pitch.name, venue.name)
    return ", ".join(dict.fromkeys(name for name in names if name))
