"""Many bookings put and lifted at once: noted and counted as if each had been written by itself."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import func, select
from sqlalchemy.exc import IntegrityError

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.store.journal.new_bookings import (
    claim_for_share_out,
    lift_at_once,
    put_bookings,
    write_at_once,
)
from clubplanner.store.stand import read_stand
from clubplanner.store.tables.booking_tables import BookingRow, ShareOutRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import ChangedBookingRow, ChangeRow
from clubplanner.store.tables.squad_tables import SquadRow
from clubplanner.store.tables.turn_tables import SeasonRow, SquadNameRow
from tests.builders import NOW

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.store.engine import Store

MANY = 5


def values(session: Session, count: int) -> list[dict[str, Any]]:
    """Return training of a squad on free ground, a week apart."""
    area = session.scalars(select(AreaRow).order_by(AreaRow.id)).first()
    squad = session.scalars(select(SquadRow).order_by(SquadRow.id)).first()
    assert area is not None
    assert squad is not None
    first = NOW + timedelta(days=2000)
    return [
        {
            "uid": f"{uuid.uuid4()}@clubplanner",
            "pitch_id": area.pitch_id,
            "area_id": area.id,
            "cells": area.cells,
            "starts_at": first + timedelta(weeks=week),
            "ends_at": first + timedelta(weeks=week, hours=1),
            "purpose": Purpose.TRAINING,
            "squad_id": squad.id,
            "written_holder": squad.name,
            "note": "",
            "is_withdrawn": False,
            "is_fixed": False,
            "share_out_id": None,
            "sequence": 0,
            "created_at": NOW,
            "changed_at": NOW,
            "overruled": "",
        }
        for week in range(count)
    ]


def put(store: Store, count: int = MANY) -> list[int]:
    """Put some, and return their numbers."""
    with store.write() as session:
        return put_bookings(session, values(session, count))


def entries(store: Store) -> list[ChangedBookingRow]:
    """Return the entries of the latest change."""
    with store.read() as session:
        latest = session.scalar(select(func.max(ChangeRow.id)))
        found = select(ChangedBookingRow).where(ChangedBookingRow.change_id == latest)
        return list(session.scalars(found.order_by(ChangedBookingRow.booking_id)))


def stand(store: Store) -> int:
    """Return the count of what calendars show."""
    with store.read() as session:
        return read_stand(session)


def test_many_are_put_in_their_order_and_noted(club_store: Store) -> None:
    """Each has its number, and an entry of the one change with the squad's name."""
    before = stand(club_store)
    numbers = put(club_store)
    with club_store.read() as session:
        rows = [session.get_one(BookingRow, number) for number in numbers]
        starts = [row.starts_at for row in rows]
        name = rows[0].holder
    assert starts == sorted(starts)
    noted = entries(club_store)
    assert [one.booking_id for one in noted] == sorted(numbers)
    assert {(one.before is None, (one.after or {})["holder"]) for one in noted} == {(True, name)}
    assert stand(club_store) == before + 1


def test_one_that_the_guard_refuses_takes_all_back(club_store: Store) -> None:
    """None of them is there, and nothing in the journal."""
    put(club_store, 1)
    known = entries(club_store)[0].change_id
    with pytest.raises(IntegrityError):
        put(club_store)
    assert entries(club_store)[0].change_id == known


def test_what_is_lifted_at_once_is_noted_as_it_was(club_store: Store) -> None:
    """One goes to another's ground, one stays withdrawn; the one put back is no change."""
    numbers = put(club_store, 3)
    with club_store.write() as session:
        rows = [session.get_one(BookingRow, number) for number in numbers]
        lift_at_once(session, rows)
        first, second, third = rows
        first.starts_at, first.ends_at = second.starts_at, second.ends_at
        first.is_withdrawn = third.is_withdrawn = False
    with club_store.read() as session:
        now = [session.get_one(BookingRow, number).is_withdrawn for number in numbers]
    assert now == [False, True, False]
    noted = {one.booking_id: one for one in entries(club_store)}
    assert set(noted) == set(numbers[:2])
    for number in numbers[:2]:
        assert not (noted[number].before or {})["is_withdrawn"]
    with club_store.read() as session:
        counted = [session.get_one(BookingRow, number).sequence for number in numbers]
    assert counted == [1, 1, 0], "calendars hear of what changed"


