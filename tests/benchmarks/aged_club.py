"""A club with ten seasons behind it, made in a minute and kept: rows go in past the services."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, date, datetime, time, timedelta
from functools import partial
from typing import TYPE_CHECKING, Any

from sqlalchemy import func, insert, select

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.store.engine import open_store
from clubplanner.store.guard import stand_up_guards, take_down_guards
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.notice_tables import MailRow, NoticeRow
from clubplanner.store.tables.season_tables import (
    ChangedBookingRow,
    ChangeRow,
    ClosureDayRow,
    ClosureRow,
    FixtureRow,
    SwapOfferRow,
    WaitingAskRow,
)
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.upkeep.migrate import migrate
from clubplanner.webapp import create_app
from tests.benchmarks.planned import propose_as_booked
from tests.builders import NOW
from tests.large_club import SEASON_STARTS, LargeClub, make_large_club

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping
    from pathlib import Path

    from sqlalchemy import Connection

    from clubplanner.store.engine import Store

STARTS = (time(14), time(15, 30), time(17), time(18, 15), time(19, 30))
"""Starts of what is booked on each day of each past week, on every third of a pitch, in UTC."""
LASTS = timedelta(minutes=75)
Values = dict[str, Any]


def open_aged_club(
    folder: Path,
    squads: int,
    pitches: int,
    weeks: int,
    past: int,
    *,
    venues: int = 1,
    grass_every: int = 2,
    past_weeks: int = 0,
    is_searched: bool = True,
) -> tuple[Store, LargeClub]:
    """Return a club with its present and a past; made once in a folder and kept there.

    Args:
        folder: Where databases are kept.
        squads: How many.
        pitches: How many; every second is of grass.
        weeks: How many weeks of the present season are booked, two sessions a squad.
        past: How many bookings lie before the present season.
        venues: Over how many venues the pitches are spread.
        grass_every: Every how many-th pitch is of grass.
        is_searched: Whether the proposal is searched for, which takes 8 GB at a council's size.
        past_weeks: Over how many weeks the past is spread; 0 for as few as it has room in.
    """
    spread = f"-{past_weeks}" if past_weeks else ""
    file = folder / f"{squads}-{pitches}-{venues}-{weeks}-{past}{spread}.sqlite"
    notes = file.with_suffix(".json")
    if not notes.exists():
        file.unlink(missing_ok=True)
        store = open_store(f"sqlite:///{file}")
        migrate(store)
        club = make_large_club(
            store,
            squads,
            pitches,
            weeks,
            venues=venues,
            grass_every=grass_every,
            past=partial(_add_past, bookings=past, weeks=past_weeks) if past else None,
            propose=None if is_searched else propose_as_booked,
            squads_a_coach=0 if is_searched else 2,
        )
        if past:
            _add_share_outs(store)
        store.close()
        notes.write_text(json.dumps({"values": club.values, "secrets": club.secrets}))
    return serve(file, json.loads(notes.read_text()))


def serve(file: Path, noted: Mapping[str, Any]) -> tuple[Store, LargeClub]:
    """Open a club that was made before."""
    store = open_store(f"sqlite:///{file}")
    migrate(store)
    app = create_app(store, Config("", "http://127.0.0.1:8000"), lambda: NOW)
    return store, LargeClub(app, noted["values"], noted["secrets"])


def copy_of(store: Store, club: LargeClub, file: Path) -> tuple[Store, LargeClub]:
    """Return a copy of a club that may be changed."""
    store.close()
    shutil.copyfile(str(store.engine.url.database), file)
    return serve(file, {"values": club.values, "secrets": club.secrets})


def _add_past(store: Store, bookings: int, weeks: int) -> None:
    """Add whole weeks before the present season: bookings, journal, closures, matches, mails."""
    with store.rebuild() as connection:
        take_down_guards(connection)
        places = connection.execute(
            select(AreaRow.id, AreaRow.pitch_id, AreaRow.cells).where(AreaRow.cut == "thirds")
        ).all()
        squads = connection.execute(select(SquadRow.id, SquadRow.name)).all()
        number = connection.scalar(select(func.max(BookingRow.id))) or 0
        change = connection.scalar(select(func.max(ChangeRow.id))) or 0
        entry = connection.scalar(select(func.max(ChangedBookingRow.id))) or 0
        full = len(places) * len(STARTS) * 7
        weeks = weeks or bookings // full
        every = max(1, full * weeks // bookings)
        for week in range(weeks, 0, -1):
            monday = SEASON_STARTS - timedelta(weeks=week)
            change += 1
            made = list(_week_of_bookings(monday, number + 1, places, squads, every))
            _insert(connection, ChangeRow, [_change(change, monday)])
            _insert(connection, BookingRow, made)
            _insert(
                connection, ChangedBookingRow, [_entry(entry + n, change, row)
                                                for n, row in enumerate(made, 1)]
            )  # fmt: skip
            _add_happenings(connection, monday, made, entry)
            number += len(made) + 1  # and the closure
            entry += len(made)
        stand_up_guards(connection)


def _insert(connection: Connection, row: type[Any], values: list[Values]) -> None:
    connection.execute(insert(row.__table__), values)


def _week_of_bookings(
    monday: date, first: int, places: Any, squads: Any, every: int
) -> Iterator[Values]:
    """Yield a week in which every how many-th third of a pitch is used from two o'clock on."""
    number = first
    place = first % every
    for day in range(7):
        for at in STARTS:
            starts_at = datetime.combine(monday + timedelta(days=day), at, UTC)
            for area, pitch, cells in places[place::every]:
                squad, name = squads[(number * 7) % len(squads)]
                is_match = day > 4 and number % 4 == 0
                yield {
                    "id": number,
                    "uid": f"past-{number}@large.example",
                    "pitch_id": pitch,
                    "area_id": area,
                    "cells": cells,
                    "starts_at": starts_at,
                    "ends_at": starts_at + LASTS,
                    "purpose": Purpose.MATCH if is_match else Purpose.TRAINING,
                    "squad_id": squad,
                    "holder": name,
                    "note": "",
                    "is_withdrawn": number % 19 == 0,
                    "is_fixed": is_match,
                    "share_out_id": None,
                    "sequence": number % 3,
                    "created_at": starts_at - timedelta(days=30),
                    "changed_at": starts_at - timedelta(days=3),
                }
                number += 1
            place = (place + 1) % every


