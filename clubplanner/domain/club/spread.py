"""How a club likes its week: each squad's trainings apart, and evenings about as full as others.

Common practice, no source. A training takes a day to get over, and a day without one lies between
two where there are days enough: two trainings are not on neighbouring days, three are such as
Monday, Wednesday and Friday. Where there are too few days, two in a row are better than three:
four of Monday to Friday leave Wednesday free; five of the whole week are two and three in a row;
six have one day off, and of seven, as of one, there is nothing to choose. Which days a squad has to
choose from, its own asks say.

Both are aims of a share-out of their own, after wishes: they choose among plans that place as much,
are as fair and grant as much. Small weights within the wishes were not taken: many neighbouring
days would outweigh a wish. Evenness comes before cost, since opening fees would undo it. It counts
trainings by venue and evening, squared, over the venue's pitches, so that a relaxation is exact and
a full evening distorts nothing; it does share squads among venues, which a club that pays for one
of them changes by “cheap”.

No wish is given up for days apart. It was measured what would be (`tests/benchmarks/FIGURES.md`):
where ground is short it is fairness that leaves squads neighbouring days. With days apart before
wishes, however many of these were lost, one squad of seven, and none of five, had a day between
more; before fairness all had, and what squads lack of a fair share grew by half. That is for
people to weigh, who see with each plan which single changes set trainings apart and what each
costs whom (`sharing.reasons.days_apart`). Days that a squad itself would like are its wish.

Turns exchange places within one evening, and a single evening has no
week. Measured: 15 sessions without a typed wish had 12 on Monday and Tuesday and eight points of
nearness; then none, one or two on each venue's evening, proved, in 0.5 s of the processor
instead of 0.2.
"""

from __future__ import annotations

from collections import Counter
from enum import StrEnum
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Callable, Collection, Iterable, Sequence

NEAR_POINTS = 1
"""For two days with trainings of a squad that follow each other."""
ROW_POINTS = 1
"""More for each three days in a row, so that two and two in a row are better than three and one."""
SAME_DAY_POINTS = 3
"""For each further training of a squad on one day: not better than three days in a row."""
EVENING_POINTS = 60
"""For the first training on a venue's evening, over the number of its pitches; the second counts
three times as much, the third five times, and so on, as squares grow. Of two evenings the emptier
one is then the better place, and four pitches are as full with eight trainings as one with two."""
MOST_DAYS = 10
"""Of more days than these it is not worked out what is the least that a squad can do."""


class Evenings(StrEnum):
    """How a club wants its evenings filled, and what is worth more than that."""

    EVEN = "even"
    """As evenly as can be; what it costs comes after."""
    CHEAP = "cheap"
    """Cost comes first, and then as evenly as can be."""
    FEW = "few"
    """Each venue on as few evenings as can be; then what it costs."""


def nearness(days: Iterable[int], are_near: Callable[[int, int], bool]) -> int:
    """Count how near to each other the trainings of one squad lie; less is better.

    Args:
        days: Their days, one for each training, in any order.
        are_near: Whether two different days follow each other, in either order.
    """
    counts = Counter(days)
    return (
        SAME_DAY_POINTS * (counts.total() - len(counts))
        + NEAR_POINTS * sum(are_near(*two) for two in combinations(counts, 2))
        + ROW_POINTS * len(rows_of_three(tuple(counts), are_near))
    )


def rows_of_three(
    days: Sequence[int], are_near: Callable[[int, int], bool]
) -> list[tuple[int, int, int]]:
    """List each day between two others that are its neighbours, the middle one second."""
    return [
        (one, middle, other)
        for middle in days
        for one, other in combinations([day for day in days if day != middle], 2)
        if are_near(one, middle) and are_near(middle, other)
    ]


def least_nearness(
    days: Collection[int], sessions: int, are_near: Callable[[int, int], bool]
) -> int:
    """Return what so many trainings on different days come to at least.

    Args:
        days: Days to choose from, each once; of more than `MOST_DAYS` nothing is known: 0.
        sessions: How many trainings; as many as there are days at most.
        are_near: As for `nearness`.
    """
    if len(days) > MOST_DAYS:
        return 0
    sets = combinations(days, min(sessions, len(days)))
    return min(nearness(chosen, are_near) for chosen in sets)


def follow_each_other(weekday: int, other: int) -> bool:
    """Tell whether two weekdays are neighbours in a week that comes again, Monday 0 to Sunday 6."""
    return (weekday - other) % 7 in (1, 6)


def evening_weight(pitches: int) -> int:
    """Return what the first training on an evening counts at a venue of so many pitches."""
    return max(1, EVENING_POINTS // pitches)


def fullness(trainings: int, weight: int) -> int:
    """Count how full an evening is; over the evenings of a week the least is the most even."""
    return weight * trainings * trainings
