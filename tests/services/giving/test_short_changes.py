"""Short changes of pages share a transaction with whoever else waits (`store/together.py`)."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.services.evening.closures.closing import ClosureWish, close_ground
from clubplanner.services.evening.fixed_sessions import fix_booking
from clubplanner.services.evening.moves import move_with_others
from clubplanner.services.giving.requests import (
    SessionAsk,
    add_ask,
    hand_back,
    take_back_ask,
)
from clubplanner.services.giving.swap_pages import list_swaps
from clubplanner.services.giving.swaps import accept_swap, end_swap, offer_swap
from clubplanner.services.giving.waiting_list import refuse_ask
from clubplanner.services.people.sent_forms import claim_form, note_answer
from clubplanner.store import together
from clubplanner.store.claims import FormClaim
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.services.giving.test_swaps import THEN, places
from tests.services.giving.test_swaps import small as small_of_two
from tests.services.giving.test_waiting_list import ROBIN, SAM
from tests.small_club import HALL, HARRIERS, KESTRELS, LOW, TOP, book, find_area_id, kept_bookings
from tests.store.test_together import queue_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from clubplanner.store.engine import Store

small = small_of_two
NEXT_WEEK = A_WEDNESDAY + timedelta(days=7)


def ask(store: Store) -> int:
    """Let a squad wait for ground that nobody has just then."""
    return add_ask(store, ROBIN, SessionAsk(KESTRELS, NEXT_WEEK, THEN, THEN + 60, 60, 1.0), NOW)


@pytest.fixture
def changes(small: Store) -> list[Callable[[], object]]:
    """Give one change of each kind, of bookings and offers that are there."""
    days = [A_WEDNESDAY + timedelta(days=7 * week) for week in (1, 2, 3)]
    given, moved, kept = (book(small, KESTRELS, "third-1", day=day) for day in days)
    fixed, other = (
        book(small, HARRIERS, "third-2", day=day, start_min=THEN, end_min=THEN + 60)
        for day in (days[0], days[2])
    )
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    offer_swap(small, ROBIN, kept, other, "", NOW)
    first, second = (line.number for line in list_swaps(small, SAM, NOW))
    claim = claim_form(small, "sent before", NOW)
    assert isinstance(claim, FormClaim)
    third, low = find_area_id(small, TOP, "third-3"), find_area_id(small, LOW, "whole")
    rain = ClosureWish(low, make_range(), Condition.CLOSED, "Rain")
    return [
        lambda: accept_swap(small, SAM, first, NOW),
        lambda: end_swap(small, SAM, second),
        lambda: hand_back(small, ROBIN, given, 0, NOW),
        lambda: fix_booking(small, fixed, 0, NOW, is_fixed=False),
        lambda: move_with_others(small, moved, 0, third, None, None, {}, NOW),
        lambda: close_ground(small, rain, {}, NOW),
        lambda: claim_form(small, "sent now", NOW),
        lambda: note_answer(small, claim, "/desk/evening"),
    ]


def test_short_changes_of_pages_are_one_transaction(
    small: Store, changes: list[Callable[[], object]], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Eight kinds of them wait for the same writer, and all is kept that each of them did."""
    monkeypatch.setattr(together, "LONGEST_S", 60.0)
    with queue_of(small) as queue:
        futures = [queue.first(), *(queue.call(one) for one in changes)]  # type: ignore[arg-type]
        queue.go()
        for future in futures:
            future.result(60)
        assert len(queue.begun) == 1
    assert list_swaps(small, SAM, NOW) == ()
    assert places(small)["U12 Kestrels"] == (f"{TOP}/third-1", "18:00")
    there = {one.local[0]: one.area for one in kept_bookings(small) if one.holder == "U12 Kestrels"}
    assert NEXT_WEEK not in there
    assert f"{TOP}/third-3" in there.values()


def test_answers_to_asks_are_one_transaction(small: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """One is taken back, one refused; both waited, since nothing as large was free."""
    for pitch in (TOP, LOW, HALL):
        book(
            small,
            "Choir",
            "whole",
            pitch_key=pitch,
            day=NEXT_WEEK,
            start_min=THEN - 120,
            end_min=THEN + 180,
            purpose=Purpose.HIRE,
        )
    one, two = ask(small), ask(small)
    monkeypatch.setattr(together, "LONGEST_S", 60.0)
    with queue_of(small) as queue:
        futures = [
            queue.first(),
            queue.call(lambda: take_back_ask(small, ROBIN, one)),  # type: ignore[arg-type]
            queue.call(lambda: refuse_ask(small, two, "Full.")),  # type: ignore[arg-type]
        ]
        queue.go()
        for future in futures:
            future.result(60)
        assert len(queue.begun) == 1
