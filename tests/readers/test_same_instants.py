"""Five readers see the same events at the same instants, whatever the zone and the season."""

from __future__ import annotations

import dataclasses
import re
from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from clubplanner.outputs.calendars.feed import FeedEvent, write_feed
from tests.outputs.calendars.test_feed import (
    HOSTILE,
    SEASON,
    ZONES,
    change_nights,
    make_event,
    make_feed,
    night_events,
    season_events,
)
from tests.readers.readers import Seen

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    import pytest

    from tests.readers.readers import Reading


def expected(event: FeedEvent) -> Seen:
    """Return what a reader must show of an event whose words are plain."""
    return Seen(
        uid=event.uid,
        starts_at_s=int(event.starts_at.timestamp()),
        ends_at_s=int(event.ends_at.timestamp()),
        title=event.title,
        place=event.place,
        description="\n".join([*event.lines, event.url or ""]),
        status="CANCELLED" if event.is_withdrawn else "CONFIRMED",
        sequence=event.sequence,
        stamp_s=int(event.changed_at.timestamp()),
    )


def with_changes(events: list[FeedEvent]) -> list[FeedEvent]:
    """Return a season in which every third session moved by 45 minutes and every fifth is off."""
    later = timedelta(minutes=45)
    changed = []
    for number, event in enumerate(events):
        stamp = event.changed_at + timedelta(hours=number)
        if number % 3 == 0:
            event = dataclasses.replace(
                event,
                starts_at=(event.starts_at.astimezone(UTC) + later),
                ends_at=(event.ends_at.astimezone(UTC) + later),
                sequence=event.sequence + 1,
                changed_at=stamp,
            )
        if number % 5 == 0:
            event = dataclasses.replace(
                event, is_withdrawn=True, sequence=event.sequence + 1, changed_at=stamp
            )
        changed.append(event)
    return changed


def feeds() -> dict[str, list[FeedEvent]]:
    """Return events for each zone: a season with changes, and both nights of the clock changes."""
    return {zone: with_changes(season_events(zone)) + night_events(zone) for zone in ZONES}


def test_the_seasons_are_worth_reading() -> None:
    """The season spans both clock changes of each zone, with moves and withdrawals on either side.

    Pacific/Chatham's offsets have 45 minutes; Sydney's summer lies across the new year.
    """
    for zone, events in feeds().items():
        for change in change_nights(zone):
            assert SEASON[0] < change.date() < SEASON[1]
            sides = [event for event in events if event.is_withdrawn]
            assert {event.starts_at > change for event in sides} == {True, False}
        assert {event.sequence for event in events} == {2, 3, 4}


def test_every_reader_sees_the_same(read: Callable[[Mapping[str, bytes]], Reading]) -> None:
    """Every reader shows every event of five zones at its instants, with words and state."""
    wanted = feeds()
    read_in = read(
        {zone: write_feed(make_feed(*events, zone=zone)) for zone, events in wanted.items()}
    )
    for zone, events in wanted.items():
        assert read_in[zone] == sorted(expected(event) for event in events), zone


def test_a_zone_in_utc_is_read_alike(read: Callable[[Mapping[str, bytes]], Reading]) -> None:
    """Where times go out in UTC for want of a yearly rule, every reader sees the instants."""
    events = season_events("Africa/Cairo")
    content = write_feed(make_feed(*events, zone="Africa/Cairo"))
    assert b"VTIMEZONE" not in content
    assert read({"Cairo": content})["Cairo"] == sorted(expected(event) for event in events)


def test_hostile_words_stay_words(
    read: Callable[[Mapping[str, bytes]], Reading], request: pytest.FixtureRequest
) -> None:
    """Line breaks, separators, emoji, right-to-left and endless names make one event each."""
    events = {
        f"{number}": make_event(title=f"T{text}", place=text, lines=(f"L{text}",))
        for number, text in enumerate(HOSTILE)
        # node-ical takes a backslash before an n for a line break, escaped or not.
        if not ("\\n" in text and "[node-ical]" in request.node.name)
    }
    read_in = read({name: write_feed(make_feed(event)) for name, event in events.items()})
    for name, event in events.items():
        (seen,) = read_in[name]
        assert seen.title.startswith("T")
        assert seen.description.startswith("L")
        assert seen.description.endswith(f"\n{event.url}")
        assert not re.search("[\x00-\x1f]", seen.title + seen.place)
        assert seen.starts_at_s == int(event.starts_at.timestamp())


def test_words_come_back_to_the_letter(read: Callable[[Mapping[str, bytes]], Reading]) -> None:
    """Separators, accents, emoji and letters of other scripts come back as they were typed."""
    title = "U12 Kestrels; Ålesund, “north” 🏑 نادي"
    event = make_event(title=title, place="Meadow Lane, pitch 1; gate B", lines=("a; b, c", "ü€𝄞"))
    ((seen,),) = read({"words": write_feed(make_feed(event))}).values()
    assert seen == expected(event)


def test_folds_fall_anywhere(read: Callable[[Mapping[str, bytes]], Reading]) -> None:
    """Wherever a fold falls, also beside characters of two to four octets, words stay whole."""
    events = [
        make_event(uid=f"{shift}@club.example", title="x" * shift + "é€🏑 " * 28 + "end")
        for shift in range(80)
    ]
    ((*seen,),) = read({"folds": write_feed(make_feed(*events))}).values()
    assert seen == sorted(expected(event) for event in events)


FOLDED = b"DESCRIPTION:This is a lo\r\n ng description\r\n  that exists on a long line.\r\n"
"""Source: RFC 5545, section 3.1, its example of a folded line."""
UNFOLDED = b"DESCRIPTION:This is a long description that exists on a long line.\r\n"
"""Source: RFC 5545, section 3.1, the same line unfolded."""


def test_the_standards_folded_line_is_read(
    read: Callable[[Mapping[str, bytes]], Reading],
) -> None:
    """Every reader unfolds the standard's example as the standard says: what they agree on holds.

    Source: RFC 5545, section 3.1.
    """
    content = write_feed(make_feed(make_event(lines=("MARK",))))
    start = content.index(b"DESCRIPTION:MARK")
    end = content.index(b"\r\n", start) + 2
    seen = read(
        {
            "folded": content[:start] + FOLDED + content[end:],
            "unfolded": content[:start] + UNFOLDED + content[end:],
        }
    )
    assert seen["folded"] == seen["unfolded"]
    (event,) = seen["folded"]
    assert event.description == "This is a long description that exists on a long line."


def test_a_wrong_instant_would_show(read: Callable[[Mapping[str, bytes]], Reading]) -> None:
    """A season moved by one minute in the file is read as moved: the readers do look."""
    events = season_events("Pacific/Chatham")
    content = write_feed(make_feed(*events, zone="Pacific/Chatham"))
    moved = datetime(2026, 2, 3, 18, 30, tzinfo=UTC).strftime("%Y%m%dT%H%M%S").encode()
    assert content.count(moved) == 1
    ((*seen,),) = read({"moved": content.replace(moved, moved[:-4] + b"3100")}).values()
    wanted = sorted(expected(event) for event in events)
    differing = [(a, b) for a, b in zip(seen, wanted, strict=True) if a != b]
    assert [a.starts_at_s - b.starts_at_s for a, b in differing] == [60]
