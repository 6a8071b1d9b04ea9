"""Closing ground by sharing the evening out again."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.booked.closures import Condition
from clubplanner.domain.times.hours_typed import range_typed_until
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.services.evening.closures.closing import ClosureWish
from clubplanner.services.places.closure_list import list_closures
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.again.again_for_closure import reshare_for_closure
from clubplanner.sharing.values.problem import Effort
from tests.builders import A_WEDNESDAY, LONDON
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
)
from tests.stores import count_rows

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

AT_1740 = datetime(2026, 11, 25, 17, 40, tzinfo=UTC)
SHORT = Effort(seconds=4)


def wish(
    store: Store, last: date = A_WEDNESDAY, condition: Condition = Condition.CLOSED
) -> ClosureWish:
    """Return the wish to close half of the top pitch from 17:40."""
    during = range_typed_until(A_WEDNESDAY, 17 * 60 + 40, last, 24 * 60, LONDON)
    return ClosureWish(find_area_id(store, TOP, "half-1"), during, condition, "waterlogged")


def test_the_evening_is_shared_out_again_and_publishing_closes(small: Store) -> None:
    """Begun and hired ground is settled at once; the rest is a proposal that closes when published.

    The half at the clubhouse end takes that third and the middle one with it; the far third stays.
    """
    book(small, KESTRELS, "third-1", is_fixed=False)
    hire = book(small, "Choir", "third-2", purpose=Purpose.HIRE, start_min=17 * 60 + 30)
    with pytest.raises(OutdatedError, match="Choir have been booked there too"):
        reshare_for_closure(small, wish(small), {}, SHORT, AT_1740)
    number = reshare_for_closure(small, wish(small), {hire: "withdraw"}, SHORT, AT_1740)
    assert see_share_out(small, number, AT_1740).number == number
    assert [kept.holder for kept in kept_bookings(small)] == ["U12 Kestrels"], "nothing closed yet"
    before = kept_bookings(small)[0].uid
    published = publish_share_out(small, number, AT_1740)
    assert published.moved == 1
    areas = {kept.holder: kept for kept in kept_bookings(small)}
    assert areas["waterlogged"].area == f"{TOP}/half-1"
    assert areas["U12 Kestrels"].uid == before
    assert areas["U12 Kestrels"].area != f"{TOP}/third-1"
    (line,) = list_closures(small, AT_1740)
    assert line.words == "Clubhouse half, Top pitch is closed: waterlogged."
    assert line.booking is not None


def test_a_closure_of_days_is_shared_out_by_the_week(small: Store) -> None:
    """Until Friday: the week's training goes round it, and each day is closed."""
    book(small, HARRIERS, "third-1", is_fixed=False, end_min=19 * 60)
    number = reshare_for_closure(small, wish(small, date(2026, 11, 27)), {}, SHORT, AT_1740)
    publish_share_out(small, number, AT_1740)
    closed = [kept.local for kept in kept_bookings(small) if kept.holder == "waterlogged"]
    assert closed == [
        (A_WEDNESDAY, "17:40", "00:00"),
        (date(2026, 11, 26), "00:00", "00:00"),
        (date(2026, 11, 27), "00:00", "00:00"),
    ]


def test_a_condition_is_no_reason_to_share_out_again(small: Store) -> None:
    """Open ground displaces nobody."""
    with pytest.raises(RefusedError, match="set the condition instead"):
        reshare_for_closure(small, wish(small, condition=Condition.NO_STUDS), {}, SHORT, AT_1740)


def test_what_is_refused_has_moved_nobody(small: Store) -> None:
    """Days that no stretch holds cannot be shared out: whoever would be settled at once stays."""
    first, last = date(2029, 7, 4), date(2029, 7, 6)
    hire = book(small, "Choir", "third-2", purpose=Purpose.HIRE, day=first)
    before, rows = kept_bookings(small), count_rows(small)
    during = range_typed_until(first, 17 * 60 + 40, last, 24 * 60, LONDON)
    far = replace(wish(small), during=during)
    with pytest.raises(MissingError):
        reshare_for_closure(small, far, {hire: "withdraw"}, SHORT, AT_1740)
    assert (kept_bookings(small), count_rows(small)) == (before, rows)
