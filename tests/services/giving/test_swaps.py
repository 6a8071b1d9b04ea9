"""Changing places."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.domain.times.times import instant_from_wall
from clubplanner.errors import HinderedError, MissingError, RefusedError
from clubplanner.services.evening.bookings import move_booking
from clubplanner.services.giving.swap_pages import list_swaps, see_own_session
from clubplanner.services.giving.swaps import accept_swap, end_swap, offer_swap
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.places.ruling import Overruling
from clubplanner.store.tables.booking_tables import BookingRow
from tests.builders import A_WEDNESDAY, LONDON, NOW, make_range
from tests.services.giving.test_waiting_list import KIM, ROBIN, SAM
from tests.small_club import (
    HARRIERS,
    KESTRELS,
    SETTINGS,
    SQUADS,
    TOP,
    book,
    find_area_id,
    kept_bookings,
    load_small_club,
)

if TYPE_CHECKING:
    from clubplanner.store.engine import Store

THEN = 20 * 60


@pytest.fixture
def small(empty_store: Store) -> Store:
    """Give the small club's database: 1 is the Kestrels' at six, 2 the Harriers' at eight.

    Both squads can come at either time.
    """
    squads = SQUADS.replace("18:00-19:15", "18:00-21:00").replace("18:00-20:00", "18:00-21:00")
    load_small_club(empty_store, squads=squads)
    book(empty_store, KESTRELS, "third-1")
    book(empty_store, HARRIERS, "third-2", start_min=THEN, end_min=THEN + 60)
    return empty_store


def places(store: Store) -> dict[str, tuple[str, str]]:
    """Return holder → area and start."""
    return {kept.holder: (kept.area, kept.local[1]) for kept in kept_bookings(store)}


def test_whoever_offers_is_told_where_nobody_can_accept(small: Store) -> None:
    """A coach who was never let in cannot accept: whoever offers hears of it, and what to do."""
    said = offer_swap(small, ROBIN, 1, 2, "", NOW)
    assert "cannot sign in yet" in said
    assert "accept for them" in said
    end_swap(small, ROBIN, list_swaps(small, ROBIN, NOW)[0].number)
    with small.write() as session:
        squad = session.get_one(BookingRow, 2).squad
        assert squad is not None
        squad.coaches[0].person.may_sign_in = True
    assert offer_swap(small, ROBIN, 1, 2, "", NOW) == (
        "Offered to U14 Harriers. It is done when their coach accepts."
    )


def test_an_offer_accepted_changes_places_in_one_go(small: Store) -> None:
    """Each takes the other's ground and time, keeps its identity, and it can be taken back."""
    uids = {kept.holder: kept.uid for kept in kept_bookings(small)}
    page = see_own_session(small, ROBIN, 1, NOW)
    assert page.others == (("2", "U14 Harriers: Middle third, Top pitch, Wed 25 Nov 20:00–21:00"),)
    assert "Offered to U14 Harriers" in offer_swap(small, ROBIN, 1, 2, "Exams", NOW)
    (mine,) = list_swaps(small, ROBIN, NOW)
    (theirs,) = list_swaps(small, SAM, NOW)
    assert (mine.is_mine, mine.may_accept) == (True, False)
    assert (theirs.is_mine, theirs.may_accept, theirs.note) == (False, True, "Exams")
    assert accept_swap(small, SAM, mine.number, NOW) == (
        "U12 Kestrels and U14 Harriers have changed places."
    )
    assert places(small) == {
        "U12 Kestrels": (f"{TOP}/third-2", "20:00"),
        "U14 Harriers": (f"{TOP}/third-1", "18:00"),
    }
    assert {kept.holder: kept.uid for kept in kept_bookings(small)} == uids
    assert {kept.sequence for kept in kept_bookings(small)} == {1}
    assert list_swaps(small, SAM, NOW) == ()
    change = list_changes(small, NOW)[0]
    assert change.words == "U12 Kestrels and U14 Harriers changed places"
    undo_change(small, change.number, NOW)
    assert places(small)["U12 Kestrels"] == (f"{TOP}/third-1", "18:00")


def test_only_the_other_coach_or_the_secretary_accepts(small: Store) -> None:
    """One cannot accept one's own offer, nor a stranger's; the secretary may step in."""
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    with pytest.raises(MissingError, match="not for you"):
        accept_swap(small, ROBIN, 1, NOW)
    assert accept_swap(small, KIM, 1, NOW).endswith("have changed places.")
    with pytest.raises(MissingError, match="no longer stands"):
        accept_swap(small, SAM, 1, NOW)


def test_an_offer_is_declined_taken_back_or_stopped(small: Store) -> None:
    """Each side may end it, and it can be made again."""
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    with pytest.raises(RefusedError, match="offered this already"):
        offer_swap(small, ROBIN, 1, 2, "", NOW)
    assert end_swap(small, SAM, 1) == "The offer is declined."
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    assert end_swap(small, ROBIN, 2) == "The offer is taken back."
    with pytest.raises(MissingError, match="no longer stands"):
        end_swap(small, SAM, 2)


def test_a_session_changed_since_is_not_swapped(small: Store) -> None:
    """What was offered must still be so."""
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    half = find_area_id(small, TOP, "third-3")
    move_booking(small, 1, 0, half, make_range(), NOW)
    with pytest.raises(RefusedError, match="Somebody has changed this session meanwhile"):
        accept_swap(small, SAM, 1, NOW)
    assert places(small)["U14 Harriers"] == (f"{TOP}/third-2", "20:00")


def test_a_longer_session_must_fit_where_the_other_was(small: Store) -> None:
    """Each takes over ground and time as they are, so nothing new is held."""
    book(small, "Choir", "third-1", start_min=19 * 60 + 15, end_min=THEN, purpose=Purpose.HIRE)
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    accept_swap(small, SAM, 1, NOW)
    assert places(small)["U14 Harriers"] == (f"{TOP}/third-1", "18:00")


