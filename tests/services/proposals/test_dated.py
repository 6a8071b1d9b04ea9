"""A season of sessions costs no objects of the database, but for those that publishing changes."""

from __future__ import annotations

from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy import event

from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.differences.words import by_squad, difference_lines
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.proposals.weeks.week import ProposalWeekWish, see_proposal_week
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import LONDON
from tests.services.proposals.test_publishing import BEFORE, HARRIERS, KESTRELS, place, propose

if TYPE_CHECKING:
    from collections.abc import Iterator

    from clubplanner.store.engine import Store

LATER = place("u13-kestrels", "third-1", 1, 1155, 1230)


@contextmanager
def loaded_bookings() -> Iterator[list[BookingRow]]:
    """Give a list that gets each booking which is made an object within the block."""
    found: list[BookingRow] = []

    def note(row: BookingRow, _context: object) -> None:
        found.append(row)

    event.listen(BookingRow, "load", note)
    try:
        yield found
    finally:
        event.remove(BookingRow, "load", note)


def test_looking_at_a_proposal_makes_no_booking_an_object(club_store: Store) -> None:
    """Neither its page nor its week: a council has a hundred thousand of them."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    number = propose(club_store, LATER, HARRIERS)
    with loaded_bookings() as found:
        page = see_share_out(club_store, number, BEFORE)
        week = see_proposal_week(club_store, ProposalWeekWish(number), BEFORE, str, str)
    assert page.difference.sentence == "6 sessions moved, 6 kept"
    assert week.counts.startswith("1 moved")
    assert found == []


def test_publishing_makes_objects_of_what_it_changes_alone(club_store: Store) -> None:
    """Of twelve sessions six move; the six that stay as they are are not touched."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    number = propose(club_store, LATER, HARRIERS)
    with loaded_bookings() as found:
        published = publish_share_out(club_store, number, BEFORE)
    assert (published.moved, published.kept) == (6, 6)
    assert {row.squad.key for row in found if row.squad} == {"u13-kestrels"}
    assert len({row.id for row in found}) == 6


def test_what_stays_is_counted_as_it_would_be_told(club_store: Store) -> None:
    """The page's short lines have the same numbers by squad as those that are kept for good."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    number = propose(club_store, LATER, HARRIERS)
    with club_store.read() as session:
        difference = find_difference(session, load_proposal(session, number), BEFORE)
        told = difference_lines(difference, LONDON)
        counted = difference_lines(difference, LONDON, counts_kept=True)
    assert by_squad(counted) == by_squad(told)
    assert [(squad.squad_name, squad.kept) for squad in by_squad(counted)] == [
        ("U13 Kestrels", 0),
        ("U14 Harriers", 6),
    ]
