"""What changes is counted, what does not is left out."""

from __future__ import annotations

import pytest

from clubplanner.services.proposals.counted import count_changes, count_signs


@pytest.mark.parametrize(
    ("counts", "words"),
    [
        ((12, 3, 0, 1), "12 sessions added, 3 moved, 1 withdrawn"),
        ((0, 1, 6, 0), "1 session moved, 6 kept"),
        ((0, 0, 0, 1), "1 session withdrawn"),
        ((0, 0, 0, 0), "nothing changes"),
    ],
)
def test_changes_are_counted_without_noughts(counts: tuple[int, int, int, int], words: str) -> None:
    """The first that happens says what is counted."""
    added, moved, kept, withdrawn = counts
    told = count_changes(added=added, moved=moved, kept=kept, withdrawn=withdrawn)
    assert told == words


def test_signs_of_a_week_are_counted_without_noughts() -> None:
    """As a sentence below the drawing."""
    assert count_signs(new=2, moved=0, gone=1) == "2 new, 1 without a place here any more."
    assert count_signs(new=0, moved=0, gone=0) == "Nothing changes."
