"""Every kind of change, done by the services and timed, on a club that may be changed."""

from __future__ import annotations

import time
from collections import defaultdict
from contextlib import contextmanager
from datetime import timedelta
from typing import TYPE_CHECKING

from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.club.people import Person, Role
from clubplanner.domain.times.times import TimeRange
from clubplanner.services.evening.bookings import add_booking, move_booking, withdraw_booking
from clubplanner.services.evening.closures.closing import (
    ClosureWish,
    all_withdrawn,
    close_ground,
    foresee_closure,
)
from clubplanner.services.evening.closures.reopening import reopen_ground
from clubplanner.services.giving.swaps import accept_swap, offer_swap
from clubplanner.services.places.ruling import Overruling
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.bookings.booking_rows import BookingWish
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.ground_tables import AreaRow
from clubplanner.store.tables.season_tables import SwapOfferRow
from tests.builders import NOW

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from clubplanner.store.engine import Store

SECRETARY = Person(1, "Kim Ashby", Role.SECRETARY, "")
THOUGH = Overruling("A measurement.", None)
TURNS = 5


class Timer:
    """The processor's seconds of each kind of change."""

    def __init__(self) -> None:
        self._taken: dict[str, list[float]] = defaultdict(list)

    @contextmanager
    def timing(self, name: str) -> Iterator[None]:
        """Time a block."""
        started = time.process_time()
        yield
        self._taken[name].append(time.process_time() - started)

    @property
    def quickest(self) -> dict[str, float]:
        """The shortest of each kind."""
        return {name: min(taken) for name, taken in self._taken.items()}


def time_changes(store: Store, number: int) -> dict[str, float]:
    """Change the records in every way, several times over, and return the quickest of each.

    Args:
        store: A club with bookings to come.
        number: Of its proposal.
    """
    timer = Timer()
    with timer.timing("publish"):
        publish_share_out(store, number, NOW)
    with store.read() as session:
        rows = session.scalars(
            select(BookingRow)
            .where(BookingRow.starts_at > NOW + timedelta(days=7))
            .where(BookingRow.is_withdrawn.is_(False))
            .order_by(BookingRow.starts_at, BookingRow.id)
        ).all()
        free = session.scalars(
            select(AreaRow.id).where(AreaRow.cut == "thirds").order_by(AreaRow.id.desc())
        ).all()
    for turn in range(TURNS):
        own, one, closed = rows[60 * turn : 60 * turn + 3]
        _book_and_move(store, timer, own, free[2 * turn : 2 * turn + 2])
        with timer.timing("withdraw a session"):
            withdraw_booking(store, own.id, own.sequence, NOW)
        _swap(store, timer, one)
        _close_and_open(store, timer, closed)
    return timer.quickest


def _book_and_move(store: Store, timer: Timer, row: BookingRow, free: Sequence[int]) -> None:
    start = row.starts_at.replace(hour=21, minute=0, second=0)  # when everybody has gone home
    during = TimeRange(start, start + timedelta(minutes=45))
    wish = BookingWish(free[0], during, Purpose.HIRE, None, "Choir", "", True)
    with timer.timing("book"):
        made = add_booking(store, wish, NOW, THOUGH).number
    with timer.timing("move"):
        move_booking(store, made, 0, free[1], during, NOW, THOUGH)
    with timer.timing("withdraw"):
        withdraw_booking(store, made, 1, NOW)


def _swap(store: Store, timer: Timer, row: BookingRow) -> None:
    with store.read() as session:
        other = session.scalars(
            select(BookingRow.id).where(
                BookingRow.starts_at == row.starts_at,
                BookingRow.squad_id != row.squad_id,
                BookingRow.is_withdrawn.is_(False),
            )
        ).all()[-1]
    with timer.timing("offer a swap"):
        offer_swap(store, SECRETARY, row.id, other, "", NOW, THOUGH)
    with store.read() as session:
        offers = select(SwapOfferRow.id).order_by(SwapOfferRow.id.desc())
        offer = session.scalars(offers).first() or 0
    with timer.timing("swap"):
        accept_swap(store, SECRETARY, offer, NOW, THOUGH)


def _close_and_open(store: Store, timer: Timer, row: BookingRow) -> None:
    during = TimeRange(row.starts_at, row.ends_at)
    wish = ClosureWish(row.area_id, during, Condition.CLOSED, "waterlogged")
    with timer.timing("look what closing does"):
        seen = foresee_closure(store, wish, NOW).displaced
    with timer.timing("close"):
        closure = close_ground(store, wish, all_withdrawn(seen), NOW).number
    with timer.timing("open"):
        reopen_ground(store, closure, NOW)