def _change(number: int, monday: date) -> Values:
    at = datetime.combine(monday - timedelta(days=30), time(12), UTC)
    return {"id": number, "at": at, "by": "Kim Ashby", "words": "published a share-out"}


def _entry(number: int, change: int, row: Values) -> Values:
    noted = ("pitch_id", "area_id", "squad_id", "holder", "note", "is_withdrawn", "is_fixed")
    after = {name: row[name] for name in noted} | {
        "starts_at": int(row["starts_at"].timestamp()),
        "ends_at": int(row["ends_at"].timestamp()),
        "purpose": row["purpose"].value,
        "overruled": "",
        "why": [],
    }
    return {"id": number, "change_id": change, "booking_id": row["id"], "before": None,
            "after": after, "area_id": None}  # fmt: skip


def _add_happenings(connection: Connection, monday: date, made: list[Values], entry: int) -> None:
    """Add what a week leaves beside its bookings."""
    some = made[::50]
    _insert(
        connection,
        FixtureRow,
        [
            {
                "squad_id": row["squad_id"],
                "day": row["starts_at"].date(),
                "kick_off_from": 840,
                "kick_off_to": 960,
                "opponent": "Brook End",
                "format_code": "",
                "minutes": 60,
                "warm_up_minutes": 0,
                "after_minutes": 0,
                "pitch_name": "",
                "officials": "",
                "opponents": "",
                "note": "",
                "booking_id": row["id"],
                "withdrawn_at": None,
            }
            for row in made
            if row["purpose"] is Purpose.MATCH
        ][::5],
    )
    _insert(
        connection,
        WaitingAskRow,
        [
            {
                "squad_id": row["squad_id"],
                "day": row["starts_at"].date(),
                "from_min": 1020,
                "to_min": 1230,
                "minutes": 75,
                "least_share": 0.3,
                "wants_more": False,
                "booking_id": row["id"],
                "by": "Jo Ashby",
                "note": "",
                "asked_at": row["changed_at"],
                "state": "granted",
                "answer": "",
            }
            for row in some
        ],
    )
    _insert(
        connection,
        SwapOfferRow,
        [
            {
                "own_id": one["id"],
                "other_id": other["id"],
                "own_sequence": 0,
                "other_sequence": 0,
                "by": "Jo Ashby",
                "note": "",
                "offered_at": one["changed_at"],
                "state": "accepted",
            }
            for one, other in zip(some[::2], some[1::2], strict=False)
        ],
    )
    _insert(
        connection,
        NoticeRow,
        [
            {
                "entry_id": entry + 1 + n * 50,
                "squad_id": row["squad_id"],
                "sequence": 1,
                "changed_at": row["changed_at"],
                "is_wanted": True,
                "told_at": row["changed_at"],
            }
            for n, row in enumerate(some)
        ],
    )
    _insert(connection, MailRow, [_mail(row) for row in some])
    _add_closure(connection, monday, made[-1])


def _mail(row: Values) -> Values:
    return {
        "message_id": f"<{row['uid']}>",
        "squad_id": row["squad_id"],
        "address": "jo@example.org",
        "name": "Jo Ashby",
        "changes": [],
        "made_at": row["changed_at"],
        "next_try_at": row["changed_at"],
        "attempts": 1,
        "state": "sent",
        "ended_at": row["changed_at"],
        "words": "",
    }


def _add_closure(connection: Connection, monday: date, row: Values) -> None:
    """Add a day on which a part was closed in the week."""
    starts_at = datetime.combine(monday, time(6), UTC)
    closed = row | {
        "id": None,
        "uid": f"closed-{monday}@large.example",
        "starts_at": starts_at,
        "ends_at": starts_at + timedelta(hours=4),
        "purpose": Purpose.CLOSED,
        "squad_id": None,
        "holder": "waterlogged",
    }
    del closed["id"]
    booking = connection.execute(insert(BookingRow).returning(BookingRow.id), [closed]).scalar_one()
    closure = connection.execute(
        insert(ClosureRow).returning(ClosureRow.id),
        [
            {
                "area_id": row["area_id"],
                "starts_at": starts_at,
                "ends_at": starts_at + timedelta(hours=4),
                "condition": "closed",
                "words": "",
                "reason": "waterlogged",
                "created_at": starts_at,
                "lifted_at": None,
            }
        ],
    ).scalar_one()
    _insert(connection, ClosureDayRow, [{"closure_id": closure, "booking_id": booking}])


def _add_share_outs(store: Store) -> None:
    """Add four published share-outs a season, each as large as the present proposal."""
    with store.rebuild() as connection:
        now = connection.execute(select(ShareOutRow.__table__)).mappings().one()
        _insert(
            connection,
            ShareOutRow,
            [
                dict(now)
                | {
                    "id": now["id"] + 1 + n,
                    "created_at": NOW - timedelta(days=400 + 90 * n),
                    "published_at": NOW - timedelta(days=399 + 90 * n),
                }
                for n in range(40)
            ],
        )
