"""Our events stored on CalDAV servers we did not write, and found there by time."""

from __future__ import annotations

import dataclasses
import json
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.outputs.calendars.feed import FeedEvent, write_feed
from tests.outputs.calendars.test_feed import (
    HOSTILE,
    ZONES,
    change_nights,
    make_event,
    make_feed,
    night_events,
    season_events,
)
from tests.readers.caldav import Server, run_radicale, run_xandikos
from tests.readers.readers import Seen, read_with_vobject
from tests.readers.test_same_instants import expected

if TYPE_CHECKING:
    from collections.abc import Iterator

SECOND = timedelta(seconds=1)


@pytest.fixture(scope="module", params=["radicale", "xandikos"])
def server(
    request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Server]:
    """Give each server in turn, running with a folder of its own."""
    folder = tmp_path_factory.mktemp(request.param) / "files"
    folder.mkdir()
    run = {"radicale": run_radicale, "xandikos": run_xandikos}[request.param]
    yield from run(folder)


def write(event: FeedEvent, zone: str) -> bytes:
    """Write an event as an object of its own (RFC 4791, section 4.1: one uid in each)."""
    return write_feed(make_feed(event, zone=zone))


def seen(contents: list[bytes]) -> list[Seen]:
    """Return the events in some calendar objects, as vobject reads them."""
    read = read_with_vobject({str(n): content for n, content in enumerate(contents)})
    return sorted(event for events in read.values() for event in events)


def near_changes(zone: str) -> list[FeedEvent]:
    """Return the sessions within nine days of a clock change, and some of both nights."""
    week = timedelta(days=9)
    changes = change_nights(zone)
    sessions = [
        event
        for event in season_events(zone)
        if any(abs(event.starts_at.astimezone(UTC) - change) < week for change in changes)
    ]
    return sessions + night_events(zone)[4::9]


@pytest.mark.parametrize("zone", ZONES)
def test_a_server_finds_events_at_their_instants(server: Server, zone: str) -> None:
    """At an event's first and last second the server finds it, just before and after it does not.

    The server works the instants out of our zone descriptions or from its own time zone data.
    """
    calendar = server.make_calendar(zone.replace("/", "-"))
    events = near_changes(zone)
    for event in events:
        calendar.put(event.uid, write(event, zone))
    for event in events:
        for second in (
            event.starts_at.astimezone(UTC) - SECOND,
            event.starts_at.astimezone(UTC),
            event.ends_at.astimezone(UTC) - SECOND,
            event.ends_at.astimezone(UTC),
        ):
            found = {each.uid for each in seen(calendar.between(second, second + SECOND))}
            wanted = {e.uid for e in events if e.starts_at <= second < e.ends_at}
            assert found == wanted, (event.uid, second)


def test_a_season_comes_back_whole(server: Server) -> None:
    """A season put event by event is found by one query, each event as it was written."""
    calendar = server.make_calendar("season")
    events = season_events("Pacific/Chatham")
    for event in events:
        calendar.put(event.uid, write(event, "Pacific/Chatham"))
    found = calendar.between(datetime(2026, 1, 1, tzinfo=UTC), datetime(2028, 1, 1, tzinfo=UTC))
    assert seen(found) == sorted(expected(event) for event in events)


def test_an_update_and_a_withdrawal_replace_what_was_there(server: Server) -> None:
    """A moved session is found at its new time only; withdrawn, it stays there and says so."""
    calendar = server.make_calendar("changes")
    first = make_event()
    hour, day = timedelta(hours=1), timedelta(days=1)
    moved = dataclasses.replace(
        first,
        starts_at=first.starts_at + day,
        ends_at=first.ends_at + day,
        sequence=3,
        changed_at=first.changed_at + hour,
    )
    withdrawn = dataclasses.replace(
        moved, is_withdrawn=True, sequence=4, changed_at=moved.changed_at + hour
    )
    etag = ""
    for event in (first, moved, withdrawn):
        etag = calendar.put(first.uid, write(event, "Europe/London"), etag)
        assert seen(calendar.between(event.starts_at, event.ends_at)) == [expected(event)]
    assert calendar.between(first.starts_at, first.ends_at) == []
    assert seen([calendar.get(first.uid)]) == [expected(withdrawn)]


# Xandikos writes anew what it stores, and makes a line break of a backslash before a capital N.
CARRIED = [text for text in HOSTILE if "\\N" not in text]


@pytest.mark.parametrize("text", CARRIED, ids=lambda text: json.dumps(text[:12]))
def test_servers_keep_hostile_words(server: Server, text: str) -> None:
    """Whatever people type, the server takes the event and gives back one with the same words."""
    name = f"words-{HOSTILE.index(text)}"
    calendar = server.make_calendar(name)
    event = make_event(title=text, place=text, lines=(text,))
    content = write(event, "Europe/London")
    calendar.put(event.uid, content)
    assert seen([calendar.get(event.uid)]) == seen([content])
