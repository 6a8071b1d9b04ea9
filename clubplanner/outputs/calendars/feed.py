"""The calendar feed of a squad or a coach: bookings in, an iCalendar file out.

The bytes are a pure function of the feed: no clock, and no order of the events but their times.
Every booking is its own dated event, never a recurrence. Half-open like all ranges here: an event
ends at the moment the next may start.

What comes from people (names, places, notes) is made safe to carry: one name is one line, control
characters go, and very long texts end in "…" at the limits below.
"""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime

import icalendar

from clubplanner.language import _
from clubplanner.outputs.calendars.timezones import DATA_RELEASE, build_timezone, wall_time
from clubplanner.outputs.plain_text import LINE_BREAK, one_line

PRODUCT_ID = "-//clubplanner//Calendar feed//EN"
LAYOUT = 4
"""Number of this way of writing feeds; raise it when the bytes change, so that digests do too."""
NAME_LIMIT = 100
"""Characters of a feed's name."""
TITLE_LIMIT = 200
"""Characters of an event's title."""
PLACE_LIMIT = 200
"""Characters of a place."""
LINE_LIMIT = 1000
"""Characters of one line of a description."""
LINES_LIMIT = 60
"""Lines of a description, not counting those the feed adds itself."""
URL_LIMIT = 2000
"""Characters of an address (common practice, no source)."""

_URL = re.compile(r"https?://[!-~]+")
_UID = re.compile(r"[!-~]{1,255}")
_COLOUR = re.compile(r"[a-z]{3,20}")
# A parameter value cannot hold a double quote, and readers differ on the other two (RFC 6868).
_PLACE_SWAPS = str.maketrans({'"': "'", "^": "ˆ", "\\": "/"})


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedEvent:
    """One booking as a calendar shows it.

    Attributes:
        uid: Never changes and is never used again; printable ASCII without blanks.
        sequence: Rises with every change the squad would notice; 0 or more.
        starts_at: Aware; parts of a second are dropped.
        ends_at: Aware, after `starts_at`; the event does not include it.
        changed_at: When any of this last changed; aware.
        is_withdrawn: The booking no longer holds its ground.
        title: One line; of one that is withdrawn it says so.
        place: One line; empty where there is none.
        lon: Longitude of the area, degrees, WGS 84; None if not known.
        lat: Latitude of the area, degrees, WGS 84; None if not known.
        lines: Description, line by line; a line that holds line breaks becomes several.
        url: Page about the booking, http or https, percent-encoded, which may be secret; None for
            none.
        picture_url: Address of a PNG of the area, likewise; None if there is none.
    """

    uid: str
    sequence: int
    starts_at: datetime
    ends_at: datetime
    changed_at: datetime
    is_withdrawn: bool
    title: str
    place: str
    lon: float | None = None
    lat: float | None = None
    lines: tuple[str, ...] = ()
    url: str | None = field(repr=False)
    picture_url: str | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        if not _UID.fullmatch(self.uid):
            raise ValueError("Give the event a uid of 1 to 255 printable ASCII characters.")
        if self.sequence < 0:
            raise ValueError(f"Event {self.uid}: count the sequence from 0.")
        if any(time.tzinfo is None for time in (self.starts_at, self.ends_at, self.changed_at)):
            raise ValueError(f"Event {self.uid}: give its times with a zone, such as UTC.")
        if _whole_second(self.ends_at) <= _whole_second(self.starts_at):
            raise ValueError(f"Event {self.uid}: let it end after it starts.")
        _check_position(self.uid, self.lon, self.lat)
        for url in (self.url, self.picture_url):
            if url is not None:
                _check_url(f"Event {self.uid}", url)


@dataclass(frozen=True, slots=True)
class Feed:
    """A calendar that programs fetch again and again.

    Attributes:
        name: What the calendar is called; one line.
        zone: IANA name of the venue's time zone, such as "Europe/London".
        source_url: The feed's own address, http or https; None leaves it out. It is secret.
        events: In any order; no two with the same uid. Empty is allowed.
        refresh_hours: How often a program is asked to look for changes, 1 to 168. Programs take
            it as a hint at best.
        colour: Name of a CSS colour, such as "seagreen" (RFC 7986, section 5.9); None for none.
        description: What to know about the whole calendar (RFC 7986, section 5.2); blank for none.
        reminder_minutes: How long before each booking that stands a reminder shows, 0 to 10,080;
            None for no reminder.
    """

    name: str
    zone: str
    source_url: str | None = field(repr=False)
    events: tuple[FeedEvent, ...]
    refresh_hours: int = 4
    colour: str | None = None
    reminder_minutes: int | None = None
    description: str = ""

    def __post_init__(self) -> None:
        if not 1 <= self.refresh_hours <= 168:
            raise ValueError("Ask for a refresh every 1 to 168 hours.")
        if self.colour is not None and not _COLOUR.fullmatch(self.colour):
            raise ValueError("Give the colour as a CSS name, such as 'seagreen'.")
        if self.reminder_minutes is not None and not 0 <= self.reminder_minutes <= 10_080:
            raise ValueError("Remind 0 to 10,080 minutes before, a week at most.")
        if self.source_url is not None:
            _check_url("Feed", self.source_url)
        uids = [event.uid for event in self.events]
        if len(set(uids)) < len(uids):
            raise ValueError("Give every event in a feed a uid of its own.")