def test_what_cannot_be_swapped_is_refused(small: Store) -> None:
    """One's own squad, matches, hirers, begun sessions and other people's are no partners."""
    own = book(small, KESTRELS, "third-3", day=A_WEDNESDAY + timedelta(days=7))
    saturday = A_WEDNESDAY + timedelta(days=3)
    match = book(small, HARRIERS, "third-3", day=saturday, purpose=Purpose.MATCH)
    for other in (own, match, 99):
        with pytest.raises(MissingError, match="training of another squad"):
            offer_swap(small, ROBIN, 1, other, "", NOW)
    with pytest.raises(MissingError, match="no such session"):
        offer_swap(small, ROBIN, 2, 1, "", NOW)
    with pytest.raises(RefusedError, match="has begun"):
        offer_swap(small, ROBIN, 1, 2, "", NOW + timedelta(days=9, hours=7))
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    stranger = replace(ROBIN, squad_keys=frozenset())
    with pytest.raises(MissingError, match="no such offer"):
        end_swap(small, stranger, 1)


def test_who_may_not_be_where_the_other_is_changes_no_places(empty_store: Store) -> None:
    """Not listed, and refused in the words of the rule, whichever of the two coaches offers."""
    table = SETTINGS + '\n[[ages]]\nup_to = 12\nlatest_finish = "19:30"\n'
    squads = SQUADS.replace("18:00-19:15", "18:00-21:00").replace("18:00-20:00", "18:00-21:00")
    small = load_small_club(empty_store, settings=table, squads=squads)
    book(small, KESTRELS, "third-1")
    book(small, HARRIERS, "third-2", start_min=THEN, end_min=THEN + 60)
    words = "U12 Kestrels are to finish by 19:30."
    for person, own, other in ((ROBIN, 1, 2), (SAM, 2, 1)):
        assert see_own_session(small, person, own, NOW).others == ()
        with pytest.raises(HinderedError) as caught:
            offer_swap(small, person, own, other, "", NOW)
        assert str(caught.value) == words
    assert places(small)["U12 Kestrels"] == (f"{TOP}/third-1", "18:00")


def test_an_offer_that_a_rule_forbids_by_now_is_not_accepted(small: Store) -> None:
    """The list says why instead of offering it; the secretary overrules it only on purpose."""
    offer_swap(small, ROBIN, 1, 2, "", NOW)
    load_small_club(small, squads=SQUADS)
    words = "U12 Kestrels ask for Wed 18:00-19:15."
    (theirs,) = list_swaps(small, SAM, NOW)
    assert (theirs.may_accept, theirs.hindered) == (False, (words,))
    anything = Overruling("They agreed on it.", None)
    for person, overruling in ((SAM, Overruling()), (SAM, anything), (KIM, Overruling())):
        with pytest.raises(HinderedError, match="ask for Wed"):
            accept_swap(small, person, 1, NOW, overruling)
    assert places(small)["U12 Kestrels"] == (f"{TOP}/third-1", "18:00")
    accept_swap(small, KIM, 1, NOW, anything)
    assert places(small)["U12 Kestrels"] == (f"{TOP}/third-2", "20:00")
    assert list_changes(small, NOW)[0].words == (
        f"U12 Kestrels and U14 Harriers changed places, although: {words} "
        "Because: They agreed on it"
    )
    with small.read() as session:
        kept = {row.holder: row.overruled for row in session.scalars(select(BookingRow))}
    assert kept == {"U12 Kestrels": "They agreed on it.", "U14 Harriers": ""}


A_MOMENT = timedelta(microseconds=1)


def test_only_sessions_still_to_come_are_offered(small: Store) -> None:
    """To the microsecond: a session that begins now has begun."""
    begins = instant_from_wall(A_WEDNESDAY, THEN, LONDON)
    with small.write() as session:
        session.get_one(BookingRow, 1).is_withdrawn = True
    book(small, KESTRELS, "third-3", start_min=THEN + 15, end_min=THEN + 60)
    before = see_own_session(small, ROBIN, 3, begins - A_MOMENT)
    assert [value for value, _ in before.others] == ["2"]
    assert not before.has_begun
    for now in (begins, begins + A_MOMENT):
        assert see_own_session(small, ROBIN, 3, now).others == ()
        with pytest.raises(RefusedError, match="has begun"):
            offer_swap(small, ROBIN, 3, 2, "", now)
    assert "Offered" in offer_swap(small, ROBIN, 3, 2, "", begins - A_MOMENT)


def test_a_session_that_has_begun_meanwhile_is_not_accepted(small: Store) -> None:
    """Judged when it is accepted, whatever it was when it was offered."""
    begins = instant_from_wall(A_WEDNESDAY, 18 * 60, LONDON)
    offer_swap(small, ROBIN, 1, 2, "", begins - 2 * A_MOMENT)
    assert len(list_swaps(small, SAM, begins - A_MOMENT)) == 1
    assert list_swaps(small, SAM, begins) == ()
    for now in (begins, begins + A_MOMENT):
        with pytest.raises(RefusedError, match="has begun"):
            accept_swap(small, SAM, 1, now)
    assert "have changed places" in accept_swap(small, SAM, 1, begins - A_MOMENT)


def test_a_begun_session_offers_nothing(small: Store) -> None:
    """Its page says so, and has nobody to change with though others still train later."""
    begins = instant_from_wall(A_WEDNESDAY, 18 * 60, LONDON)
    page = see_own_session(small, ROBIN, 1, begins)
    assert (page.has_begun, page.others) == (True, ())
