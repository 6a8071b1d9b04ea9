"""Squads and what they ask for."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from clubplanner.domain.club.comparing_names import plain_name
from clubplanner.domain.club.persons.coaches import Coach

if TYPE_CHECKING:
    from clubplanner.domain.times.times import Window

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
        coach: The first coach's name; blank when not known.
        coach_email: Theirs; blank when not known.
        coach_phone: Theirs; blank when not known. It stands on no page but the secretary's.
        coach_number: Their number in the club's records; 0 where it is not known.
        assistants: The other coaches, in order.
        club: The name of the club within the record that it belongs to, where that is asked for;
            blank for none.
    """

    key: str
    name: str
    age_group: str
    players: int
    goalkeepers: int
    coach: str
    coach_email: str
    coach_phone: str = ""
    coach_number: int = 0
    assistants: tuple[Coach, ...] = ()
    club: str = ""

    @property
    def coach_key(self) -> str:
        """Who answers for it: the same key is the same person; blank when not known.

        Where there are no numbers, as in values that come from no records, the name decides.
        """
        return f"person {self.coach_number}" if self.coach_number else plain_name(self.coach)

    @property
    def coaches(self) -> tuple[Coach, ...]:
        """Everybody who coaches it, the first one first."""
        if not (self.coach or self.coach_email):
            return self.assistants
        first = Coach(self.coach, self.coach_email, self.coach_phone, self.coach_number)
        return (first, *self.assistants)

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
class AskWish:
    """Something an ask would like; one of windows, weekdays and place is given.

    Attributes:
        grade: 1 nice to have, 2 matters, 3 matters much.
        windows: Times.
        weekdays: Weekdays, Monday 0.
        place: Name of a venue, of a pitch, or of an area; blank for none.
    """

    grade: int
    windows: tuple[Window, ...] = ()
    weekdays: tuple[int, ...] = ()
    place: str = ""


@dataclass(frozen=True, slots=True)
class Partner:
    """What a squad would like of its sessions and another squad's.

    Attributes:
        kind: "share a pitch", "keep apart", "not at one time", "one after the other" or "same
            evening".
        squad_key: The other squad.
        grade: 1 nice to have, 2 matters, 3 matters much.
    """

    kind: str
    squad_key: str
    grade: int


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
        priority: Weight of each session when not all can be placed, 1 to 9, higher first.
        latest_finish_min: Sessions end by then; None for what the club's table says.
        rest_days: Fewest days between two sessions.
        no_day_before: Weekdays on whose eve there is no session.
        no_day_after: Weekdays on whose morrow there is no session.
        most_in_a_row: On how many days one after the other the squad trains at most; None for no
            such rule.
        wishes: What would be liked, by grade.
        partners: What would be liked of other squads' sessions.
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
    priority: int = 1
    latest_finish_min: int | None = None
    rest_days: int = 0
    no_day_before: frozenset[int] = frozenset()
    no_day_after: frozenset[int] = frozenset()
    most_in_a_row: int | None = None
    wishes: tuple[AskWish, ...] = ()
    partners: tuple[Partner, ...] = ()


@lru_cache(maxsize=1_000)
def age_from_group(age_group: str) -> int | None:
    """Read the years of an "under" age group: "U13", "Under 13s", "u13 girls", "U13A".

    Returns:
        The years, or None for any other text.
    """
    match = _AGE.match(age_group)
    return int(match[1]) if match else None
