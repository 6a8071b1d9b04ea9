"""What is kept of a plan's week: whose sessions are near each other and why, how full evenings are.

And what would set those sessions apart that nothing but others' places keeps near.

Kept as plain values and put in words when it is shown, in the language of whoever looks.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from enum import StrEnum
from typing import TYPE_CHECKING, Any

from clubplanner.domain.club.spread import follow_each_other, least_nearness, nearness
from clubplanner.sharing.files.file_shapes import record_of
from clubplanner.sharing.reasons.days_apart import how_many_looked_at, way_apart
from clubplanner.sharing.values.facts import Spot, spot_of
from clubplanner.sharing.values.levels import APART
from clubplanner.sharing.values.problem import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from clubplanner.sharing.values.outcome import Level, Placement, Traded
    from clubplanner.sharing.values.problem import Ask, Problem


class NearCause(StrEnum):
    """Why sessions of a squad are on neighbouring days."""

    OWN_DAYS = "own days"
    """The days that the squad can train leave nothing better."""
    BY_HAND = "by hand"
    """A person put them there."""
    WISHED = "wished"
    """They are days that the squad would like, which leave nothing better."""
    OTHERS = "others"
    """Proved: places, fairness and wishes of all leave no plan with fewer."""
    OPEN = "open"
    """It is not known whether a plan with fewer keeps all that counts more."""


def week_as_json(
    problem: Problem,
    placements: Sequence[Placement],
    levels: Iterable[Level] = (),
    traded: Iterable[Traded] = (),
) -> dict[str, Any] | None:
    """Return what is kept of a plan of several days; None for a single evening.

    Args:
        problem: What was shared out.
        placements: The plan.
        levels: The aims that were worked on; none for a plan by hand.
        traded: What the aims about the week cost, where it was measured.
    """
    if len(problem.days) < 2:
        return None
    is_proved = any(level.name == APART and level.is_proved for level in levels)
    squads: dict[str, list[Placement]] = defaultdict(list)
    by_ask = {ask.key: ask for ask in problem.asks}
    for item in placements:
        squads[by_ask[item.ask].squad].append(item)
    several = {squad: own for squad, own in squads.items() if len(own) > 1}
    near = [
        found
        for squad, own in several.items()
        for found in (_near(problem, squad, own, is_proved=is_proved),)
        if found is not None
    ]
    return {
        "several": len(several),
        "near": near,
        **_ways(problem, placements, near),
        "evenings": _evenings(problem, placements),
        "traded": [plain(item) for item in traded],
    }


def _near(
    problem: Problem, squad: str, own: Sequence[Placement], *, is_proved: bool
) -> dict[str, Any] | None:
    """Tell on which days a squad's sessions are near each other and why; None where they are not.

    Days are weekdays: all days of a plan are of one week, or of a week that comes again.
    """
    weekdays = [problem.days[item.day].weekday for item in own]
    found = nearness(weekdays, follow_each_other)
    if not found:
        return None
    asks = [ask for ask in problem.asks if ask.squad == squad]
    open_days = {day for ask in asks for day in _days_of(problem, ask)}
    crowded = sorted(
        day
        for day in set(weekdays)
        if weekdays.count(day) > 1 or any(follow_each_other(day, other) for other in weekdays)
    )
    pins = {(ask.key, pin.session) for ask in asks for pin in ask.pinned}
    cause = NearCause.OTHERS if is_proved else NearCause.OPEN
    if least_nearness(sorted(open_days | set(weekdays)), len(own), follow_each_other) >= found:
        cause = NearCause.OWN_DAYS
    elif all(
        (item.ask, item.session) in pins
        for item in own
        if problem.days[item.day].weekday in crowded
    ):
        cause = NearCause.BY_HAND
    elif _are_wished(problem, asks, weekdays):
        cause = NearCause.WISHED
    return {
        "squad": squad,
        "squad_name": asks[0].squad_name,
        "days": crowded,
        "cause": cause.value,
    }


def _are_wished(problem: Problem, asks: Iterable[Ask], weekdays: Sequence[int]) -> bool:
    """Whether sessions are on days that their squad would like, which leave nothing better."""
    wished = {
        problem.days[day].weekday
        for ask in asks
        for day in (
            *(window.day for window in ask.preferred),
            *(window.day for wish in ask.wishes for window in wish.windows),
            *(day for wish in ask.wishes for day in wish.days),
        )
    }
    if not wished.issuperset(weekdays) or len(wished) < len(weekdays):
        return False
    least = least_nearness(sorted(wished), len(weekdays), follow_each_other)
    return least >= nearness(weekdays, follow_each_other)


def _ways(
    problem: Problem, placements: Sequence[Placement], near: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    """Keep which single changes set sessions further apart, and how many squads were looked at."""
    squads = [one for one in near if one["cause"] in (NearCause.OTHERS, NearCause.OPEN)]
    looked_at = squads[: how_many_looked_at(len(problem.asks))]
    found = [(one, way_apart(problem, placements, one["squad"])) for one in looked_at]
    return {
        "ways": [
            {
                "squad_name": one["squad_name"],
                "ask": way[0].ask,
                "session": way[0].session,
                "old": _spot(problem, way[0]),
                "place": _spot(problem, way[1].placement),
                "points": way[1].points,
                "moves": [
                    {
                        "squad_name": step.squad_name,
                        "place": _spot(problem, step.new),
                        "points": step.points,
                    }
                    for step in way[1].steps
                ],
            }
            for one, way in found
            if way is not None
        ],
        "looked_at": len(looked_at),
    }


def _spot(problem: Problem, placement: Placement) -> object:
    return record_of(Spot).write(spot_of(problem, placement))


def _days_of(problem: Problem, ask: Ask) -> set[int]:
    """Return the weekdays on which an ask may have a session by its own words."""
    barred = {(day - 1) % 7 for day in ask.no_day_before}
    barred |= {(day + 1) % 7 for day in ask.no_day_after}
    found = {
        problem.days[window.day].weekday
        for window in ask.possible
        if window.end_min - window.start_min >= ask.minutes
    }
    return found - barred


def _evenings(problem: Problem, placements: Sequence[Placement]) -> list[dict[str, Any]]:
    """Count sessions by venue and by the days on which it is open."""
    venue_of = {ground.key: ground.venue for ground in problem.grounds}
    counts = Counter((venue_of[item.ground], item.day) for item in placements)
    is_open = {(opening.venue, opening.day) for opening in problem.openings}
    return [
        {
            "venue": venue,
            "days": [
                [day.weekday, counts[venue, day.index]]
                for day in problem.days
                if (venue, day.index) in is_open and day.dates
            ],
        }
        for venue in dict.fromkeys(venue_of.values())
    ]