def test_what_is_written_at_once_is_noted_and_counted(club_store: Store) -> None:
    """Two change places: the objects show it, the records have it, the journal tells of both."""
    numbers = put(club_store, 2)
    before = stand(club_store)
    with club_store.write() as session:
        first, second = (session.get_one(BookingRow, number) for number in numbers)
        starts = first.starts_at, second.starts_at
        lift_at_once(session, [first, second])
        write_at_once(
            session,
            [
                (
                    row,
                    {
                        "starts_at": at,
                        "ends_at": at + timedelta(hours=1),
                        "is_withdrawn": False,
                        "sequence": row.sequence + 1,
                        "changed_at": NOW + timedelta(hours=1),
                    },
                )
                for row, at in ((first, starts[1]), (second, starts[0]))
            ],
        )
        assert (first.starts_at, first.sequence) == (starts[1], 1)
    with club_store.read() as session:
        rows = [session.get_one(BookingRow, number) for number in numbers]
        assert [row.starts_at for row in rows] == [starts[1], starts[0]]
        assert [row.sequence for row in rows] == [1, 1]
    noted = entries(club_store)
    assert [one.booking_id for one in noted] == sorted(numbers)
    for one, at in zip(noted, starts, strict=True):
        assert (one.before or {})["starts_at"] == int(at.timestamp())
        assert (one.after or {})["starts_at"] != int(at.timestamp())
    assert stand(club_store) == before + 1


def test_what_the_guard_refuses_at_once_is_not_written(club_store: Store) -> None:
    """One that would come to stand on another's ground takes all back."""
    first, second = put(club_store, 2)

    def stand_on_it() -> None:
        with club_store.write() as session:
            row, other = session.get_one(BookingRow, first), session.get_one(BookingRow, second)
            lift_at_once(session, [row])
            there = {"starts_at": other.starts_at, "ends_at": other.ends_at, "is_withdrawn": False}
            write_at_once(session, [(row, there)])

    with pytest.raises(IntegrityError):
        stand_on_it()
    with club_store.read() as session:
        row, other = session.get_one(BookingRow, first), session.get_one(BookingRow, second)
        assert row.starts_at < other.starts_at
        assert not row.is_withdrawn


def test_many_keep_the_name_that_a_squad_had_then(club_store: Store) -> None:
    """What begins before a squad was called otherwise is noted under the earlier name."""
    with club_store.write() as session:
        squad = session.scalars(select(SquadRow).order_by(SquadRow.id)).first()
        assert squad is not None
        season = SeasonRow(starts_on=NOW.date(), made_at=NOW, kept={})
        until = NOW + timedelta(days=2000, weeks=2)
        session.add(SquadNameRow(squad=squad, season=season, until=until, name="Once called so"))
        now = squad.name
    put(club_store, 4)
    holders = [(one.after or {})["holder"] for one in entries(club_store)]
    assert holders == ["Once called so"] * 2 + [now] * 2


def test_a_share_out_claims_what_stays_without_a_word(club_store: Store) -> None:
    """The bookings are its own from then on; nothing of them changed that anybody is told of."""
    with club_store.write() as session:
        numbers = put_bookings(session, values(session, MANY))
        share_out = ShareOutRow(
            stretch_id=None, sort="evening", created_at=NOW, kind="t", outcome={}, published_at=None
        )
        session.add(share_out)
        session.flush()
        own = share_out.id
    with club_store.read() as session:
        before = session.scalar(select(func.count()).select_from(ChangedBookingRow))
        stood = read_stand(session)
    with club_store.write() as session:
        claim_for_share_out(session, numbers[:-1], own)
        claim_for_share_out(session, [], own)
    with club_store.read() as session:
        assert session.scalar(select(func.count()).select_from(ChangedBookingRow)) == before
        assert read_stand(session) > stood
        rows = session.scalars(select(BookingRow).where(BookingRow.id.in_(numbers)))
        assert {row.id: row.share_out_id for row in rows} == {
            **dict.fromkeys(numbers[:-1], own),
            numbers[-1]: None,
        }
