"""How many pieces fit on ground with square corners: bound, search and proof."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.fitting.packing.skyline import OutOfStepsError, SkylineSearch
from clubplanner.fitting.packing.square_ground import SquareFrame, square_ground

if TYPE_CHECKING:
    from collections.abc import Sequence

    from shapely import Polygon

    from clubplanner.fitting.outlines.irregular import Place

SQUARE_STEPS = 1_000
"""Dents looked at while a person waits; some 15 milliseconds on an ordinary machine."""
_MOST_SEARCHED = 150
"""Beyond so many pieces the search has no chance and is left out."""
_MOST_PLACES = 2_000
"""With more places to start from along a side it has none either."""


@dataclass(frozen=True, slots=True)
class SquareQuestion:
    """One question about ground with square corners.

    Attributes:
        skyline: The search for it.
        frame: Where its units lie on the ground.
        size_m: Length and width of a piece.
        bound: No layout along the edges holds more.
    """

    skyline: SkylineSearch
    frame: SquareFrame
    size_m: tuple[float, float]
    bound: int

    def search(
        self, known: tuple[list[Place], int], wanted: int, steps: int
    ) -> tuple[list[Place], int]:
        """Close the distance between a layout and its bound, from what is wanted downwards.

        Args:
            known: A layout, and a bound known already.
            wanted: How many pieces to look for at most.
            steps: Dents that may be looked at.

        Returns:
            The best layout, and the smallest bound.
        """
        placed, bound = known
        places = max(len(along) for along in self.skyline.places)
        if bound > _MOST_SEARCHED or places > _MOST_PLACES:
            return known
        self.skyline.steps = steps
        try:
            while len(placed) < wanted:
                found = self.skyline.run(wanted)
                if found is not None:
                    place = self.frame.place
                    return [
                        place((x, y), self.size_m, is_standing=turn) for x, y, turn in found
                    ], bound
                wanted -= 1
                bound = min(bound, wanted)
        except OutOfStepsError:
            pass
        return placed, bound


def square_question(
    parts: Sequence[Polygon], size_m: tuple[float, float], gap_m: float
) -> SquareQuestion | None:
    """Look at a ground whose edges all lie along one direction or across it.

    Args:
        parts: The ground, metres.
        size_m: Length and width of a piece.
        gap_m: Distance between any two, along one of their sides.

    Returns:
        The question, with a bound by what lines through the ground cannot fill; None for other
        ground.
    """
    size = (max(size_m), min(size_m))
    found = square_ground(parts, size, gap_m)
    if found is None:
        return None
    land, frame, box = found
    skyline = SkylineSearch(land.size, box, 0, land)
    whole = skyline.must_waste()
    bound = max(0, land.area - whole) // (box[0] * box[1])
    return SquareQuestion(skyline, frame, size, bound)
