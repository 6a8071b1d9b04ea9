"""Why no plan places more, as prices that anybody can add up.

A price is for one cell, or for one squad or coach: what two could pay at once would prove too
little. Measured: 40 squads half over-asked take 0.5 s and 250 prices for 489 points where the
search proves 483 and places 481; 120 squads 4.4 s and 1,000 prices for 1,477, the search's own
bound. What a search proves beyond the relaxation has no short certificate; `is_certified` says so,
also where a bound is only lowered to points that sessions can come to (`most_attained`).
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class GroundPrice:
    """What a moment on a piece of ground costs; at most one session has it.

    A session has it from its first minute until changing over after it is done.

    Attributes:
        pitch: Key of the pitch.
        cells: One cell of it, as a bit mask.
        day: Index of the day.
        minute: The moment.
        price: In parts of a point, not negative.
    """

    pitch: str
    cells: int
    day: int
    minute: int
    price: int


@dataclass(frozen=True, slots=True)
class PersonPrice:
    """What a moment of a squad or of a coach costs; at most one session has it.

    Attributes:
        squad: Key of the squad; None where it is a coach's.
        coach: Who; None where it is a squad's.
        day: Index of the day.
        minute: The moment.
        price: In parts of a point, not negative.
    """

    squad: str | None
    coach: str | None
    day: int
    minute: int
    price: int


@dataclass(frozen=True, slots=True)
class Certificate:
    """A bound on placing sessions that is checked by addition, without searching.

    Let everybody take what they like best at these prices, whoever else wants it: each ask has the
    days on which its points exceed the price of its cheapest place most. What all of them gain, and
    every price once, is more than any plan has: in a plan nobody has more than they like best, and
    no moment is sold twice. (Lagrangean relaxation of the rules about shared ground and people.)

    Attributes:
        parts: Into how many parts a point is divided.
        ground_prices: Of moments on ground; what is not named costs nothing.
        person_prices: Of moments of squads and coaches.
        most: No plan reaches more points in placing sessions.
    """

    parts: int
    ground_prices: tuple[GroundPrice, ...]
    person_prices: tuple[PersonPrice, ...]
    most: int
