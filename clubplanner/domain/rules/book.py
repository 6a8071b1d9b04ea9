"""The rules in the order in which they are told, and the two questions that everybody asks."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from clubplanner.domain.rules.case import Case, Hindrance
from clubplanner.domain.rules.ground.changeover import changeover
from clubplanner.domain.rules.ground.closed_ground import closed_ground
from clubplanner.domain.rules.ground.enough_ground import enough_ground
from clubplanner.domain.rules.ground.floodlights import floodlights
from clubplanner.domain.rules.ground.goal import goal
from clubplanner.domain.rules.ground.held_ground import held_ground
from clubplanner.domain.rules.ground.load import load
from clubplanner.domain.rules.ground.surface import surface
from clubplanner.domain.rules.people.coach import coach
from clubplanner.domain.rules.people.evenings_in_a_row import evenings_in_a_row
from clubplanner.domain.rules.people.one_a_day import one_a_day
from clubplanner.domain.rules.people.rest import rest
from clubplanner.domain.rules.people.travel import travel
from clubplanner.domain.rules.times.asked_times import asked_times
from clubplanner.domain.rules.times.breaks import breaks
from clubplanner.domain.rules.times.curfew import curfew
from clubplanner.domain.rules.times.earliest_start import earliest_start
from clubplanner.domain.rules.times.latest_finish import latest_finish
from clubplanner.domain.rules.times.light import light
from clubplanner.domain.rules.times.opening_hours import opening_hours
from clubplanner.domain.rules.times.own_season import own_season

if TYPE_CHECKING:
    from collections.abc import Iterable

    from clubplanner.domain.times.times import TimeRange

Rule = Callable[[Case], Hindrance | None]

RULES: tuple[Rule, ...] = (
    held_ground,
    closed_ground,
    opening_hours,
    breaks,
    own_season,
    light,
    curfew,
    latest_finish,
    earliest_start,
    coach,
    travel,
    one_a_day,
    rest,
    evenings_in_a_row,
    changeover,
    load,
    asked_times,
    surface,
    floodlights,
    goal,
    enough_ground,
)
AT_THE_VENUE: tuple[Rule, ...] = (
    opening_hours,
    asked_times,
    breaks,
    own_season,
    latest_finish,
    earliest_start,
    one_a_day,
    rest,
    evenings_in_a_row,
    coach,
    travel,
)
"""Those that say the same of all ground of a venue at one time: who looks for ground asks once."""
ON_THE_PITCH: tuple[Rule, ...] = (surface, floodlights, light, curfew)
"""Those that say the same of every area of a pitch at one time."""
TAKEN: tuple[Rule, ...] = (held_ground, closed_ground)
"""Those that `Case.taken_cells` answers for all areas of a pitch at once."""
ON_THE_AREA: tuple[Rule, ...] = (enough_ground, goal, changeover, load)
"""Those that look at the area itself."""

_OF_THE_AREA: tuple[Rule, ...] = tuple(
    rule for rule in RULES if rule not in (*AT_THE_VENUE, *ON_THE_PITCH)
)


def hindrances(case: Case) -> tuple[Hindrance, ...]:
    """Return every rule that keeps a session from a place at a time; none when it may be there."""
    found = (rule(case) for rule in RULES)
    return tuple(one for one in found if one is not None)


def first_hindrance(case: Case, rules: Iterable[Rule] = RULES) -> Hindrance | None:
    """Return the first rule, in their order, that stands in the way; None when none does.

    Args:
        case: The session at its place and time.
        rules: Those of the rules that are asked; who asks a part of them asks the others, too.
    """
    for rule in rules:
        if (found := rule(case)) is not None:
            return found
    return None


def is_free(case: Case, rules: Iterable[Rule] = RULES) -> bool:
    """Tell whether no rule stands in the way: what "free" means on every page.

    Args:
        case: The session at its place and time.
        rules: Those of the rules that are asked; who asks a part of them asks the others, too.
    """
    return first_hindrance(case, rules) is None


class AskedOnce:
    """Asks the rules about one squad's sessions in one scene, at many places.

    What a rule says of all ground of a venue, or of all areas of a pitch, at one time is asked
    once.
    """

    def __init__(self) -> None:
        self._known: dict[tuple[str, TimeRange], bool] = {}

    def first_hindrance(self, case: Case) -> Hindrance | None:
        """Return the first rule, in their order, that stands in the way; None when none does.

        Args:
            case: A session of that squad in that scene; at one time always the same one.
        """
        is_open = self._is_free(f"venue {case.venue.key}", case, AT_THE_VENUE)
        if is_open and self._is_free(f"pitch {case.pitch.key}", case, ON_THE_PITCH):
            return first_hindrance(case, _OF_THE_AREA)
        return first_hindrance(case)

    def _is_free(self, where: str, case: Case, rules: Iterable[Rule]) -> bool:
        at = where, case.during
        if at not in self._known:
            self._known[at] = is_free(case, rules)
        return self._known[at]


def least_hindered(cases: Iterable[Case]) -> tuple[Hindrance, ...] | None:
    """Return what stands in the way where the fewest rules do; of as many, the first in order.

    Returns:
        Nothing where one of the cases is free; None without any case.
    """
    best: tuple[int, tuple[int, ...]] | None = None
    told: tuple[Hindrance, ...] | None = None
    for case in cases:
        found = [(n, one) for n, rule in enumerate(RULES) if (one := rule(case)) is not None]
        rank = len(found), tuple(n for n, _one in found)
        if best is None or rank < best:
            best, told = rank, tuple(one for _n, one in found)
            if not found:
                break
    return told
