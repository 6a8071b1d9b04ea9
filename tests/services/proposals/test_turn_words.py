"""Turns as a page shows them, in the language of whoever reads."""

from __future__ import annotations

from clubplanner.language import speaking
from clubplanner.services.proposals.turn_words import turns_shown

SAVED = {
    "day": "Wednesday",
    "dates": ["2026-11-04", "2026-11-11"],
    "squads": ["U12 Kestrels", "U14 Harriers"],
    "slots": ["Top pitch, 17:30", "Top pitch, 19:00"],
    "burdens": [[0, 2], [0, 2]],
    "turns": [[0, 1], [1, 0]],
    "carried": [0, 0],
    "totals": [2, 2],
    "still": [False, False],
    "changes": 2,
    "is_proved": False,
}


def test_the_weekday_is_told_in_the_readers_language() -> None:
    """Whoever made the turns may have spoken another."""
    assert turns_shown(SAVED).day == "Wednesday"
    with speaking("de"):
        shown = turns_shown(SAVED)
    assert shown.day == "Mittwoch"
    assert "Wechsel am Mittwoch" in shown.drawing
