"""Questions and changes by hand: other places, what they cost, pins, and fixed sessions."""

from __future__ import annotations

from datetime import UTC, date, datetime
from typing import TYPE_CHECKING

import pytest
from sqlalchemy import select

from clubplanner.domain.booked.bookings import Purpose
from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.inputs.club_files.squads_file.squads import SQUAD_COLUMNS
from clubplanner.services.evening.fixed_sessions import fix_booking
from clubplanner.services.problem.standing_plans import Disruption, Scope
from clubplanner.services.proposals.proposal_page import pinned_sessions, see_share_out
from clubplanner.services.proposals.proposals import GroundClosed, Sort
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.services.share_out.again.again import propose_reshare
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.services.share_out.by_hand.by_hand import other_places, put_by_hand, why_without
from clubplanner.services.share_out.by_hand.starting_from import Spot
from clubplanner.services.share_out.by_hand.what_if import Wish, what_if
from clubplanner.sharing.values.problem import Effort
from clubplanner.store.tables.booking_tables import BookingRow
from clubplanner.store.tables.squad_tables import SquadRow
from tests.services.share_out.again.test_in_turns import AUTUMN, EFFORT, PITCH, SQUADS
from tests.small_club import SETTINGS, book, kept_bookings, load_small_club

if TYPE_CHECKING:
    from clubplanner.services.proposals.proposal_page import PlacementShown
    from clubplanner.store.engine import Store
    from tests.stores import Filled

WEDNESDAY = date(2026, 11, 25)
SHARED_OUT = 1
"""The number of the share-out that the fixture makes."""
FULL = SQUADS + "U8 Finches,U8,10,1,Pat Lowe,1,60,Wed 17:00-18:00,,half\n"
"""A fifth squad for the early hour: one of them goes without."""


def share_winter_out(store: Store) -> None:
    """Load a club of one pitch and share its winter out."""
    load_small_club(store, AUTUMN, squads=SQUADS, settings=SETTINGS, pitches=(PITCH,))
    assert run_share_out(store, "winter", EFFORT, AUTUMN).number == SHARED_OUT


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of one pitch: two squads early, two late, on its two halves."""
    return filled(share_winter_out)


@pytest.fixture
def number() -> int:
    """Give the number of the share-out of its winter."""
    return SHARED_OUT


def shown(store: Store, number: int, squad: str) -> PlacementShown:
    """Return a squad's session in a proposal."""
    page = see_share_out(store, number, AUTUMN)
    return next(p for _, places in page.days for p in places if p.squad_name == squad)


def booking_of(store: Store, holder: str, day: date = WEDNESDAY) -> BookingRow:
    """Return a squad's booking on a date."""
    with store.read() as session:
        rows = session.scalars(select(BookingRow).where(BookingRow.holder == holder))
        return next(row for row in rows if row.starts_at.date() == day and not row.is_withdrawn)


def test_other_places_tell_free_ones_and_what_the_rest_cost(store: Store, number: int) -> None:
    """Free hours come first; a held one names who would move, where, and what they lose."""
    late = next(
        p
        for _, places in see_share_out(store, number, AUTUMN).days
        for p in places
        if p.times == "18:00–19:00"
    )
    spot = Spot(proposal=number, place=late.place)
    answer = other_places(store, spot, AUTUMN)
    assert answer.squad_name == late.squad_name
    assert answer.now == f"Wednesday 18:00–19:00, {late.ground}"
    moves = [option for option in answer.options if option.moves]
    assert moves, "the early hour can be had if somebody goes late"
    early = next(option for option in moves if "17:00–18:00" in option.where)
    assert "→ Wednesday 18:00–19:00" in early.moves[0]
    assert early.gain == "20 wish points more"
    assert early.cost == "20 wish points less"


