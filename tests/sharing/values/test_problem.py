"""What a problem's digest tells of."""

from __future__ import annotations

from dataclasses import replace

from clubplanner.sharing import Standing, digest
from clubplanner.sharing.example.example import example
from tests.sharing.builders import MONDAY, make_ask, make_pitch, make_problem


def test_a_field_that_came_later_changes_no_digest_until_it_is_given() -> None:
    """A result from before there were evenings in a row still belongs to its problem.

    The text was computed with the version before those fields.
    """
    assert digest(example(12, 2, 1, 0.8)) == "de7feb0c27a4a004"


def test_every_rule_of_an_ask_changes_the_digest() -> None:
    """Problems that differ have different digests."""
    asks = [
        make_ask(),
        make_ask(earliest_start_min=1080),
        make_ask(earliest_start_min=0),
        make_ask(most_in_a_row=3),
        make_ask(latest_finish_min=1200),
    ]
    problem = make_problem(make_pitch())
    assert len({digest(replace(problem, asks=(ask,))) for ask in asks}) == len(asks)


def test_a_closure_without_changeover_changes_the_digest() -> None:
    """What stands is told by whether time for changing over is kept round it."""
    match = Standing("top", 1, MONDAY, 1080, 1140, "Cup")
    problem = make_problem(make_pitch(), standing=(match,))
    closed = replace(problem, standing=(replace(match, needs_changeover=False),))
    assert digest(problem) != digest(closed)
