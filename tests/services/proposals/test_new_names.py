"""An open proposal survives another name of what it speaks of."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.keys import key_from_name
from clubplanner.services.history.past import past_balances
from clubplanner.services.proposals.differences.compared import find_difference
from clubplanner.services.proposals.kept_proposals import load_proposal
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.rows.snapshot import load_venues
from clubplanner.services.setup.club_forms import save_venue, see_venue_form
from clubplanner.services.setup.grounds.forms import save_pitch, see_pitch_form
from clubplanner.services.setup.squads.ends import end_squad_from
from clubplanner.services.setup.squads.forms import save_squad, see_squad_form
from clubplanner.services.share_out.by_hand.by_hand import other_places
from clubplanner.services.share_out.by_hand.starting_from import Spot
from tests.builders import NOW
from tests.services.share_out.again.test_in_turns import AUTUMN
from tests.services.share_out.by_hand.test_by_hand import SHARED_OUT, share_winter_out
from tests.small_club import kept_bookings

if TYPE_CHECKING:
    from sqlalchemy.orm import Session

    from clubplanner.services.proposals.proposal_page import ProposalPage
    from clubplanner.store.engine import Store
    from tests.stores import Filled


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give a club of four squads with a proposal for its winter, not published."""
    return filled(share_winter_out)


def rename_squad(store: Store, key: str, name: str) -> str:
    """Give a squad another name by its form; return its key."""
    form = see_squad_form(store, key)
    return save_squad(store, key, {**form.squad, "squad": name}, form.asks, form.seen, AUTUMN)


def places(page: ProposalPage) -> dict[str, set[str]]:
    """Return where a proposal puts each squad."""
    found: dict[str, set[str]] = {}
    for day, shown in page.days:
        for one in shown:
            found.setdefault(one.squad_name, set()).add(f"{day} {one.times} {one.ground}")
    return found


def test_a_squad_that_is_renamed_keeps_its_place(store: Store) -> None:
    """It is shown under its new name, can be asked about, and is booked where it was."""
    before = see_share_out(store, SHARED_OUT, AUTUMN)
    old = sorted(places(before))[0]
    key = key_from_name(old)
    new_key = rename_squad(store, key, "Skylarks")
    after = see_share_out(store, SHARED_OUT, AUTUMN)
    assert places(after) == {"Skylarks" if n == old else n: w for n, w in places(before).items()}
    assert after.difference.digest
    assert old not in " ".join(one.squad_name for one in after.satisfactions)
    place = next(p.place for _d, shown in after.days for p in shown if p.squad_name == "Skylarks")
    spot = Spot(proposal=SHARED_OUT, place=place)
    assert other_places(store, spot, AUTUMN).squad_name == "Skylarks"
    publish_share_out(store, SHARED_OUT, AUTUMN)
    assert "Skylarks" in {kept.holder for kept in kept_bookings(store)}
    with store.read() as session:
        assert new_key in past_balances(session, date(2027, 5, 1))


def test_a_renamed_squad_keeps_what_it_had_before(store: Store) -> None:
    """What a published share-out gave it counts for it under its new name."""
    publish_share_out(store, SHARED_OUT, AUTUMN)
    with store.read() as session:
        before = past_balances(session, date(2027, 5, 1))
    key = sorted(before)[0]
    new_key = rename_squad(store, key, "Skylarks")
    with store.read() as session:
        after = past_balances(session, date(2027, 5, 1))
    assert after == {new_key if k == key else k: points for k, points in before.items()}


def test_a_pitch_and_a_venue_that_are_renamed_keep_their_sessions(store: Store) -> None:
    """Ground is shown under its new name, and publishing books the same parts."""
    with store.read() as session:
        before = find_difference_of(session)
    ((venue, pitch),) = grounds_of(store)
    form = see_pitch_form(store, venue, pitch)
    save_pitch(store, venue, pitch, {**form.cells, "name": "Far pitch"}, form.seen, NOW)
    shown = see_venue_form(store, venue)
    save_venue(store, venue, {**shown.cells, "name": "Mill Lane"}, shown.seen, NOW)
    page = see_share_out(store, SHARED_OUT, AUTUMN)
    assert all("Far pitch" in where for wheres in places(page).values() for where in wheres)
    assert page.difference.digest == before
    publish_share_out(store, SHARED_OUT, AUTUMN)
    assert {k.area.partition("/")[0] for k in kept_bookings(store)} == {"mill-lane-far-pitch"}


def grounds_of(store: Store) -> list[tuple[str, str]]:
    """Return the keys of all pitches, each with its venue's."""
    with store.read() as session:
        return [(v.key, p.key) for v in load_venues(session) for p in v.pitches]


def find_difference_of(session: Session) -> str:
    """Return the digest of what publishing the proposal would change."""
    return find_difference(session, load_proposal(session, SHARED_OUT), AUTUMN).digest


def test_a_squad_that_ends_falls_away_and_is_told(store: Store) -> None:
    """What is left can be published; what fell away stands on the page."""
    before = places(see_share_out(store, SHARED_OUT, AUTUMN))
    name = sorted(before)[0]
    end_squad_from(store, key_from_name(name), date(2027, 3, 1), AUTUMN)
    page = see_share_out(store, SHARED_OUT, AUTUMN)
    (words,) = page.why
    assert words.startswith(f"{name} end, with no session from Monday 1 March 2027 on. ")
    assert "of theirs fall away from this proposal" in words
    publish_share_out(store, SHARED_OUT, AUTUMN)
    held = [kept for kept in kept_bookings(store) if kept.holder == name]
    assert held
    assert max(kept.local[0] for kept in held) < date(2027, 3, 1)
    assert see_share_out(store, SHARED_OUT, AUTUMN).why == ()


def test_what_others_wish_about_a_squad_follows_its_name(store: Store) -> None:
    """A wish to train beside it is one about the same squad afterwards."""
    first, second = sorted(places(see_share_out(store, SHARED_OUT, AUTUMN)))[:2]
    form = see_squad_form(store, key_from_name(first))
    asks = [{**ask, "other squads": f"beside {second} = 2"} for ask in form.asks]
    save_squad(store, key_from_name(first), form.squad, asks, form.seen, AUTUMN)
    rename_squad(store, key_from_name(second), "Skylarks")
    wishes = see_squad_form(store, key_from_name(first)).asks[0]["other squads"]
    assert wishes == "beside Skylarks = 2"