def test_a_choice_becomes_a_pinned_proposal_that_can_be_published(
    store: Store, number: int
) -> None:
    """Putting a session elsewhere moves it and who is in the way, and nobody else."""
    publish_share_out(store, number, AUTUMN)
    before = kept_bookings(store)
    late = next(
        p
        for _, places in see_share_out(store, number, AUTUMN).days
        for p in places
        if p.times == "18:00–19:00"
    )
    spot = Spot(proposal=number, place=late.place)
    early = next(
        option
        for option in other_places(store, spot, AUTUMN).options
        if option.moves and "17:00–18:00" in option.where
    )
    fresh = put_by_hand(store, spot, early.choice, AUTUMN)
    assert kept_bookings(store) == before
    page = see_share_out(store, fresh, AUTUMN)
    assert page.sentence.startswith(f"By hand: {late.squad_name} on Wednesday 17:00–18:00")
    assert page.levels == (), "nothing is proved about a plan changed by hand"
    mine = shown(store, fresh, late.squad_name)
    assert (mine.times, mine.is_pinned) == ("17:00–18:00", True)
    other = early.moves[0].partition(":")[0]
    assert {squad.squad_name for squad in page.difference.squads} == {late.squad_name, other}
    published = publish_share_out(store, fresh, AUTUMN)
    assert (published.added, published.withdrawn) == (0, 0)
    with pytest.raises(OutdatedError, match="Choose again"):
        put_by_hand(store, Spot(proposal=fresh, place=mine.place), "x 0 0", AUTUMN)


def test_a_run_goes_round_what_is_pinned(store: Store, number: int) -> None:
    """Pins stay in the new plan, marked, whatever else would be better."""
    late = next(
        p
        for _, places in see_share_out(store, number, AUTUMN).days
        for p in places
        if p.times == "18:00–19:00"
    )
    proposal, pins = pinned_sessions(store, number, {late.place})
    stretch = proposal.stretch.key
    again = run_share_out(store, stretch, EFFORT, AUTUMN, pins=pins)
    kept = shown(store, again.number, late.squad_name)
    assert (kept.times, kept.ground, kept.is_pinned) == (late.times, late.ground, True)
    with pytest.raises(RefusedError, match="Tick the sessions"):
        pinned_sessions(store, number, set())


def test_a_refused_squad_can_be_found_a_place(empty_store: Store) -> None:
    """For a missing session the question is asked too; where all is full there is no answer."""
    load_small_club(empty_store, AUTUMN, squads=FULL, settings=SETTINGS, pitches=(PITCH,))
    done = run_share_out(empty_store, "winter", EFFORT, AUTUMN)
    page = see_share_out(empty_store, done.number, AUTUMN)
    assert len(page.refusals) == 1, "five squads cannot all have one of four places"
    ask = page.refusals[0].ask
    answer = other_places(empty_store, Spot(proposal=done.number, ask=ask), AUTUMN)
    assert answer.now == ""
    assert answer.options == ()
    shut = Disruption((GroundClosed("marsh-lane-top-pitch/half-1", WEDNESDAY, WEDNESDAY),))
    publish_share_out(empty_store, done.number, AUTUMN)
    dropped = Disruption(dropped=frozenset({"u12-kestrels", "u12-merlins"}))
    week = Scope(Sort.WEEK, WEDNESDAY)
    publish_share_out(
        empty_store, propose_reshare(empty_store, week, dropped, EFFORT, AUTUMN), AUTUMN
    )
    again = propose_reshare(empty_store, week, shut, EFFORT, AUTUMN)
    missing = see_share_out(empty_store, again, AUTUMN).refusals
    spot = Spot(proposal=again, ask=missing[0].ask)
    assert other_places(empty_store, spot, AUTUMN).now == ""
    for never in (Spot(proposal=again, ask="x"), Spot(proposal=again, place=99)):
        with pytest.raises(MissingError, match="Choose a session"):
            other_places(empty_store, never, AUTUMN)


