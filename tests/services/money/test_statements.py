"""Months and statements: what is owed, numbered without gaps, and kept as issued."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.money.tariffs import Payer, Spot, Tariff
from clubplanner.errors import MissingError, RefusedError
from clubplanner.services.evening.bookings import withdraw_booking
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.money.drafts import load_drafts
from clubplanner.services.money.floodlights import floodlight_cost
from clubplanner.services.money.pages import see_draft, see_month, see_statement
from clubplanner.services.money.statements import (
    issue,
    issue_all,
    load_statement,
    load_statements,
    take_back,
)
from clubplanner.services.money.tariff_book import save_tariff, settle_terms
from clubplanner.services.rows.club.money_rows import load_tariffs
from tests.builders import A_WEDNESDAY, NOW
from tests.services.money.money_club import (
    CHOIR,
    DECEMBER_3,
    LANE,
    NOVEMBER,
    TERMS,
    book_november,
    load_tariffed_club,
)
from tests.small_club import KESTRELS, book

if TYPE_CHECKING:
    from datetime import date, datetime

    from clubplanner.store.engine import Store
    from tests.stores import Filled


@pytest.fixture
def club(filled: Filled) -> Store:
    """Give the small club with tariffs."""
    return filled(load_tariffed_club)


def owed(store: Store, month: date = NOVEMBER, now: datetime = DECEMBER_3) -> dict[str, int]:
    """Return what each owes for a month, by name."""
    with store.read() as session:
        return {draft.name: draft.total for draft in load_drafts(session, month, now)}


def test_everybody_owes_what_their_sessions_cost(club: Store) -> None:
    """A third for 1¼ hours twice, half for an hour; floodlights burn once for all of them.

    Kestrels: 1.25 × 6.00 ÷ 3 = 2.50, half of it 1.25. Harriers: 2.50. Choir: 30.00 ÷ 2 = 15.00.
    Marsh Lane: twice 1.25 × 20.00 ÷ 3 = 8.33, and 20.00 ÷ 2 = 10.00; floodlights from 18:00 to
    20:15, 2.25 × 9.00 = 20.25: together 46.91.
    """
    book_november(club)
    assert owed(club) == {
        "U12 Kestrels": 125,
        "U14 Harriers": 250,
        CHOIR: 1500,
        "Marsh Lane": 4691,
    }
    page = see_draft(club, "club", "marsh-lane", NOVEMBER, DECEMBER_3)
    assert [(line.what, line.times, line.amount) for line in page.lines] == [
        ("Floodlights, Lamps", "18:00–20:15", "€20.25"),
        ("Training, U12 Kestrels, Ground", "18:00–19:15", "€8.33"),
        ("Training, U14 Harriers, Ground", "18:00–19:15", "€8.33"),
        ("Hire, The choir, Ground", "19:15–20:15", "€10.00"),
    ]
    assert page.lines[1].hours == "1:15 h × 1/3"


def test_what_is_not_over_is_not_owed_yet(club: Store) -> None:
    """A month so far has the sessions so far; December's are not November's."""
    book_november(club)
    book(club, KESTRELS, "third-1", day=A_WEDNESDAY + timedelta(days=7))
    assert owed(club, now=NOW) == {}
    assert owed(club)["U12 Kestrels"] == 125
    with pytest.raises(MissingError, match="Nothing is owed"):
        see_draft(club, "squad", KESTRELS, NOVEMBER, NOW)


@pytest.mark.parametrize(("hours_before", "kestrels"), [(24, 0), (23, 63)])
def test_what_is_withdrawn_late_is_owed_in_part(
    club: Store, hours_before: int, kestrels: int
) -> None:
    """By the club's rule a day before is in time; of what is withdrawn later half is owed.

    1.25 hours × 6.00 ÷ 3 × 50 % × 50 % = 0.625, rounded up to 0.63.
    """
    number = book(club, KESTRELS, "third-1")
    begins = NOW.replace(day=25, hour=18, minute=0, second=0, microsecond=0)
    withdraw_booking(club, number, 0, begins - timedelta(hours=hours_before))
    assert owed(club).get("U12 Kestrels", 0) == kestrels


@pytest.mark.parametrize("purpose", [Purpose.CLOSED, Purpose.MATCH])
def test_nobody_owes_for_ground_the_club_took(club: Store, purpose: Purpose) -> None:
    """Where the ground was closed, or went to a match, a withdrawn session costs nothing."""
    number = book(club, KESTRELS, "third-1")
    withdraw_booking(club, number, 0, NOW.replace(day=25, hour=17))
    book(club, "Waterlogged", "whole", purpose=purpose)
    assert "U12 Kestrels" not in owed(club)


def test_statements_are_numbered_without_gaps(club: Store) -> None:
    """One that is taken back keeps its number and word; the next takes the next number."""
    book_november(club)
    assert issue(club, Payer.HIRER, CHOIR, NOVEMBER, DECEMBER_3) == 1
    with pytest.raises(RefusedError, match="Statement 1 stands"):
        issue(club, Payer.HIRER, CHOIR, NOVEMBER, DECEMBER_3)
    with pytest.raises(RefusedError, match="Say why"):
        take_back(club, 1, "  ", DECEMBER_3)
    take_back(club, 1, "Wrong month", DECEMBER_3)
    with pytest.raises(RefusedError, match="taken back before"):
        take_back(club, 1, "Again", DECEMBER_3)
    assert issue(club, Payer.HIRER, CHOIR, NOVEMBER, DECEMBER_3) == 2
    assert issue_all(club, NOVEMBER, DECEMBER_3) == "Issued 3 statements for November 2026."
    assert "nothing left" in issue_all(club, NOVEMBER, DECEMBER_3)
    with club.read() as session:
        listed = [(one.number, one.why) for one in load_statements(session)]
    assert listed == [(5, ""), (4, ""), (3, ""), (2, ""), (1, "Wrong month")]
    assert "Wrong month" in see_statement(club, 1).taken_back


def test_a_statement_stays_as_it_was_issued(club: Store) -> None:
    """Other tariffs, another currency and other bookings change what is owed, not what was said."""
    book_november(club)
    issue(club, Payer.HIRER, CHOIR, NOVEMBER, DECEMBER_3)
    before = see_statement(club, 1)
    assert before.note == TERMS.note
    with club.read() as session:
        hirers = next(one for one in load_tariffs(session) if one.payer is Payer.HIRER)
    save_tariff(club, replace(hirers, name="Dearer"), "60")
    settle_terms(club, replace(TERMS, currency="GBP", note="Other"))
    assert see_statement(club, 1) == before
    page = see_month(club, NOVEMBER, DECEMBER_3)
    line = next(line for line in page.owed if line.name == CHOIR)
    assert (line.total, line.number, line.differs) == ("£30.00", 1, "€15.00")


def test_statements_wait_for_the_month_and_a_currency(club: Store) -> None:
    """What cannot be issued says what to do."""
    book_november(club)
    with pytest.raises(RefusedError, match="not over yet"):
        issue(club, Payer.HIRER, CHOIR, NOVEMBER, NOW)
    with pytest.raises(MissingError, match="Nothing is owed"):
        issue(club, Payer.HIRER, "Nobody", NOVEMBER, DECEMBER_3)
    settle_terms(club, replace(TERMS, currency=""))
    with pytest.raises(RefusedError, match="currency"):
        issue_all(club, NOVEMBER, DECEMBER_3)


def test_an_issued_statement_taken_back_from_the_list_of_changes_keeps_its_number(
    club: Store,
) -> None:
    """Undoing the issue is taking it back; the next one has the next number."""
    book_november(club)
    issue(club, Payer.HIRER, CHOIR, NOVEMBER, DECEMBER_3)
    undo_change(club, list_changes(club, DECEMBER_3)[0].number, DECEMBER_3)
    with club.read() as session:
        assert load_statement(session, 1).withdrawn_at == DECEMBER_3
    assert issue(club, Payer.HIRER, CHOIR, NOVEMBER, DECEMBER_3) == 2


def test_what_floodlights_cost_is_told_by_date_and_pitch(club: Store) -> None:
    """Two squads beside each other burn them once; exact, for sums that are rounded once."""
    book_november(club)
    with club.read() as session:
        found = floodlight_cost(session, NOVEMBER, A_WEDNESDAY, DECEMBER_3)
    assert [(one.pitch, one.day, one.minutes) for one in found] == [
        ("marsh-lane-top-pitch", A_WEDNESDAY, 135)
    ]
    assert found[0].cost == Fraction(2025)


def test_taking_a_tariff_back_is_undone_like_any_change(club: Store) -> None:
    """The journal holds all of it."""
    number = save_tariff(club, Tariff(0, Payer.SQUAD, Spot(LANE.venue, "marsh-lane-hall"), 0), "1")
    undo_change(club, list_changes(club, DECEMBER_3)[0].number, DECEMBER_3)
    with club.read() as session:
        assert number not in [one.number for one in load_tariffs(session)]
