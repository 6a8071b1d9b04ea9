"""Bookings drawn at random for the small club, and put in its books past the services."""

from __future__ import annotations

from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from hypothesis import strategies as st
from sqlalchemy import delete, insert, select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import range_from_wall
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow, PitchRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.builders import LONDON, NOW
from tests.small_club import HARRIERS, KESTRELS, LOW, TOP

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

FIRST = date(2026, 10, 5)
"""A Monday, a week before the season; the clocks go back three weeks later."""
DAYS = 60
PLACES = ((TOP, "third-1"), (TOP, "third-2"), (TOP, "third-3"), (LOW, "half-1"), (LOW, "half-2"),
          (LOW, "whole"))  # fmt: skip


class Drawn(NamedTuple):
    """A booking: the day counted from `FIRST`, the hour it begins, where, whose and why.

    No two of different days and hours meet: none lasts more than two hours, and all begin at even
    ones; one that would meet another on the same ground is left out.
    """

    day: int
    hour: int
    minutes: int
    place: tuple[str, str]
    squad_key: str | None
    purpose: Purpose
    is_withdrawn: bool


@st.composite
def drawn_bookings(draw: st.DrawFn) -> list[Drawn]:
    """Draw some bookings of which no two meet."""
    one = st.builds(
        Drawn,
        st.integers(0, DAYS),
        st.sampled_from([0, 8, 18, 20, 22]),
        st.sampled_from([45, 60, 75, 120]),
        st.sampled_from(PLACES),
        st.sampled_from([KESTRELS, HARRIERS, None]),
        st.sampled_from([Purpose.TRAINING, Purpose.TRAINING, *Purpose]),
        st.booleans().map(lambda drawn: drawn and draw(st.booleans())),
    )
    kept: list[Drawn] = []
    for this in draw(st.lists(one, max_size=25)):
        meets = any(
            (this.day, this.hour, this.place[0]) == (that.day, that.hour, that.place[0])
            and (this.place[1] == that.place[1] or "whole" in (this.place[1], that.place[1]))
            for that in kept
        )
        if not meets:
            kept.append(this)
    return kept


def put_drawn(store: Store, bookings: list[Drawn]) -> None:
    """Put these bookings in the place of all that are there."""
    with store.write() as session:
        connection = session.connection()
        connection.execute(delete(BookingRow.__table__))  # type: ignore[arg-type]
        areas = {
            (pitch, area): (number, pitch_id, cells)
            for pitch, area, number, pitch_id, cells in connection.execute(
                select(PitchRow.key, AreaRow.key, AreaRow.id, AreaRow.pitch_id, AreaRow.cells).join(
                    PitchRow, PitchRow.id == AreaRow.pitch_id
                )
            )
        }
        squads = {key: number for number, key in
                  connection.execute(select(SquadRow.id, SquadRow.key))}  # fmt: skip
        rows = [_row(n, one, areas[one.place], squads) for n, one in enumerate(bookings, 1)]
        if rows:
            connection.execute(insert(BookingRow.__table__), rows)  # type: ignore[arg-type]


def _row(
    number: int, one: Drawn, area: tuple[int, int, int], squads: dict[str, int]
) -> dict[str, object]:
    start = 60 * one.hour
    during = range_from_wall(FIRST + timedelta(days=one.day), start, start + one.minutes, LONDON)
    return {
        "id": number,
        "uid": f"{number}@drawn.example",
        "area_id": area[0],
        "pitch_id": area[1],
        "cells": area[2],
        "starts_at": during.starts_at,
        "ends_at": during.ends_at,
        "purpose": one.purpose,
        "squad_id": None if one.squad_key is None else squads[one.squad_key],
        "holder": one.squad_key or "Choir",
        "note": "",
        "is_withdrawn": one.is_withdrawn,
        "is_fixed": False,
        "share_out_id": None,
        "sequence": 0,
        "created_at": NOW,
        "changed_at": NOW,
    }
