"""What if a session of a proposal is insisted on: who pays, taking it, and both compared."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import pytest

from clubplanner.errors import MissingError, OutdatedError, RefusedError
from clubplanner.language import speaking
from clubplanner.services.proposals.kept_proposals import see_proposal
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.share_out.by_hand.compared import compare_proposals
from clubplanner.services.share_out.by_hand.what_if import (
    Wish,
    choices,
    find_wish,
    take_what_if,
    what_if,
)
from tests.services.share_out.again.test_in_turns import AUTUMN
from tests.services.share_out.by_hand.test_by_hand import SHARED_OUT, share_winter_out

if TYPE_CHECKING:
    from clubplanner.services.proposals.proposals import ProposedSession
    from clubplanner.store.engine import Store
    from tests.stores import Filled


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of one pitch: two squads early, two late, on its two halves."""
    return filled(share_winter_out)


def sessions(store: Store, number: int = SHARED_OUT) -> dict[str, ProposedSession]:
    """Return the session of each squad, each of which has one."""
    return {one.squad_name: one for one in see_proposal(store, number).sessions}


def swap(store: Store) -> tuple[Wish, str, str]:
    """Wish for an early place for somebody who is late; return the wish and both names."""
    placed = sessions(store).values()
    early = next(one for one in placed if one.start_min == 17 * 60 and one.weekday == 2)
    late = next(one for one in placed if one.start_min == 18 * 60)
    day = next(n for n, words in choices(store, SHARED_OUT, AUTUMN).days if words == "Wednesday")
    return Wish(late.ask, day, 17 * 60, early.ground), late.squad_name, early.squad_name


def test_it_is_told_who_pays_and_nothing_is_changed(store: Store) -> None:
    """Somebody early has to be late instead, and is worth less by it; that is proved."""
    wish, winner, _holder = swap(store)
    before = see_proposal(store, SHARED_OUT)
    found = what_if(store, SHARED_OUT, wish, AUTUMN, 2.0)
    assert (found.squad_name, found.lost, found.moved) == (winner, 0, 1)
    assert found.sentence == "Nobody loses a session; 1 session moves."
    assert found.is_proved
    assert found.proof.startswith("Proved: ")
    assert found.against == ()
    payer = next(one for one in found.payers if one.squad_name != winner)
    assert payer.after < payer.before
    gainer = next(one for one in found.payers if one.squad_name == winner)
    assert gainer.after > gainer.before
    assert see_proposal(store, SHARED_OUT) == before
    with speaking("de"):
        told = what_if(store, SHARED_OUT, wish, AUTUMN, 2.0)
    assert told.sentence == "Niemand verliert eine Einheit; 1 Einheit zieht um."
    assert told.where.startswith("Mittwoch")


def test_it_is_taken_just_as_it_was_shown_and_compared(store: Store) -> None:
    """One step makes a new proposal, pinned; beside the old one two squads have something else."""
    wish, winner, _holder = swap(store)
    found = what_if(store, SHARED_OUT, wish, AUTUMN, 2.0)
    number = take_what_if(store, SHARED_OUT, wish, found.changes, AUTUMN)
    fresh = sessions(store, number)
    assert fresh[winner].is_pinned
    assert fresh[winner].start_min == 17 * 60
    page = see_share_out(store, number, AUTUMN)
    assert page.sentence.startswith(f"Insisted on: {winner} on Wednesday 17:00–18:00")
    beside = compare_proposals(store, SHARED_OUT, number, AUTUMN)
    touched = {one.squad_name for one in found.payers}
    assert {one.squad_name for one in beside.squads} == touched
    assert beside.same == 3
    assert beside.caution == ""
    served = next(one for one in beside.matters if one.code == "served")
    assert any(winner in words for words in served.only[0])
    assert [one.code for one in beside.matters] == [
        "without",
        "late",
        "travel",
        "neighbours",
        "served",
        "cost",
    ]
    same = compare_proposals(store, SHARED_OUT, SHARED_OUT, AUTUMN)
    assert (same.squads, same.sentence) == ((), "Both have the same sessions.")
    assert all(one.better is None for one in same.matters)


@pytest.mark.parametrize("taken", ["", "[]", "nonsense", '[["1",0,"nowhere",0,1020]]', "{}"])
def test_changes_that_do_not_fit_are_not_taken(store: Store, taken: str) -> None:
    """What a form sends along is held to every rule, and to the wish."""
    wish, _winner, _holder = swap(store)
    with pytest.raises(OutdatedError):
        take_what_if(store, SHARED_OUT, wish, taken, AUTUMN)


def test_changes_that_put_two_on_one_place_are_not_taken(store: Store) -> None:
    """Without the one who makes way the new place is held."""
    wish, _winner, _holder = swap(store)
    alone = json.dumps([[wish.ask, 0, wish.ground, wish.day, wish.start_min]])
    with pytest.raises(OutdatedError):
        take_what_if(store, SHARED_OUT, wish, alone, AUTUMN)


def test_what_cannot_be_is_told_with_its_reason(store: Store) -> None:
    """Venues are closed at night, and days end."""
    wish, _winner, _holder = swap(store)
    with pytest.raises(RefusedError, match="the venue is closed then"):
        what_if(store, SHARED_OUT, Wish(wish.ask, wish.day, 60, wish.ground), AUTUMN, 1.0)
    with pytest.raises(RefusedError, match="earlier start"):
        what_if(store, SHARED_OUT, Wish(wish.ask, wish.day, 1430, wish.ground), AUTUMN, 1.0)


def test_a_wish_is_read_from_words(store: Store) -> None:
    """Names as people say them; what is not there is told."""
    wish, winner, _holder = swap(store)
    known = dict(choices(store, SHARED_OUT, AUTUMN).grounds)
    words = (winner.lower(), "wednesday", 17 * 60, known[wish.ground])
    assert find_wish(store, SHARED_OUT, *words, AUTUMN) == wish
    for bent in (("nobody", *words[1:]), (words[0], "someday", *words[2:])):
        with pytest.raises(MissingError):
            find_wish(store, SHARED_OUT, *bent, AUTUMN)
    with pytest.raises(MissingError, match="ground"):
        find_wish(store, SHARED_OUT, *words[:3], "nowhere", AUTUMN)
