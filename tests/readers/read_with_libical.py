"""Read calendars with libical: {name: text} on standard input, {name: [event]} on standard output.

Run by the system's Python, whose packages hold libical; imports nothing of the project.
"""

import json
import sys
from typing import Any

import gi  # type: ignore[import-not-found,import-untyped,unused-ignore]

gi.require_version("ICalGLib", "3.0")
from gi.repository import (  # type: ignore[import-not-found,import-untyped,unused-ignore]  # noqa: E402
    ICalGLib,
)


def read_events(text: str) -> list[dict[str, Any]]:
    """Return the events of a calendar, with times by the zones that the file describes."""
    calendar = ICalGLib.Component.new_from_string(text)
    events = []
    event = calendar.get_first_component(ICalGLib.ComponentKind.VEVENT_COMPONENT)
    while event is not None:
        status = ICalGLib.Property.status_to_string(event.get_status())
        events.append(
            {
                "uid": event.get_uid(),
                "starts_at_s": _seconds(event.get_dtstart()),
                "ends_at_s": _seconds(event.get_dtend()),
                "title": event.get_summary(),
                "place": event.get_location() or "",
                "description": event.get_description() or "",
                "status": status,
                "sequence": event.get_sequence(),
                "stamp_s": _seconds(event.get_dtstamp()),
            }
        )
        event = calendar.get_next_component(ICalGLib.ComponentKind.VEVENT_COMPONENT)
    return events


def _seconds(time: Any) -> int:
    zone = time.get_timezone()
    if zone is None:
        raise SystemExit("A time without a zone")
    if not time.is_utc() and zone.get_component() is None:
        raise SystemExit("A zone that the file does not describe")
    return int(time.as_timet_with_zone(zone))


if __name__ == "__main__":
    calendars = json.load(sys.stdin)
    json.dump({name: read_events(text) for name, text in calendars.items()}, sys.stdout)