def write_feed(feed: Feed) -> bytes:
    """Write a feed as an iCalendar file (RFC 5545, with RFC 7986).

    Times are wall-clock times in the feed's zone, with the zone's description in the file; those
    that a description cannot give without doubt are written in UTC. There is no METHOD: a feed is
    published by being there, and only mail carries one (RFC 6047).

    Args:
        feed: What to write.

    Returns:
        UTF-8 with CRLF line ends, no line longer than 75 octets; the same bytes for the same feed.

    Raises:
        ValueError: There is no time zone of that name.
    """
    calendar = icalendar.Calendar()
    name = one_line(feed.name, NAME_LIMIT) or _("Calendar")
    refresh = {"VALUE": "DURATION"}
    every = _Raw(f"PT{feed.refresh_hours}H")
    calendar.add("VERSION", _Raw("2.0"))
    calendar.add("PRODID", _text(PRODUCT_ID))
    calendar.add("CALSCALE", _Raw("GREGORIAN"))
    calendar.add("NAME", _text(name))
    calendar.add("X-WR-CALNAME", _text(name))
    about = one_line(feed.description, LINE_LIMIT)
    if about:
        calendar.add("DESCRIPTION", _text(about))
        calendar.add("X-WR-CALDESC", _text(about))
    calendar.add("REFRESH-INTERVAL", _Raw(every), refresh)
    calendar.add("X-PUBLISHED-TTL", _Raw(every))
    if feed.source_url is not None:
        calendar.add("SOURCE", _Raw(feed.source_url), {"VALUE": "URI"})
    if feed.colour is not None:
        calendar.add("COLOR", _Raw(feed.colour))
    timezone = build_timezone(feed.zone)
    if timezone is None and not feed.events:
        # A calendar needs at least one component (RFC 5545, section 3.6).
        timezone = build_timezone("Etc/UTC")
    if timezone is not None:
        calendar.add_component(timezone)
    for event in sorted(feed.events, key=lambda event: (event.starts_at, event.uid)):
        component = _build_event(event, feed.zone)
        if feed.reminder_minutes is not None and not event.is_withdrawn:
            component.add_component(_build_reminder(event, feed.reminder_minutes))
        calendar.add_component(component)
    content: bytes = calendar.to_ical(sorted=False)
    return content


def feed_digest(feed: Feed) -> str:
    """Return a value that changes whenever the bytes of a feed would.

    It is a hash of what goes in, not of the bytes, so that an unchanged feed need not be written.

    Args:
        feed: What would be written.

    Returns:
        64 hexadecimal digits, without the quotes that an ETag has round it.
    """
    events = sorted(feed.events, key=lambda event: (event.starts_at, event.uid))
    went_in: dict[str, object] = {
        "versions": [LAYOUT, icalendar.__version__, DATA_RELEASE],
        "feed": [feed.name, feed.zone, feed.source_url, feed.refresh_hours, feed.colour],
        "reminder": feed.reminder_minutes,
        "events": [asdict(event) for event in events],
    }
    if feed.description:
        went_in["description"] = feed.description
    # ASCII escapes keep even half a surrogate pair, which UTF-8 cannot.
    packed = json.dumps(went_in, default=_json_time, sort_keys=True, ensure_ascii=True)
    return hashlib.sha256(packed.encode("ascii")).hexdigest()


class _Raw(icalendar.vText):
    """A value whose text is already as the file needs it."""

    def to_ical(self) -> bytes:
        """Return the text as it stands, in UTF-8."""
        return str(self).encode()


def _text(text: str) -> _Raw:
    """Escape a TEXT value (RFC 5545, section 3.3.11).

    Done here because icalendar 7 takes a backslash before a capital N for a line break.
    """
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        text = text.replace(plain, escaped)
    return _Raw(text)


