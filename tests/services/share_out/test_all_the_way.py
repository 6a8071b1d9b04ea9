"""A small club all the way: shared out, published over a whole winter, and shared out again."""

from __future__ import annotations

from collections import Counter
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import ShareOutError
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew import anew
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.listed.share_out_list import list_share_outs
from clubplanner.sharing.values.problem import Effort
from clubplanner.sharing.values.validating import ProblemError
from tests.builders import LONDON
from tests.small_club import book, kept_bookings, load_small_club

if TYPE_CHECKING:
    from clubplanner.sharing.values.outcome import Progress
    from clubplanner.store.engine import Store
    from tests.small_club import Kept

AUTUMN = datetime(2026, 10, 1, 12, 0, 7, 482_193, tzinfo=UTC)
EFFORT = Effort(seconds=4)
WEDNESDAYS = 26
"""From 14 October 2026 to 7 April 2027, counted on a calendar; two of them lie in the break."""


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club as it stands in autumn."""
    return load_small_club(empty_store, AUTUMN)


def of_squad(kept: list[Kept], holder: str) -> list[Kept]:
    """Return a squad's bookings."""
    return [booking for booking in kept if booking.holder == holder]


def test_a_winter_is_shared_out_published_and_shared_out_again(store: Store) -> None:
    """Sessions keep their wall time over both changes of clocks; an equal plan changes nothing."""
    told: list[Progress] = []
    done = run_share_out(store, "Winter", EFFORT, AUTUMN, told.append)
    assert (done.kind, done.placed, done.asked) == ("proved best", 3, 3)
    assert told
    assert all(0 <= progress.fraction <= 1 for progress in told)
    assert see_share_out(store, done.number, AUTUMN).refusals == ()
    published = publish_share_out(store, done.number, AUTUMN)
    kept = kept_bookings(store)
    assert published.added == len(kept)
    kestrels = of_squad(kept, "U12 Kestrels")
    assert len(kestrels) == WEDNESDAYS - 2
    assert {booking.local[1:] for booking in kestrels} == {("18:00", "19:15")}
    # From memory: in Britain the clocks change on the last Sundays of October and March.
    hours = Counter(booking.during.starts_at.hour for booking in kestrels)
    assert hours == {17: 2 + 2, 18: WEDNESDAYS - 2 - 4}
    by_week = Counter(b.local[0].isocalendar()[:2] for b in of_squad(kept, "U14 Harriers"))
    assert set(by_week.values()) == {2}
    days_off = {date(2026, 12, 21) + timedelta(days=n) for n in range(14)}
    assert not days_off & {booking.local[0] for booking in kept}

    again = run_share_out(store, "winter", EFFORT, AUTUMN)
    second = publish_share_out(store, again.number, AUTUMN)
    assert (second.kept, second.added, second.moved, second.withdrawn) == (len(kept), 0, 0, 0)
    assert kept_bookings(store) == kept
    assert [line.number for line in list_share_outs(store)] == [again.number, done.number]


def test_a_match_takes_its_date_from_the_weekly_place(store: Store) -> None:
    """What is booked by hand stands: the weekly session is lost on that date or lies elsewhere."""
    day = date(2026, 11, 25)
    book(store, "League", "whole", day=day, purpose=Purpose.MATCH, now=AUTUMN)
    done = run_share_out(store, "winter", EFFORT, AUTUMN)
    publish_share_out(store, done.number, AUTUMN)
    kept = kept_bookings(store)
    on_the_day = [b for b in kept if b.local[0] == day and b.area.startswith("marsh-lane-top")]
    start, end = (datetime(2026, 11, 25, h, m, tzinfo=LONDON) for h, m in ((18, 0), (19, 15)))
    meeting = [b for b in on_the_day if b.during.starts_at < end and start < b.during.ends_at]
    assert [booking.holder for booking in meeting] == ["League"]


def test_a_session_that_starts_now_is_not_withdrawn(store: Store) -> None:
    """The minute a session starts it is no longer to come: publishing leaves it alone."""
    done = run_share_out(store, "winter", EFFORT, AUTUMN)
    publish_share_out(store, done.number, AUTUMN)
    first = kept_bookings(store)[0]
    again = run_share_out(store, "winter", EFFORT, AUTUMN)
    published = publish_share_out(store, again.number, first.during.starts_at)
    assert published.withdrawn == 0
    assert kept_bookings(store)[0] == first


def test_records_that_make_no_problem_are_told(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A problem that the optimiser will not take is told in its words, and nothing is kept."""

    def refuse(*_: object) -> None:
        raise ProblemError(("Monday has more than 63 dates; share out a shorter stretch.",))

    monkeypatch.setattr(anew, "solve_in_child", refuse)
    with pytest.raises(ShareOutError, match="share out a shorter stretch"):
        run_share_out(store, "winter", EFFORT, AUTUMN)
    assert list_share_outs(store) == ()