def test_what_nobody_asks_for_any_more_is_told(empty_store: Store) -> None:
    """The page of a proposal still leads there: it is said why there is no answer, and what to do.

    One who had a place and one who went without ask for nothing in the whole stretch any more.
    """
    load_small_club(empty_store, AUTUMN, squads=FULL, settings=SETTINGS, pitches=(PITCH,))
    number = run_share_out(empty_store, "winter", EFFORT, AUTUMN).number
    (refused,) = see_share_out(empty_store, number, AUTUMN).refusals
    placed = shown(empty_store, number, "U9 Wrens")
    with empty_store.write() as session:
        for squad in session.scalars(select(SquadRow)):
            if squad.name in (refused.squad_name, "U9 Wrens"):
                squad.asks.clear()
    anew = "no more; share out anew"
    for spot in (Spot(proposal=number, ask=refused.ask), Spot(proposal=number, place=placed.place)):
        with pytest.raises(RefusedError, match=anew):
            other_places(empty_store, spot, AUTUMN)
    with pytest.raises(RefusedError, match=anew):
        why_without(empty_store, number, refused.ask, AUTUMN)
    wish = Wish(refused.ask, 0, 1020, "marsh-lane-top-pitch/half-1")
    with pytest.raises(RefusedError, match=anew):
        what_if(empty_store, number, wish, AUTUMN, 1.0)


def test_who_goes_without_is_found_again_after_its_squad_was_changed(empty_store: Store) -> None:
    """What a squad asks for has another number then; it is the same that misses a session."""
    load_small_club(empty_store, AUTUMN, squads=FULL, settings=SETTINGS, pitches=(PITCH,))
    number = run_share_out(empty_store, "winter", EFFORT, AUTUMN).number
    (refused,) = see_share_out(empty_store, number, AUTUMN).refusals
    for key in ("u12-kestrels", "u12-merlins", "u13-harriers", "u13-terns", "u8-finches"):
        form = see_squad_form(empty_store, key)
        about = {**dict.fromkeys(SQUAD_COLUMNS, ""), **form.squad}
        asks = [{**ask, "preferred": "Wed 17:15-18:15"} for ask in form.asks]
        save_squad(empty_store, key, about, asks, form.seen, AUTUMN)
    answer = other_places(empty_store, Spot(proposal=number, ask=refused.ask), AUTUMN)
    assert (answer.squad_name, answer.now) == (refused.squad_name, "")
    why = why_without(empty_store, number, refused.ask, AUTUMN)
    assert (why.squad_name, why.missing) == (refused.squad_name, 1)
    assert why.ask != refused.ask


def test_a_booking_is_asked_about_on_its_evening(store: Store, number: int) -> None:
    """From a booking other places of that date are told; a choice is one evening's proposal."""
    publish_share_out(store, number, AUTUMN)
    row = booking_of(store, "U12 Kestrels")
    answer = other_places(store, Spot(booking=row.id), AUTUMN)
    assert answer.now.startswith("Wednesday 25 November 2026")
    fresh = put_by_hand(store, Spot(booking=row.id), answer.options[0].choice, AUTUMN)
    page = see_share_out(store, fresh, AUTUMN)
    assert page.sort is Sort.EVENING
    publish_share_out(store, fresh, AUTUMN)
    assert booking_of(store, "U12 Kestrels").sequence == row.sequence + 1


def test_a_fixed_session_is_left_alone_until_it_is_let_go(store: Store, number: int) -> None:
    """Fixing keeps a session through a later publishing; letting it go gives it back."""
    publish_share_out(store, number, AUTUMN)
    row = booking_of(store, "U12 Kestrels")
    assert "kept where it is" in fix_booking(store, row.id, 0, AUTUMN, is_fixed=True)
    with pytest.raises(RefusedError, match="fixed by hand"):
        other_places(store, Spot(booking=row.id), AUTUMN)
    spot = Spot(proposal=number, place=shown(store, number, "U12 Kestrels").place)
    option = other_places(store, spot, AUTUMN).options[0]
    fresh = put_by_hand(store, spot, option.choice, AUTUMN)
    publish_share_out(store, fresh, AUTUMN)
    same = booking_of(store, "U12 Kestrels")
    assert (same.id, same.sequence, same.starts_at) == (row.id, row.sequence, row.starts_at)
    assert "free for share-outs" in fix_booking(store, row.id, 0, AUTUMN, is_fixed=False)
    again = put_by_hand(
        store,
        Spot(proposal=fresh, place=shown(store, fresh, "U9 Wrens").place),
        other_places(
            store, Spot(proposal=fresh, place=shown(store, fresh, "U9 Wrens").place), AUTUMN
        )
        .options[0]
        .choice,
        AUTUMN,
    )
    publish_share_out(store, again, AUTUMN)
    assert booking_of(store, "U12 Kestrels").sequence == row.sequence + 1