def _build_event(event: FeedEvent, zone: str) -> icalendar.Event:
    component = icalendar.Event()
    changed_at = _Raw(_utc_text(event.changed_at))
    component.add("UID", _text(event.uid))
    component.add("SEQUENCE", _Raw(str(event.sequence)))
    component.add("DTSTAMP", changed_at)
    component.add("LAST-MODIFIED", _Raw(changed_at))
    _add_times(component, event, zone)
    title = one_line(event.title, TITLE_LIMIT) or _("Booking")
    component.add("SUMMARY", _text(title))
    component.add("STATUS", _Raw("CANCELLED" if event.is_withdrawn else "CONFIRMED"))
    component.add("TRANSP", _Raw("TRANSPARENT" if event.is_withdrawn else "OPAQUE"))
    _add_place(component, event)
    component.add("DESCRIPTION", _text(_description(event)))
    if event.url is not None:
        component.add("URL", _Raw(event.url))
    if event.picture_url is not None:
        png = {"FMTTYPE": "image/png"}
        component.add("ATTACH", _Raw(event.picture_url), png)
        shown = {"VALUE": "URI", "DISPLAY": "GRAPHIC", **png}
        component.add("IMAGE", _Raw(event.picture_url), shown)
    return component


def _build_reminder(event: FeedEvent, minutes: int) -> icalendar.Alarm:
    """Build a reminder that only shows (RFC 5545, section 3.6.6)."""
    reminder = icalendar.Alarm()
    reminder.add("ACTION", _Raw("DISPLAY"))
    reminder.add("TRIGGER", _Raw(f"-PT{minutes}M"))
    reminder.add("DESCRIPTION", _text(one_line(event.title, TITLE_LIMIT) or _("Booking")))
    return reminder


def _add_times(component: icalendar.Event, event: FeedEvent, zone: str) -> None:
    """Add both ends in the same form: wall-clock time if both are free of doubt, else UTC."""
    instants = (_whole_second(event.starts_at), _whole_second(event.ends_at))
    walls = [wall_time(zone, instant) for instant in instants]
    for name, instant, wall in zip(("DTSTART", "DTEND"), instants, walls, strict=True):
        if wall is None or None in walls:
            component.add(name, _Raw(_utc_text(instant)))
        else:
            component.add(name, _Raw(_basic(wall)), {"TZID": zone})


def _add_place(component: icalendar.Event, event: FeedEvent) -> None:
    """Add where it is; a map shows only if LOCATION and X-TITLE are the same to the letter."""
    place = one_line(event.place.translate(_PLACE_SWAPS), PLACE_LIMIT)
    if place:
        component.add("LOCATION", _text(place))
    if event.lon is None or event.lat is None:
        return
    lat, lon = _degrees(event.lat), _degrees(event.lon)
    component.add("GEO", _Raw(f"{lat};{lon}"))
    if place:
        titled = {"VALUE": "URI", "X-TITLE": place}
        component.add("X-APPLE-STRUCTURED-LOCATION", _Raw(f"geo:{lat},{lon}"), titled)


def _description(event: FeedEvent) -> str:
    """Return the description; the page's address is its last line, for programs without URL."""
    given = [part for line in event.lines for part in LINE_BREAK.split(line)]
    lines = [one_line(line, LINE_LIMIT) for line in given[:LINES_LIMIT]]
    if len(given) > LINES_LIMIT:
        lines.append("…")
    if event.url is not None and not any(event.url in line for line in lines):
        lines.append(event.url)
    return "\n".join(lines)


def _whole_second(time: datetime) -> datetime:
    return time.astimezone(UTC).replace(microsecond=0)


def _utc_text(time: datetime) -> str:
    return _basic(_whole_second(time)) + "Z"


def _basic(time: datetime) -> str:
    return f"{time.year:04}{time:%m%dT%H%M%S}"


def _degrees(value: float) -> str:
    """Write degrees with six decimals, which is within a metre (RFC 5545, section 3.8.1.6)."""
    return f"{round(value, 6) + 0.0:.6f}"


def _json_time(time: datetime) -> str:
    return time.astimezone(UTC).isoformat()


def _check_position(uid: str, lon: float | None, lat: float | None) -> None:
    if (lon is None) != (lat is None):
        raise ValueError(f"Event {uid}: give both longitude and latitude, or neither.")
    if lon is not None and lat is not None and not (-180 <= lon <= 180 and -90 <= lat <= 90):
        raise ValueError(f"Event {uid}: give longitude within ±180° and latitude within ±90°.")


def _check_url(whose: str, url: str) -> None:
    """Refuse what is no web address, without repeating it: an address may be secret."""
    if len(url) > URL_LIMIT or not _URL.fullmatch(url):
        raise ValueError(
            f"{whose}: give an address that starts with http:// or https://, is percent-encoded "
            f"and has at most {URL_LIMIT} characters."
        )
