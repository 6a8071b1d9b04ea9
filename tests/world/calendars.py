"""Calendars of people, which know only what they were sent.

Written by the words of RFC 5546 (iTIP), section 2.1.5, and RFC 5545, section 3.8.7.4, without a
look at how ours are made: an event replaces the one of its UID if its SEQUENCE is higher, or the
same with a later DTSTAMP; METHOD:CANCEL takes it away.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import icalendar

if TYPE_CHECKING:
    from datetime import datetime


@dataclass(frozen=True, slots=True)
class Entry:
    """What a calendar shows of one event.

    Attributes:
        uid: The event's.
        starts_at: UTC.
        ends_at: UTC.
        place: LOCATION.
        title: SUMMARY.
        is_on: Whether it takes place, as far as the calendar knows.
    """

    uid: str
    starts_at: datetime
    ends_at: datetime
    place: str
    title: str
    is_on: bool


@dataclass(slots=True)
class StubbornCalendar:
    """A calendar that believes nothing but the rule: only what is newer replaces."""

    entries: dict[str, Entry] = field(default_factory=dict)
    _newest: dict[str, tuple[int, datetime]] = field(default_factory=dict)

    def take(self, data: bytes | str) -> list[str]:
        """Take what was sent or fetched, and return the uids it spoke of."""
        calendar: Any = icalendar.Calendar.from_ical(data)
        is_cancelled = str(calendar.get("METHOD", "")) == "CANCEL"
        uids = []
        for event in calendar.walk("VEVENT"):
            uid = str(event["UID"])
            uids.append(uid)
            stamp = (int(event.get("SEQUENCE", 0)), event["DTSTAMP"].dt)
            if uid in self._newest and stamp <= self._newest[uid]:
                continue
            self._newest[uid] = stamp
            self.entries[uid] = Entry(
                uid,
                event["DTSTART"].dt,
                event["DTEND"].dt,
                str(event.get("LOCATION", "")),
                str(event.get("SUMMARY", "")),
                is_on=not is_cancelled and str(event.get("STATUS", "")) != "CANCELLED",
            )
        return uids
