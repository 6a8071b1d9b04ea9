"""What is over goes after the club's periods, in small batches, and nothing else does."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import func, insert, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.club.persons.keeping import Keeping
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.keeping import pruning
from clubplanner.services.keeping.pruned import EVERYTHING
from clubplanner.services.keeping.pruning import BATCH, Pruner, prune
from clubplanner.services.rows.club.keeping_rows import save_keeping
from clubplanner.store.journal.states import NOTED
from clubplanner.store.personal import MARKS
from clubplanner.store.tables.base import Base
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.link_tables import LinkRow
from clubplanner.store.tables.notice_tables import MailState
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow
from clubplanner.store.upkeep.migrate import check_store
from tests.builders import NOW
from tests.records import drop_records, place_of
from tests.services.keeping.planted import lived_in_store
from tests.small_club import LOW, book, find_area_id, find_squad_id
from tests.stores import booking_row

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from clubplanner.store.engine import Store

SEASONS = 10
EVERY_DAYS = 3
TABLES = Base.metadata.tables


@pytest.fixture
def aged(tmp_path: Path) -> Iterator[Store]:
    """Give a club with ten seasons behind it, in each something that is pruned."""
    store = lived_in_store(tmp_path)
    _add_past(store)
    yield store
    place = place_of(store)
    store.close()
    drop_records(place)


def _add_past(store: Store) -> None:
    area, squad = find_area_id(store, LOW, "whole"), find_squad_id(store, "u12-kestrels")
    with store.write() as session:
        connection = session.connection()
        first = (connection.scalar(select(func.max(BookingRow.id))) or 0) + 1
        pitch, cells = connection.execute(
            select(TABLES["area"].c.pitch_id, TABLES["area"].c.cells).where(
                TABLES["area"].c.id == area
            )
        ).one()
        rows: dict[str, list[dict[str, Any]]] = {name: [] for name in ADDED}
        for n in range(SEASONS * 365 // EVERY_DAYS):
            at = NOW - timedelta(days=EVERY_DAYS * (n + 10))
            number = first + n
            values = {
                "id": number,
                "uid": f"past-{n}",
                "pitch_id": pitch,
                "area_id": area,
                "cells": cells,
                "starts_at": at,
                "ends_at": at + timedelta(hours=1),
                "purpose": Purpose.TRAINING,
                "squad_id": squad,
                "holder": "U12 Kestrels",
                "note": "Lee has the key",
                "is_withdrawn": False,
                "is_fixed": False,
                "sequence": 0,
                "created_at": at,
                "changed_at": at,
                "overruled": "",
            }
            rows["booking"].append(values)
            _add_about(rows, number, at, values, squad)
        rows["booking_change"].reverse()  # what was taken back before what took it back
        rows["booking_change"][0]["undoes_id"] = None
        for name in ADDED:
            connection.execute(insert(TABLES[name]), rows[name])


ADDED = ("booking", "booking_change", "changed_booking", "notice", "mail", "mail_anew", "link",
         "waiting_ask", "share_run")  # fmt: skip


def _add_about(
    rows: dict[str, list[dict[str, Any]]],
    number: int,
    at: datetime,
    values: dict[str, Any],
    squad: int,
) -> None:
    state = {name: values[name] for name in NOTED} | {"purpose": "training"}
    state |= {name: int(values[name].timestamp()) for name in ("starts_at", "ends_at")}
    key = number + 10_000
    rows["booking_change"].append(
        {"id": key, "at": at, "by": "Lee Orr", "words": "", "undoes_id": _undone(key, number)}
    )
    entry = {"id": key, "change_id": key, "booking_id": number, "before": None, "after": state}
    rows["changed_booking"].append(entry | {"area_id": None})
    rows["notice"].append(
        {
            "id": key,
            "entry_id": key,
            "squad_id": squad,
            "sequence": 0,
            "changed_at": at,
            "is_wanted": False,
            "told_at": at,
        }
    )
    mail = {"id": key, "message_id": f"m{key}", "squad_id": squad, "address": "lee@example.org"}
    mail |= {"name": "Lee Orr", "changes": [{"is": "long"}], "made_at": at, "next_try_at": at}
    rows["mail"].append(
        mail | {"attempts": 1, "state": MailState.SENT, "ended_at": at, "words": ""}
    )
    rows["mail_anew"].append({"mail_id": key, "at": at})
    link = {"id": key, "squad_id": squad, "secret_hash": f"h{key}", "holder": "Lee Orr"}
    link |= {"email": "", "mail_id": key if number % 2 else None, "created_at": at}
    rows["link"].append(link | {"revoked_at": None if number % 4 == 1 else at})
    ask = {"squad_id": squad, "day": at.date(), "from_min": 0, "to_min": 60, "minutes": 60}
    ask |= {"least_share": 0.5, "wants_more": False, "booking_id": None, "by": "Lee Orr"}
    rows["waiting_ask"].append(
        ask | {"note": "please", "asked_at": at, "state": "granted", "answer": "yes, Lee"}
    )
    run = {"request": {}, "title": "Lee's", "state": "done", "asked_at": at, "seen_at": at}
    rows["share_run"].append(
        run | {"ended_at": at, "is_stop_asked": False, "progress": {}, "fault": ""}
    )


def _undone(key: int, number: int) -> int | None:
    """Let each seventh change take the one back that was made before it, which has a later key."""
    return key + 1 if number % 7 == 0 else None


def _kept(store: Store) -> dict[str, set[Any]]:
    """Return the keys of what is young enough to stay, and of all bookings."""
    usual = Keeping()
    with store.read() as session:
        connection = session.connection()

        def keys(column: Any, *which: Any) -> set[Any]:
            return set(connection.execute(select(column).where(*which)).scalars())

        changes = NOW - timedelta(days=usual.journal_days)
        return {
            "bookings": keys(BookingRow.id),
            "changes": keys(ChangeRow.id, ChangeRow.at >= changes),
            "entries": keys(
                ChangedBookingRow.id,
                ChangedBookingRow.change_id.in_(
                    select(ChangeRow.id).where(ChangeRow.at >= changes)
                ),
            ),
            "mails": keys(
                TABLES["mail"].c.id,
                TABLES["mail"].c.ended_at >= NOW - timedelta(days=usual.mails_days),
            ),
            "links": keys(LinkRow.id, LinkRow.revoked_at.is_(None)),
            "people": keys(TABLES["person"].c.id),
            "remarks": keys(
                BookingRow.id,
                BookingRow.note != "",
                BookingRow.ends_at >= NOW - timedelta(days=usual.remarks_days),
            ),
        }


def _left(store: Store) -> dict[str, int]:
    """Return for each prune how many rows are still over."""
    with store.read() as session:
        keeping = Keeping()
        return {
            one.name: len(
                one.find(
                    session.connection(),
                    NOW if one.period is None else NOW - keeping.time_of(one.period),
                    NOW,
                    10**6,
                )
            )
            for one in EVERYTHING
        }


def test_ten_seasons_are_pruned_to_the_periods(aged: Store) -> None:
    """What is over is gone, what is younger is all there, and the records are sound."""
    before, left = _kept(aged), _left(aged)
    assert min(left[name] for name in ("bookings of changes", "mails", "remarks on bookings")) > 0
    done = prune(aged, NOW, batches=10_000)
    assert done.is_done
    assert {name: count for name, count in _left(aged).items() if count} == {}
    assert _kept(aged) == before
    assert done.rows["changes"] > 500
    check_store(aged)
    with aged.read() as session:
        by_age = select(ChangeRow.at).order_by(ChangeRow.at)  # the newest stays by its number
        newest = select(func.max(ChangeRow.id)).scalar_subquery()
        oldest = session.scalars(by_age.where(ChangeRow.id < newest)).first()
    assert oldest is not None
    assert oldest >= NOW - timedelta(days=Keeping().journal_days + EVERY_DAYS)
    assert list_changes(aged, NOW, count=200)


def test_what_took_back_is_not_left_without_what_it_took_back(aged: Store) -> None:
    """A change that is kept still finds the one that it took back, though that is older."""
    prune(aged, NOW, batches=10_000)
    with aged.read() as session:
        numbers = set(session.scalars(select(ChangeRow.id)))
        undone = set(session.scalars(select(ChangeRow.undoes_id))) - {None}
    assert undone
    assert undone <= numbers


def test_batches_are_small_and_few_a_round(aged: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each is a transaction of its own, so that a writer waits for one batch at most."""
    sizes: list[int] = []
    take = pruning._take

    def count(store: Store, one: Any, keys: Any, now: datetime) -> None:
        sizes.append(len(keys))
        take(store, one, keys, now)
        with store.write():  # whoever waits has their turn before the next
            pass

    monkeypatch.setattr(pruning, "_take", count)
    done = prune(aged, NOW, batches=2)
    assert not done.is_done
    assert sum(sizes) == sum(done.rows.values()) <= 3 * BATCH
    assert max(sizes) <= BATCH


