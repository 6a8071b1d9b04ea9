"""Forms of the game and their sizes, as published or as a club sets them."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from clubplanner.language import _

if TYPE_CHECKING:
    from datetime import date

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
        valid_from: First date of the seasons for which it holds; None for always.
        valid_until: First date for which it holds no more; None while it holds.
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
    valid_from: date | None = None
    valid_until: date | None = None

    def covers_age(self, age: int | None) -> bool:
        """Tell whether the format is for an age group, 13 for under 13s and None for adults."""
        if age is None:
            return self.age_to is None
        return (self.age_from or 0) <= age <= (math.inf if self.age_to is None else self.age_to)

    def is_valid_on(self, day: date) -> bool:
        """Tell whether the format holds on a date: from its first on, before the one it ends on."""
        has_begun = self.valid_from is None or self.valid_from <= day
        return has_begun and (self.valid_until is None or day < self.valid_until)


def sure_in_words(standing: str) -> str:
    """Say how sure a figure is, of `STANDINGS`; blank where it was read in the source."""
    words = {
        "secondary": _("as others quote it"),
        "from memory": _("not confirmed"),
    }
    return words.get(standing, "")
