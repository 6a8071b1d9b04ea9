"""What publishing changes is put in words for the squads that a page shows, by what stands now."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.differences.words import by_squad, difference_lines
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import LONDON
from tests.records import open_records, place_of
from tests.services.proposals.test_publishing import BEFORE, HARRIERS, KESTRELS, place, propose

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

LATER = place("u13-kestrels", "third-1", 1, 1155, 1230)


@pytest.fixture
def number(club_store: Store) -> int:
    """Give a proposal that moves one squad and leaves the other."""
    publish_share_out(club_store, propose(club_store, KESTRELS, HARRIERS), BEFORE)
    return propose(club_store, LATER, HARRIERS)


def test_squads_are_told_as_if_all_were_at_once(club_store: Store, number: int) -> None:
    """One by one, as a leaf, or all: the same words; who keeps everything is named apart."""
    with club_store.read() as session:
        difference = find_difference(session, load_proposal(session, number), BEFORE)
        whole = by_squad(difference_lines(difference, LONDON, counts_kept=True))
    shown = see_share_out(club_store, number, BEFORE).difference
    changing = [squad for squad in whole if squad.lines]
    assert len(shown.squads) == len(changing) == 1
    assert list(shown.squads) == changing
    assert list(shown.squads[0:60]) == changing
    assert shown.squads[0] == changing[0]
    assert shown.squads[5:] == ()
    assert shown.unchanged == tuple(squad.squad_name for squad in whole if not squad.lines)


def test_a_season_is_looked_at_again_once_another_process_changed_it(
    club_store: Store, number: int
) -> None:
    """It is remembered while nothing changes, and never longer."""
    before = see_share_out(club_store, number, BEFORE).difference
    assert before.sentence == "6 sessions moved, 6 kept"
    assert see_share_out(club_store, number, BEFORE).difference.digest == before.digest
    other = open_records(place_of(club_store))
    with other.write() as session:
        rows = session.scalars(select(BookingRow).order_by(BookingRow.id)).all()
        mine = next(row for row in rows if row.squad and row.squad.key == "u14-harriers")
        mine.is_withdrawn = True
    other.close()
    after = see_share_out(club_store, number, BEFORE).difference
    assert after.sentence == "1 session added, 6 moved, 5 kept"
    assert after.digest != before.digest


def test_who_writes_looks_past_what_is_remembered(club_store: Store, number: int) -> None:
    """A change that the same transaction made counts before it is over."""
    see_share_out(club_store, number, BEFORE)
    with club_store.write() as session:
        proposal = load_proposal(session, number)
        kept = find_difference(session, proposal, BEFORE).kept
        session.get_one(BookingRow, kept[0].id).is_withdrawn = True
        assert len(find_difference(session, proposal, BEFORE).kept) == len(kept) - 1
        session.rollback()
