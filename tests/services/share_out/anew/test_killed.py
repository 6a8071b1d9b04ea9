"""A search whose process is killed leaves a proposal that says so."""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.services.proposals.proposal_page import see_share_out
from clubplanner.services.share_out.anew.anew import run_share_out
from clubplanner.sharing.values.brake import Brake
from clubplanner.sharing.values.problem import Effort
from tests.builders import NOW
from tests.sharing.killing import killing_after_a_plan
from tests.small_club import load_small_club

if TYPE_CHECKING:
    from clubplanner.store.engine import Store


def test_the_best_plan_of_a_killed_process_is_kept_as_a_proposal(empty_store: Store) -> None:
    """As a run from the pages searches: in a child, with a brake."""
    store = load_small_club(empty_store, NOW)
    with killing_after_a_plan() as plans:
        done = run_share_out(store, "winter", Effort(seconds=60), NOW, brake=Brake(), is_apart=True)
    assert done.placed == len(plans[-1]) > 0
    assert "ended from outside" in see_share_out(store, done.number, NOW).sentence
