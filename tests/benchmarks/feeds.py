"""How long feeds take, as multiples of what nobody could do without.

Run with `python -m tests.benchmarks.feeds`. Beside each figure stands its reference: the
`icalendar` library alone building and serialising the same events, and an empty page of the same
app. The club is the invented one of the tests; squads and bookings are added to it.
"""

from __future__ import annotations

import statistics
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import icalendar
from sqlalchemy import insert, select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.calendars.feeds import build_feed
from clubplanner.store.engine import open_store
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from clubplanner.webapp.base.security import for_anybody
from tests.builders import LONDON, NOW
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.outputs.calendars.feed import Feed
    from clubplanner.store.engine import Store

ADDRESS = "https://pitches.example"
SIZES = ((2, 80), (10, 80), (50, 80), (50, 400))
"""Squads in the club, bookings of each."""
ROUNDS = 25


def milliseconds(work: Callable[[], object], rounds: int = ROUNDS) -> float:
    """Return the median time of some work."""
    times = []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        times.append((time.perf_counter() - start) * 1000)
    return statistics.median(times)


def fill(store: Store, squads: int, each: int) -> None:
    """Add squads, and bookings that never overlap: half an hour each, one after the other."""
    with store.write() as session:
        first = session.scalars(select(SquadRow)).first()
        area = session.scalars(select(AreaRow).where(AreaRow.cut == "whole")).first()
        if first is None or area is None:
            raise RuntimeError("The small club has squads and ground.")
        known = len(session.scalars(select(SquadRow)).all())
        for number in range(known, squads):
            session.add(
                SquadRow(
                    key=f"squad-{number}",
                    position=number,
                    name=f"Squad {number}",
                    age_group="U12",
                    players=14,
                    goalkeepers=1,
                )
            )
        session.flush()
        ids = list(session.scalars(select(SquadRow.id).order_by(SquadRow.id)))
        rows = []
        for slot in range(len(ids) * each):
            start = NOW + timedelta(minutes=30 * slot)
            rows.append(
                {
                    "uid": f"booking-{slot}@clubplanner",
                    "pitch_id": area.pitch_id,
                    "area_id": area.id,
                    "cells": area.cells,
                    "starts_at": start,
                    "ends_at": start + timedelta(minutes=30),
                    "purpose": Purpose.TRAINING,
                    "squad_id": ids[slot % len(ids)],
                    "holder": f"Squad {slot % len(ids)}",
                    "note": "",
                    "is_withdrawn": False,
                    "is_fixed": True,
                    "sequence": 0,
                    "created_at": NOW,
                    "changed_at": NOW,
                }
            )
        session.connection().execute(insert(BookingRow.__table__), rows)  # type: ignore[arg-type]


def by_the_library(feed: Feed) -> bytes:
    """Write the same events with the library's own types and nothing of ours."""
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//reference//EN")
    calendar.add("version", "2.0")
    for event in feed.events:
        component = icalendar.Event()
        component.add("uid", event.uid)
        component.add("sequence", event.sequence)
        component.add("dtstamp", event.changed_at.astimezone(UTC))
        component.add("last-modified", event.changed_at.astimezone(UTC))
        component.add("dtstart", event.starts_at.astimezone(LONDON))
        component.add("dtend", event.ends_at.astimezone(LONDON))
        component.add("summary", event.title)
        component.add("status", "CONFIRMED")
        component.add("location", event.place)
        component.add("geo", (event.lat, event.lon))
        component.add("description", "\n".join(event.lines))
        component.add("url", event.url)
        component.add("attach", event.picture_url)
        calendar.add_component(component)
    return bytes(calendar.to_ical())


def measure(squads: int, each: int) -> None:
    """Measure one size and print a line."""
    with tempfile.TemporaryDirectory() as folder:
        store = open_store(f"sqlite:///{Path(folder) / 'club.sqlite'}")
        migrate(store)
        load_small_club(store)
        fill(store, squads, each)
        secret = create_squad_link(store, "u12-kestrels", "the benchmark", NOW)
        app = create_app(store, Config("", ADDRESS), lambda: datetime(2026, 11, 16, tzinfo=UTC))
        app.add_url_rule("/empty", "empty", for_anybody(lambda: ""))
        client: Any = app.test_client()
        path = f"/ground/{secret}/sessions.ics"
        etag = client.get(path).headers["ETag"]
        file = build_feed(store, secret, ADDRESS, NOW)
        written = milliseconds(lambda: file.data)
        library = milliseconds(lambda: by_the_library(file.feed))
        whole = milliseconds(lambda: client.get(path))
        unchanged = milliseconds(lambda: client.get(path, headers={"If-None-Match": etag}))
        empty = milliseconds(lambda: client.get("/empty"))
        store.close()
    print(
        f"{squads:3} × {each:3}  "
        f"written {written:6.1f} ms, library {library:6.1f} ms, ratio {written / library:4.2f}; "
        f"fetched {whole:6.1f} ms ({whole / library:4.2f}); "
        f"unchanged {unchanged:5.1f} ms, empty {empty:4.1f} ms, ratio {unchanged / empty:5.2f}",
        flush=True,
    )


def main() -> None:
    """Measure all sizes."""
    print("squads × bookings each; one squad's feed")
    for squads, each in SIZES:
        measure(squads, each)


if __name__ == "__main__":
    main()