def test_what_can_be_taken_back_stays(small: Store) -> None:
    """A booking that was made long ago for a date to come is withdrawn by its change."""
    long_ago = NOW - timedelta(days=2_000)
    gone = book(small, "Walkers", "third-3", day=(NOW - timedelta(days=1_900)).date(), now=long_ago)
    number = book(small, now=long_ago)
    assert prune(small, NOW, batches=100).rows["changes"] == 1
    with small.read() as session:
        entries = session.scalars(select(ChangedBookingRow.booking_id)).all()
        change = session.scalars(
            select(ChangedBookingRow.change_id).where(ChangedBookingRow.booking_id == number)
        ).one()
    assert gone not in entries
    undo_change(small, change, NOW)
    assert booking_row(small, number).is_withdrawn


def test_the_club_chooses_the_periods(small: Store) -> None:
    """A longer one keeps what the usual one would have pruned."""
    day = (NOW - timedelta(days=800)).date()
    number = book(small, day=day, note="Lee has the key", now=NOW - timedelta(days=800))
    with small.write() as session:
        save_keeping(session, Keeping(remarks_days=900))
    prune(small, NOW)
    assert booking_row(small, number).note == "Lee has the key"
    with small.write() as session:
        save_keeping(session, Keeping(remarks_days=700))
    prune(small, NOW)
    assert booking_row(small, number).note == ""


def test_the_worker_prunes_once_an_hour(small: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """And goes on in the next round while something is left."""
    at: list[datetime] = []
    answers = [False, True, True]

    def note(_store: Store, now: datetime) -> pruning.Pruned:
        at.append(now)
        return pruning.Pruned({}, answers[len(at) - 1])

    monkeypatch.setattr(pruning, "prune", note)
    pruner = Pruner()
    for seconds in (0, 15, 30, 3_600, 3_615, 3_630):
        pruner.prune_if_due(small, NOW + timedelta(seconds=seconds))
    assert at == [NOW + timedelta(seconds=s) for s in (0, 15, 3_615)]


def test_whatever_is_marked_with_a_period_is_pruned_by_it() -> None:
    """The privacy page tells of the same periods."""
    marked = {(name, marks.pruned) for name, marks in MARKS.items() if marks.pruned}
    pruned = {(one.table, one.period) for one in EVERYTHING if one.period}
    pruned |= {(name, one.period) for one in EVERYTHING for name, _key in one.before if one.period}
    assert marked - pruned == set()