def test_only_training_that_is_to_come_is_fixed(store: Store, number: int) -> None:
    """Matches, the past and what somebody changed in between are told."""
    publish_share_out(store, number, AUTUMN)
    row = booking_of(store, "U12 Kestrels")
    with pytest.raises(OutdatedError, match="in the meantime"):
        fix_booking(store, row.id, 7, AUTUMN, is_fixed=True)
    with pytest.raises(RefusedError, match="is over"):
        fix_booking(store, row.id, 0, datetime(2027, 3, 1, tzinfo=UTC), is_fixed=True)
    match = book(store, "League", "whole", day=date(2026, 11, 28), start_min=600, end_min=700,
                 purpose=Purpose.MATCH, now=AUTUMN)  # fmt: skip
    with pytest.raises(RefusedError, match="training"):
        fix_booking(store, match, 0, AUTUMN, is_fixed=True)
    with pytest.raises(MissingError, match="withdrawn"):
        fix_booking(store, 9999, 0, AUTUMN, is_fixed=True)
    with pytest.raises(MissingError, match="no squad's session"):
        other_places(store, Spot(booking=match), AUTUMN)


def test_other_sorts_of_proposals_are_asked_about_too(store: Store, number: int) -> None:
    """An evening's and a rest's proposals answer, with their closed ground left out."""
    publish_share_out(store, number, AUTUMN)
    (own,) = [
        b for b in kept_bookings(store) if b.local[0] == WEDNESDAY and b.holder == "U12 Kestrels"
    ]
    shut = Disruption((GroundClosed(own.area, WEDNESDAY, WEDNESDAY, reason="Frost"),))
    for scope in (Scope(Sort.EVENING, WEDNESDAY), Scope(Sort.WEEK, WEDNESDAY)):
        again = propose_reshare(store, scope, shut, Effort(seconds=3), AUTUMN)
        page = see_share_out(store, again, AUTUMN)
        place = page.days[0][1][0].place
        half = page.difference.squads[0].lines[0].old.partition(", ")[2]
        for option in other_places(store, Spot(proposal=again, place=place), AUTUMN).options:
            assert half not in option.where
    with pytest.raises(RefusedError, match="whole stretch"):
        pinned_sessions(store, again, {0})


def test_a_plan_changed_by_hand_says_anew_why_somebody_goes_without(empty_store: Store) -> None:
    """Two of four are at another hour by hand: the fifth is told who holds the ground now."""
    load_small_club(empty_store, AUTUMN, squads=FULL, settings=SETTINGS, pitches=(PITCH,))
    done = run_share_out(empty_store, "winter", EFFORT, AUTUMN)
    page = see_share_out(empty_store, done.number, AUTUMN)
    (refused,) = page.refusals
    for _, places in page.days:
        for place in places:
            spot = Spot(proposal=done.number, place=place.place)
            answer = other_places(empty_store, spot, AUTUMN)
            if answer.options:
                break
    fresh = put_by_hand(empty_store, spot, answer.options[0].choice, AUTUMN)
    (again,) = see_share_out(empty_store, fresh, AUTUMN).refusals
    assert again.ask == refused.ask
    assert any("are held by" in reason for reason in again.reasons)
    assert any("not settled" in reason for reason in again.reasons), "nothing is proved by hand"
