"""The rules of the competition's track 3 in plain Python, written from their published words.

L. Di Gaspero, B. McCollum and A. Schaerf, The Second International Timetabling Competition
(ITC-2007): Curriculum-based Course Timetabling (Track 3), 2007; from memory. Nothing here knows of
this project's code.

Hard rules: every lecture of a course has a period and a room, those of one course different periods
(lectures); no two lectures share a room at a period (room occupancy); courses of one curriculum or
teacher never meet (conflicts); no lecture lies where its course is unavailable (availabilities).

Soft rules: each student beyond a room's seats costs 1 for each lecture (room capacity); each day
below a course's least number of days 5 (minimum working days); each lecture of a curriculum that is
not next to another of that curriculum on its day 2 (curriculum compactness); each room of a course
beyond the first 1 (room stability).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from itertools import combinations
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tests.published.course_timetabling.instance import Instance


@dataclass(frozen=True, order=True)
class Lecture:
    """A lecture with its place."""

    course: str
    room: str
    day: int
    period: int


@dataclass(frozen=True)
class Costs:
    """What soft rules cost, one by one."""

    capacity: int
    working_days: int
    compactness: int
    stability: int

    @property
    def total(self) -> int:
        """All together."""
        return self.capacity + self.working_days + self.compactness + self.stability


def broken(instance: Instance, lectures: Sequence[Lecture]) -> list[str]:
    """Name every hard rule that is broken, each time that it is."""
    counts = Counter(item.course for item in lectures)
    found = [
        f"lectures: {key} has {counts[key]} of {course.lectures}"
        for key, course in instance.courses.items()
        if counts[key] != course.lectures
    ]
    for item in lectures:
        if (item.course, item.day, item.period) in instance.unavailable:
            found.append(f"availabilities: {item}")
        if not (0 <= item.day < instance.days and 0 <= item.period < instance.periods):
            found.append(f"no such period: {item}")
    for one, other in combinations(lectures, 2):
        if (one.day, one.period) == (other.day, other.period):
            found += [f"{rule}: {one}, {other}" for rule in _in_the_way(instance, one, other)]
    return found


def _in_the_way(instance: Instance, one: Lecture, other: Lecture) -> Iterator[str]:
    """Name the rules that two lectures of one period break."""
    if one.room == other.room:
        yield "room occupancy"
    if one.course == other.course:
        yield "lectures"
    elif _conflict(instance, one.course, other.course):
        yield "conflicts"


def _conflict(instance: Instance, one: str, other: str) -> bool:
    teachers = {instance.courses[one].teacher, instance.courses[other].teacher}
    shared = any({one, other} <= set(members) for members in instance.curricula.values())
    return len(teachers) == 1 or shared


def costs(instance: Instance, lectures: Sequence[Lecture]) -> Costs:
    """Count what soft rules cost."""
    capacity = sum(
        max(0, instance.courses[item.course].students - instance.rooms[item.room])
        for item in lectures
    )
    working_days = compactness = stability = 0
    for key, course in instance.courses.items():
        own = [item for item in lectures if item.course == key]
        working_days += 5 * max(0, course.days - len({item.day for item in own}))
        stability += max(0, len({item.room for item in own}) - 1)
    for members in instance.curricula.values():
        at = [(item.day, item.period) for item in lectures if item.course in members]
        compactness += 2 * sum(
            (day, period - 1) not in at and (day, period + 1) not in at for day, period in at
        )
    return Costs(capacity, working_days, compactness, stability)
