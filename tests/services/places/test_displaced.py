"""Tests of what is said of displaced sessions."""

from __future__ import annotations

import pytest

from clubplanner.services.places.displaced import Settled


@pytest.mark.parametrize(
    ("moved", "withdrawn", "words"),
    [
        (2, 1, "2 sessions moved, 1 withdrawn"),
        (1, 0, "1 session moved"),
        (0, 2, "2 sessions withdrawn"),
        (0, 0, "nobody had to go"),
    ],
)
def test_what_did_not_happen_is_not_told(moved: int, withdrawn: int, words: str) -> None:
    """A clause names what became of them, and nobody's move where nobody moved."""
    assert Settled(moved, withdrawn).words == words
