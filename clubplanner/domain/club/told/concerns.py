"""What a season has in store: problems of the coming weeks, and squads without a session."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from typing import TYPE_CHECKING

from clubplanner.language import marked

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence
    from datetime import date

    from clubplanner.domain.times.year import SquadSeason


class ConcernKind(StrEnum):
    """What sort of problem it is, in the order in which a person would look."""

    TWO_PLACES = marked("a coach or squad in two places")
    NO_GROUND = marked("matches without ground")
    DARK = marked("in the dark")
    AGAINST_A_RULE = marked("against a rule")
    NO_SESSION = marked("squads without a session")
    WORN = marked("grass over its limit")
    UNDECIDED = marked("breaks not entered")
    IN_BREAK = marked("training in a break")


@dataclass(frozen=True, slots=True)
class Concern:
    """One problem.

    Attributes:
        kind: What sort.
        day: The first date it matters.
        words: What is wrong, a sentence.
        remedy: What to do about it, a sentence.
        target: What a page links to: "season.light", or "desk.evening 2026-11-25 marsh-lane".
    """

    kind: ConcernKind
    day: date
    words: str
    remedy: str
    target: str


def weeks_without(
    squads: Mapping[str, SquadSeason],
    have: Mapping[str, Collection[date]],
    training: Sequence[date],
) -> dict[str, list[date]]:
    """Find the weeks in which a squad that trains has no session.

    Args:
        squads: Key → own season, of the squads that ask for sessions.
        have: Squad key → Mondays of the weeks in which it has training.
        training: Training dates looked at, breaks left out, in order.

    Returns:
        Squad key → Mondays of the weeks with training dates but no session of the squad; squads
        with a session in each are left out.
    """
    found: dict[str, list[date]] = {}
    for key, season in squads.items():
        weeks = list(dict.fromkeys(monday_of(day) for day in training if season.has(day)))
        missing = [monday for monday in weeks if monday not in have.get(key, ())]
        if missing:
            found[key] = missing
    return found


def monday_of(day: date) -> date:
    """Return the Monday of a date's week."""
    return day - timedelta(days=day.weekday())


def runs_of_weeks(mondays: Sequence[date]) -> list[tuple[date, date]]:
    """Put weeks that follow one another together: first and last Monday of each run.

    Args:
        mondays: In order.
    """
    runs: list[tuple[date, date]] = []
    for monday in mondays:
        if runs and runs[-1][1] + timedelta(days=7) == monday:
            runs[-1] = (runs[-1][0], monday)
        else:
            runs.append((monday, monday))
    return runs
