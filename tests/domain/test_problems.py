"""Problems say where they stand."""

from __future__ import annotations

from clubplanner.domain.problems import Problem


def test_a_problem_says_where_it_stands() -> None:
    """With a place it is named first; without one the message stands alone."""
    message = "Write the minutes as a number."
    assert str(Problem("squads.csv, row 4", "not-a-number", message)) == (
        f"squads.csv, row 4: {message}"
    )
    assert str(Problem("", "not-a-number", message)) == message
