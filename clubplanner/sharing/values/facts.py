"""What a reason, a change or an answer says, as values; words come when somebody reads it.

A day, a place or a squad is held with its name, so that it can be told without the problem. Which
of the fields count is decided by the code of what they belong to and by `kind`; see
`sharing.reasons.telling`, which puts them into words.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date  # noqa: TC003 - the shapes of files read it at run time
from functools import lru_cache
from typing import TYPE_CHECKING

from clubplanner.domain.times.times import day_in_words
from clubplanner.language import languages, speaking, weekday_in_words
from clubplanner.sharing.values.problem import merge_ranges

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping, Sequence

    from clubplanner.sharing.values.problem import Ask, Day, Placement, Problem


@dataclass(frozen=True, slots=True)
class DayName:
    """What a day is called, in any language.

    Attributes:
        name: Its name where it is not simply its weekday or date; else blank.
        weekday: Monday 0, for a day that is called by its weekday; else None.
        date: For a day that is called by its date; else None.
    """

    name: str = ""
    weekday: int | None = None
    date: date | None = None


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of a day, from start_min up to end_min."""

    start_min: int
    end_min: int


@dataclass(frozen=True, slots=True)
class Spot:
    """A place and its time.

    Attributes:
        day: Which day.
        start_min: First minute.
        end_min: Minute after the last.
        ground_name: Where, as people say it.
    """

    day: DayName
    start_min: int
    end_min: int
    ground_name: str


@dataclass(frozen=True, slots=True)
class Holder:
    """A session of somebody that is in the way, or that would be.

    Attributes:
        squad_name: Whose.
        spot: Where it is, or would be.
        why: For one that needs the same people "coach" (who is there then), "from" and "to" (who
            is on the way), "squad" (the squad itself is there then) or "rest"; blank for ground.
    """

    squad_name: str
    spot: Spot
    why: str = ""


@dataclass(frozen=True, slots=True)
class Loss:
    """What it would mean for a squad to lose a session.

    Attributes:
        squad_name: Whose.
        has: How many sessions it has now.
        before: Percent of what it could have alone that it has now.
        after: The same without the session.
    """

    squad_name: str
    has: int
    before: int
    after: int


@dataclass(frozen=True, slots=True)
class Hours:
    """Possible times of a day."""

    day: DayName
    spans: tuple[Span, ...]


@dataclass(frozen=True, slots=True)
class RuleSaid:
    """A rule, and what of an ask or of ground it is told with.

    Attributes:
        rule: Its code, as in the book.
        days: Days that it is about; empty where none are told.
        names: Of surfaces, formats or ground.
        spot_names: Ground that only this rule keeps out.
        more: How much more such ground there is.
        area_m2: A size in square metres; 0.0 for none.
        part: A part of a pitch, 0 to 1; 0.0 for none.
        minute: A time of day; None for none.
        count: How many; 0 for none.
        is_weekly: Whether the plan repeats.
    """

    rule: str
    days: tuple[DayName, ...] = ()
    names: tuple[str, ...] = ()
    spot_names: tuple[str, ...] = ()
    more: int = 0
    area_m2: float | None = None
    part: float = 0.0
    minute: int | None = None
    count: int = 0
    is_weekly: bool = False


@dataclass(frozen=True, slots=True)
class Facts:
    """What something says; what it does not need has its default.

    Attributes:
        kind: Which of several things a code can say.
        spot: A place.
        other: A second place.
        days: Days.
        hours: Possible times.
        holders: Sessions in the way; at most a few, the rest is counted.
        more: How many more there are.
        moves: Sessions that would move, in their new places.
        losses: Who would lose what.
        gain: What the squad itself would gain by it.
        rules: Rules that it names.
        names: Names of surfaces and the like.
        person: A coach; blank for none.
        number: Minutes, or a count.
        asked: What was asked for instead of `number`.
        area_m2: A size; None for none.
        asked_m2: What was asked for instead.
        part: A part of a pitch, 0 to 1; 0.0 for none.
        asked_part: What was asked for instead.
        is_whole: Whether it is all there is to say of its days.
    """

    kind: str = ""
    spot: Spot | None = None
    other: Spot | None = None
    days: tuple[DayName, ...] = ()
    hours: tuple[Hours, ...] = ()
    holders: tuple[Holder, ...] = ()
    more: int = 0
    moves: tuple[Holder, ...] = ()
    losses: tuple[Loss, ...] = ()
    gain: Loss | None = None
    rules: tuple[RuleSaid, ...] = ()
    names: tuple[str, ...] = ()
    person: str = ""
    number: int = 0
    asked: int = 0
    area_m2: float | None = None
    asked_m2: float | None = None
    part: float = 0.0
    asked_part: float = 0.0
    is_whole: bool = True


NOTHING_SAID = Facts()
"""What is said where words were kept, or where the code says it all."""


@lru_cache(maxsize=4096)
def day_name(day: Day) -> DayName:
    """Return what a day is called: by weekday or date where it is so called in any language."""
    for code in languages():
        with speaking(code):
            if day.name == weekday_in_words(day.weekday):
                return DayName(weekday=day.weekday)
            if len(day.dates) == 1 and day.name == day_in_words(day.dates[0]):
                return DayName(date=day.dates[0])
    return DayName(day.name)


def day_names(problem: Problem, days: Collection[int]) -> tuple[DayName, ...]:
    """Return what some days are called, in their order."""
    return tuple(day_name(problem.days[day]) for day in sorted(days))


def spot_of(problem: Problem, placement: Placement) -> Spot:
    """Return where and when a session is."""
    ground = next(item.name for item in problem.grounds if item.key == placement.ground)
    day = day_name(problem.days[placement.day])
    return Spot(day, placement.start_min, placement.end_min, ground)


def hours_of(problem: Problem, ask: Ask, days: Sequence[int]) -> tuple[Hours, ...]:
    """Return the possible times of an ask on some days."""
    found = []
    for day in days:
        ranges = merge_ranges([(w.start_min, w.end_min) for w in ask.possible if w.day == day])
        spans = tuple(Span(start, end) for start, end in ranges)
        found.append(Hours(day_name(problem.days[day]), spans))
    return tuple(found)


def holders_of(
    problem: Problem,
    placements: Sequence[Placement],
    most: int,
    why: Mapping[Placement, str] | None = None,
) -> tuple[tuple[Holder, ...], int]:
    """Return the first few of some sessions in order of time, and how many more there are.

    Args:
        problem: The problem.
        placements: The sessions.
        most: How many to return.
        why: By what each is in the way, as in `Holder`; None for ground.
    """
    names = {ask.key: ask.squad_name for ask in problem.asks}
    ordered = sorted(placements, key=lambda item: (item.day, item.start_min, item.ground))
    told = tuple(
        Holder(names[item.ask], spot_of(problem, item), "" if why is None else why[item])
        for item in ordered[:most]
    )
    return told, max(0, len(ordered) - most)
