"""Squads and what they ask for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from clubplanner.domain.times import Window

_AGE = re.compile(r"^\s*(?:u|under)\s*-?\s*(\d{1,2})(?!\d)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Squad:
    """A group that trains together: a name, an age group and numbers, never players' names.

    Attributes:
        key: Short name in addresses and commands.
        name: As people say it.
        age_group: As written, such as "U13" or "Adult".
        players: Players expected at a session, goalkeepers among them.
        goalkeepers: How many of the players keep goal.
        coach: The coach's name; blank when not known.
        coach_email: Blank when not known.
    """

    key: str
    name: str
    age_group: str
    players: int
    goalkeepers: int
    coach: str
    coach_email: str

    @property
    def age(self) -> int | None:
        """Years of an "under" age group: 13 for "U13"; None for adults."""
        return age_from_group(self.age_group)


@dataclass(frozen=True, slots=True)
class LeastGround:
    """The smallest ground that will do; every part that is given must be met.

    Attributes:
        area_m2: Least area, square metres; 0 for any.
        share: Least part of a pitch, such as 0.5; 0 for any.
        format_code: A game format whose pitch must fit, such as "7v7"; blank for any.
    """

    area_m2: float = 0.0
    share: float = 0.0
    format_code: str = ""


@dataclass(frozen=True, slots=True)
class Ask:
    """What a squad wants of a week.

    Attributes:
        squad_key: Whose ask it is.
        sessions: Sessions a week, on different days.
        minutes: Length of each.
        possible: When a session may lie, wholly inside one window.
        preferred: When it would best lie; empty for no wish.
        least_ground: The smallest ground that will do.
        surfaces: Surfaces that will do; empty for any.
        needs_goal: Whether a goal must stand on the ground.
        needs_light: Whether only lit or indoor ground will do, whatever the season.
    """

    squad_key: str
    sessions: int
    minutes: int
    possible: tuple[Window, ...]
    preferred: tuple[Window, ...]
    least_ground: LeastGround
    surfaces: frozenset[str]
    needs_goal: bool
    needs_light: bool


def age_from_group(age_group: str) -> int | None:
    """Read the years of an "under" age group: "U13", "Under 13s", "u13 girls", "U13A".

    Returns:
        The years, or None for any other text.
    """
    match = _AGE.match(age_group)
    return int(match[1]) if match else None
