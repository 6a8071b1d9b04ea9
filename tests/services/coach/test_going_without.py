"""What a coach is told of a squad that goes without in the published plan."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

import pytest

from clubplanner.language import speaking
from clubplanner.services.coach.going_without import going_without
from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.proposals.publishing import publish_share_out
from clubplanner.services.share_out.anew.anew import run_share_out
from tests.services.share_out.again.test_in_turns import AUTUMN, EFFORT, PITCH
from tests.services.share_out.by_hand.test_by_hand import FULL
from tests.small_club import SETTINGS, load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.stores import Filled

WINTER_DAY = date(2026, 11, 25)


def share_full_club_out(store: Store) -> None:
    """Share a winter out in which somebody goes without."""
    load_small_club(store, AUTUMN, squads=FULL, settings=SETTINGS, pitches=(PITCH,))
    run_share_out(store, "winter", EFFORT, AUTUMN)


@pytest.fixture
def store(filled: Filled) -> Store:
    """Give that club, its winter shared out and not published."""
    return filled(share_full_club_out)


def test_a_coach_is_told_once_the_plan_is_published(store: Store) -> None:
    """Own squads alone, in the coach's language, and only of a stretch that is on."""
    (refusal,) = see_share_out(store, 1, AUTUMN).refusals
    name = refusal.squad_name
    with store.read() as session:
        assert going_without(session, {name}, WINTER_DAY) == ()
    publish_share_out(store, 1, AUTUMN)
    with store.read() as session, speaking("de"):
        (group,) = going_without(session, {name}, WINTER_DAY)
        assert going_without(session, {"Somebody else"}, WINTER_DAY) == ()
        assert going_without(session, {name}, date(2020, 1, 1)) == ()
    assert group.names == name
    assert group.answers[0][1].startswith("Mittwoch ")
