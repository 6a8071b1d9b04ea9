"""What part of a pitch it is, in words."""

from __future__ import annotations

from typing import Protocol


class Part(Protocol):
    """An area, as a value or as a row."""

    @property
    def name(self) -> str:
        """Its own name: "Clubhouse third", of a whole pitch the pitch's."""

    @property
    def cut(self) -> str:
        """What the pitch is cut into for it: "thirds", "whole"."""


def part_in_words(part: Part, pitch_name: str) -> str:
    """Write an area with its pitch: "Clubhouse third, Top pitch"; a whole pitch by its name."""
    return part.name if part.cut == "whole" else f"{part.name}, {pitch_name}"
