"""What part of a pitch it is, in words."""

from __future__ import annotations

from clubplanner.domain.ground.ground_words import part_in_words
from tests.builders import make_pitch


def test_a_part_is_told_with_its_pitch_and_a_whole_one_by_its_name() -> None:
    """The whole is called what the pitch is called, so it is not said twice."""
    pitch = make_pitch()
    whole, *parts = pitch.areas
    assert part_in_words(whole, pitch.name) == whole.name
    assert {part.cut for part in parts} >= {"halves", "thirds"}
    for part in parts:
        assert part_in_words(part, pitch.name) == f"{part.name}, {pitch.name}"
