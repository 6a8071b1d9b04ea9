"""A week of a proposal drawn against what stands, or against another proposal."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError
from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.proposals.weeks.week import ProposalWeekWish, see_proposal_week
from clubplanner.services.rows.bookings.booking_rows import note_change
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import make_range
from tests.services.proposals.test_publishing import BEFORE, HARRIERS, KESTRELS, place, propose
from tests.stores import make_wish, put_booking

if TYPE_CHECKING:
    from clubplanner.services.proposals.dated import Booked
    from clubplanner.services.proposals.differences.values import Difference
    from clubplanner.services.proposals.weeks.week import ProposalWeekPage
    from clubplanner.store.engine import Store

TUESDAY = date(2027, 3, 9)
LATER = place("u13-kestrels", "third-1", 1, 1155, 1230)


def _see(store: Store, number: int, **wish: object) -> ProposalWeekPage:
    wanted = replace(ProposalWeekWish(number), **wish)  # type: ignore[arg-type]
    return see_proposal_week(store, wanted, BEFORE, lambda n: f"/s/{n}", lambda n: f"/b/{n}")


def _signs(page: ProposalWeekPage) -> Counter[str]:
    return Counter(row.sign for _day, rows in page.days for row in rows)


def test_new_sessions_are_marked_among_what_stands(club_store: Store) -> None:
    """What stays is plain and leads to its booking, what is new to its other places."""
    number = propose(club_store, KESTRELS, HARRIERS)
    during = make_range(TUESDAY, 1080, 1140)
    hire = make_wish(club_store, "third-3", during, squad_key=None, holder="Choir")
    kept = put_booking(club_store, replace(hire, purpose=Purpose.HIRE))
    page = _see(club_store, number)
    assert page.monday == date(2027, 3, 8)
    assert _signs(page) == {"added": 2, "": 1}
    assert 'href="/s/0"' in page.drawing
    assert 'href="/s/1"' in page.drawing
    assert f'href="/b/{kept}"' in page.drawing
    assert page.counts == "2 new."


def test_what_moves_is_drawn_where_it_goes_and_where_it_was(club_store: Store) -> None:
    """The old place is a frame, the new one a session; the booking is drawn no third time."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    page = _see(club_store, propose(club_store, LATER, HARRIERS))
    assert _signs(page) == {"moved": 1, "withdrawn": 1, "": 1}
    (day, rows), *_rest = page.days
    assert day == "Tue 9 Mar"
    assert [(r.times, r.sign) for r in rows if r.sign] == [
        ("18:00–19:15", "withdrawn"),
        ("19:15–20:30", "moved"),
    ]


def test_what_a_published_proposal_booked_is_drawn_plain(club_store: Store) -> None:
    """It stands: nothing is new any more."""
    number = propose(club_store, KESTRELS, HARRIERS)
    publish_share_out(club_store, number, BEFORE)
    page = _see(club_store, number, monday=date(2027, 3, 8))
    assert page.is_published
    assert _signs(page) == {"": 2}


def test_two_proposals_are_held_against_each_other(club_store: Store) -> None:
    """What both have is plain; what only the other has is a frame, whatever stands."""
    one, other = propose(club_store, KESTRELS, HARRIERS), propose(club_store, LATER)
    publish_share_out(club_store, one, BEFORE)
    assert _signs(_see(club_store, other, other=one)) == {"moved": 1, "withdrawn": 2}
    assert _signs(_see(club_store, one, other=other)) == {"moved": 1, "added": 1, "withdrawn": 1}
    assert _signs(_see(club_store, one, other=propose(club_store, KESTRELS, HARRIERS))) == {"": 2}


def test_weeks_are_leafed_through_as_far_as_the_proposal_reaches(club_store: Store) -> None:
    """Its first week has none before it, its last none after; sessions keep their wall time."""
    number = propose(club_store, KESTRELS)
    first, last = _see(club_store, number), _see(club_store, number, monday=date(2027, 4, 12))
    assert (first.before, first.after) == (None, date(2027, 3, 15))
    assert (last.before, last.after) == (date(2027, 4, 5), None)
    for page in (first, last):  # the clocks change on 28 March
        assert [row.times for _day, rows in page.days for row in rows] == ["18:00–19:15"]


def test_one_week_is_worked_out_as_among_all(club_store: Store) -> None:
    """A difference of one week has what that of the whole proposal has in it, and no other week."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    with club_store.read() as session:
        moved = find_difference(session, load_proposal(session, 1), BEFORE)
    with club_store.write() as session:  # one moved by hand stands in for a session of its week
        row = session.get_one(BookingRow, moved.kept[0].id) if moved.kept else None
        assert row is not None
        row.starts_at += timedelta(days=2)
        row.ends_at += timedelta(days=2)
        row.is_fixed = True
        note_change(row, BEFORE)
    number = propose(club_store, LATER, HARRIERS)
    with club_store.read() as session:
        proposal = load_proposal(session, number)
        whole = find_difference(session, proposal, BEFORE)
        weeks = [proposal.first + timedelta(weeks=n) for n in range(-1, 8)]
        parts = [
            find_difference(session, proposal, BEFORE, day - timedelta(days=day.weekday()))
            for day in weeks
        ]
    assert whole.moves
    for monday, part in zip(weeks, parts, strict=True):
        week = _week_of(monday)
        assert _of_week(part, week) == _of_week(whole, week)
        assert len(part.moves) <= 2 * 2, "this week and the one before it alone"


def _week_of(day: date) -> tuple[int, int]:
    return day.isocalendar()[:2]


def _of_week(difference: Difference, week: tuple[int, int]) -> set[object]:
    """Return what of a difference lies in a week."""
    rows: list[tuple[str, Booked, object]] = [("kept", one, None) for one in difference.kept]
    rows += [("gone", one, None) for one in difference.withdrawn]
    rows += [("moved", one, wanted.place) for one, wanted in difference.moves]
    found: set[object] = {
        (kind, one.id, place)
        for kind, one, place in rows
        if _week_of(one.during.starts_at.date()) == week
    }
    return found | {one.place for one in difference.added if _week_of(one.day) == week}


def test_ground_that_is_gone_is_told_and_what_stands_is_drawn(club_store: Store) -> None:
    """A proposal of other ground cannot be drawn; the page says why and stays a page."""
    gone = {**KESTRELS, "ground": "nowhere/third-1", "ground_name": "Old third"}
    page = _see(club_store, propose(club_store, gone), monday=date(2027, 3, 8))
    assert "Old third is no longer there" in page.fault
    assert _signs(page) == {}


def test_unknown_numbers_and_venues_are_told(club_store: Store) -> None:
    """A proposal or venue that is not there has no page."""
    number = propose(club_store, KESTRELS)
    for wish in ({"other": 999}, {"venue_key": "nowhere"}):
        with pytest.raises(MissingError):
            _see(club_store, number, **wish)
    with pytest.raises(MissingError):
        _see(club_store, 999)
