"""Forms of the game and their sizes, as published or as a club sets them."""

from __future__ import annotations

import math
from dataclasses import dataclass

METRES_PER_FOOT = 0.3048
"""Exactly, a third of the international yard of 1959."""
STANDINGS = ("read in the source", "secondary", "from memory")
"""How sure a published figure is: as printed, as another page quotes it, or unconfirmed."""


@dataclass(frozen=True, slots=True)
class GameFormat:
    """A form of the game with the size its governing body, or the club, gives it.

    Attributes:
        code: Short name, one of a kind in the table: "5v5".
        sport: Such as "football".
        body: Who publishes the size.
        age_from: Youngest age group, 7 for under 7s; None for any.
        age_to: Oldest age group; None for no upper end (adults too).
        players_a_side: On the ground at one time, the goalkeeper counted.
        length_m: Between the goal lines.
        width_m: Between the side lines.
        run_off_m: Clear ground to keep all round; None where the source gives none.
        goal_width_m: Between the posts; None where the source gives none.
        goal_height_m: Under the bar; None where the source gives none.
        standing: How sure the figures are, one of `STANDINGS`.
        source: Where they are published.
        note: What else the source says; may be blank.
    """

    code: str
    sport: str
    body: str
    age_from: int | None
    age_to: int | None
    players_a_side: int
    length_m: float
    width_m: float
    run_off_m: float | None
    goal_width_m: float | None
    goal_height_m: float | None
    standing: str
    source: str
    note: str = ""

    def covers_age(self, age: int | None) -> bool:
        """Tell whether the format is for an age group, 13 for under 13s and None for adults."""
        if age is None:
            return self.age_to is None
        return (self.age_from or 0) <= age <= (math.inf if self.age_to is None else self.age_to)
