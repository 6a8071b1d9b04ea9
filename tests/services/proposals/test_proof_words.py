"""What a proposal's page says is proved, and by what."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from clubplanner.services.proposals.proof_words import certificate_as_json, proof_in_words
from clubplanner.services.proposals.proposal_page import effort_in_words
from clubplanner.sharing import Effort, Kind
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import plain
from tests.sharing.builders import make_ask, make_pitch, make_problem


def test_what_prices_prove_is_told_apart_from_what_the_search_did() -> None:
    """By hand: two squads and one hour are worth 14 together, and one of them has 7."""
    problem = make_problem(make_pitch(), *(make_ask(key, minutes=120) for key in "ab"))
    outcome = solve(problem, Effort(seconds=2))
    assert certificate_as_json(outcome) == {"most": 7, "is_bound": True}
    saved = {
        "levels": [plain(level) for level in outcome.levels],
        "certificate": certificate_as_json(outcome),
    }
    start = "Of points for sessions placed no plan has more than 7, and this one has 7. "
    assert proof_in_words(saved) == (
        start + "Prices of the scarce hours prove it: anybody can check it by adding up."
    )
    assert proof_in_words(saved | {"certificate": {"most": 9, "is_bound": False}}) == (
        start + "That none has more than 9 anybody can check by adding up prices of the scarce "
        "hours; the rest the search proved."
    )
    without = certificate_as_json(replace(outcome, certificate=None))
    assert proof_in_words(saved | {"certificate": without}) == (
        start + "The search proved it; there is no short sum for it."
    )


def test_proposals_from_before_say_nothing() -> None:
    """What was kept without a certificate, and what has no aims, has no line."""
    assert proof_in_words({"levels": []}) == ""
    assert proof_in_words({"levels": [], "certificate": None}) == ""


def test_nobody_reads_of_a_proved_plan_that_it_was_cut_short() -> None:
    """What could not be better was not ended early, whoever or whatever stopped it afterwards."""
    saved: dict[str, Any] = {"effort": {"seconds": 10.0, "workers": 2, "seed": 1}, "seconds": 0.4}
    told = "10 seconds allowed, 0 used, seed 1."
    again = "The same records, seed and time give the same plan again."
    as_good = "Again it may give another plan that is as good."
    many = "Several processes searched at once, so it may come out differently again."
    cut = "It was cut short by the clock or by hand, so it may come out differently again."
    for kind, workers, is_repeatable, words in (
        (Kind.PROVED_BEST, 1, True, again),
        (Kind.PROVED_BEST, 1, False, as_good),
        (Kind.PROVED_BEST, 2, False, as_good),
        (Kind.GOOD, 1, True, again),
        (Kind.GOOD, 2, False, many),
        (Kind.GOOD, 1, False, cut),
        (Kind.OUT_OF_TIME, 1, False, cut),
    ):
        effort = saved["effort"] | {"workers": workers}
        one = {**saved, "effort": effort, "is_repeatable": is_repeatable}
        assert effort_in_words(one, kind.value) == f"{told} {words}"
