"""What is believed of a result, and that a result of an earlier release is told as that."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from clubplanner.sharing import Effort, Kind, Outcome, Placement, Problem
from clubplanner.sharing.checks.believed import NOT_CHECKED, NOT_NAMED, not_checked
from clubplanner.sharing.checks.verifying import verify
from clubplanner.sharing.files.files import read_outcome, write_value
from clubplanner.sharing.solving.kept import outcome_by_hand, outcome_of_plan
from clubplanner.sharing.values.outcome import EARLIER_SHAPE, SHAPE, CutShort, Reason
from tests.sharing.builders import make_ask, make_pitch, make_problem

PIN = Placement("a", 0, "top-whole-0", 0, 1080, 1140)


def left_free() -> tuple[Problem, Outcome]:
    """Return a plan that leaves a place free for an ask, and names it."""
    problem = make_problem(make_pitch(), make_ask("a"), make_ask("b"))
    return problem, outcome_of_plan(problem, Effort(seconds=5), [PIN], CutShort.MEMORY)


def not_naming(outcome: Outcome) -> Outcome:
    """Say of whoever goes without only that it is not settled, as earlier releases did."""
    (refusal,) = outcome.refusals
    reasons = (*refusal.reasons[1:], Reason("open"))
    return replace(outcome, refusals=(replace(refusal, reasons=reasons),))


def by_hand() -> tuple[Problem, Outcome]:
    """Return a plan in which somebody put a session."""
    problem = make_problem(make_pitch(), make_ask("a", pinned=(PIN,)), make_ask("b"))
    return problem, outcome_by_hand(problem, [PIN])


def test_a_place_that_an_earlier_release_did_not_name_is_told_as_not_checked() -> None:
    """Its result passes, and what the check did not look for is listed; now it would fail."""
    problem, outcome = left_free()
    assert verify(problem, outcome) == ()
    assert not_checked(outcome) == NOT_CHECKED
    silent = not_naming(outcome)
    assert [fault.code for fault in verify(problem, silent)] == ["reason"]
    earlier = replace(silent, shape=EARLIER_SHAPE)
    assert verify(problem, earlier) == ()
    assert not_checked(earlier) == (*NOT_CHECKED, NOT_NAMED)


def test_an_earlier_release_is_held_to_all_else_that_it_tells() -> None:
    """A place that it names must be free, and whoever it names in the way must be there."""
    problem, outcome = left_free()
    earlier = replace(outcome, shape=EARLIER_SHAPE)
    assert verify(problem, earlier) == ()
    assert not_checked(earlier) == NOT_CHECKED
    (refusal,) = not_naming(earlier).refusals
    fewer = replace(earlier, refusals=(replace(refusal, reasons=refusal.reasons[-1:]),))
    assert verify(problem, fewer)


def test_a_file_says_its_shape_and_one_without_is_earlier() -> None:
    """What is written now says so, and a later one is for a later release."""
    _problem, outcome = left_free()
    body = json.loads(write_value(outcome))
    assert body["shape"] == SHAPE
    del body["shape"]
    found, faults = read_outcome(json.dumps(body).encode())
    assert faults == ()
    assert found == replace(outcome, shape=EARLIER_SHAPE)
    body["shape"] = SHAPE + 1
    found, faults = read_outcome(json.dumps(body).encode())
    assert found is None
    assert [fault.where for fault in faults] == ["$.shape"]
    assert "take the release that wrote the file" in faults[0].message


def test_a_plan_by_hand_is_true() -> None:
    """It has no aims, and says who goes without and why."""
    problem, outcome = by_hand()
    assert (outcome.kind, outcome.levels, outcome.seconds) == (Kind.BY_HAND, (), 0.0)
    assert [refusal.ask for refusal in outcome.refusals] == ["b"]
    assert verify(problem, outcome) == ()
    assert read_outcome(write_value(outcome).encode()) == (outcome, ())
    assert "made by hand; nothing is proved" in outcome.sentence


@pytest.mark.parametrize(
    "bent",
    [
        {"kind": Kind.OUT_OF_TIME},
        {"kind": Kind.GOOD},
        {"kind": Kind.IMPOSSIBLE},
        {"kind": Kind.PROVED_BEST},
        {"seconds": 1.0},
        {"is_repeatable": True},
        {"cut_short": CutShort.MEMORY},
        {"shape": EARLIER_SHAPE},
        {"placements": ()},
        {"refusals": ()},
    ],
)
def test_a_plan_by_hand_tells_of_no_search(bent: dict[str, object]) -> None:
    """Another kind, time used or a proof is untrue of it, and so is another plan."""
    problem, outcome = by_hand()
    assert verify(problem, replace(outcome, **bent))  # type: ignore[arg-type]


def test_what_a_search_found_is_not_called_by_hand() -> None:
    """It has aims; and where nobody put a session anywhere, nothing was made by hand."""
    problem, outcome = left_free()
    assert verify(problem, replace(outcome, kind=Kind.BY_HAND))
    bare = outcome_by_hand(problem, [PIN])
    assert [fault.code for fault in verify(problem, bare)] == ["by hand"]
