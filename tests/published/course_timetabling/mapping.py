"""How an instance of curriculum-based course timetabling becomes a share-out.

- A day is a weekday, a period an hour from 08:00; all rooms lie at one venue.
- The building is one pitch. A room is a cell of it, and so is each curriculum: the ground of a
  course in a room takes the room's cell and those of the course's curricula, so that no two
  lectures have one room, and none of a curriculum meet. Only its own course asks for such a ground
  (by a format that has the course's name).
- A teacher is a coach, who is never in two places. A course is a squad.
- Its lectures are sessions. Here the sessions of one ask lie on different days: so a first ask has
  as many as the course wants days at least, and further asks have the rest, each as many as there
  are days left to the course. The least number of days, which costs points there, is thus a rule
  here, and a course rarely has three lectures a day.
- Periods at which a course is unavailable are left out of its possible times.
- Seats: no ground of a course where more than `most_standing` of its students would have no seat;
  each who has none costs one an hour, so that the aim of low cost counts what the competition
  counts.
- Left out, since nothing here says so: that lectures of a curriculum lie next to each other, and
  that a course keeps its room. Both are only measured.

So what a share-out proves about placing is about the competition's hard rules with the least
working days and a limit on seats. Of a plan with every lecture its cost is that of room capacity.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from clubplanner.sharing import Ask, Ground, Placement, Price, Problem, Window
from clubplanner.sharing.values.problem import Opening
from tests.published.course_timetabling.validator import Lecture
from tests.sharing.builders import make_days

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

    from tests.published.course_timetabling.instance import Instance

HOUSE = "house"
FIRST_MINUTE, PERIOD_MINUTES = 480, 60


def as_problem(instance: Instance, most_standing: int) -> Problem:
    """Turn an instance into a problem in which so many students of a lecture may stand."""
    days = make_days(instance.days)
    last = _minute(instance.periods)
    grounds = tuple(_grounds(instance, most_standing))
    return Problem(
        grounds=grounds,
        days=days,
        openings=tuple(Opening(HOUSE, day.index, FIRST_MINUTE, last) for day in days),
        asks=tuple(ask for course in instance.courses for ask in _asks(instance, course)),
        step_minutes=PERIOD_MINUTES,
        prices=tuple(_prices(instance, grounds)),
    )


def lectures_of(plan: Iterable[Placement]) -> list[Lecture]:
    """Read a plan as lectures."""
    return [
        Lecture(
            item.ask.partition("/")[0],
            item.ground.partition("@")[2],
            item.day,
            (item.start_min - FIRST_MINUTE) // PERIOD_MINUTES,
        )
        for item in plan
    ]


def _minute(period: int) -> int:
    return FIRST_MINUTE + PERIOD_MINUTES * period


def _grounds(instance: Instance, most_standing: int) -> Iterator[Ground]:
    cells = {key: 1 << n for n, key in enumerate((*instance.rooms, *instance.curricula))}
    for course, facts in instance.courses.items():
        own = sum(cells[key] for key, members in instance.curricula.items() if course in members)
        for room, seats in instance.rooms.items():
            if facts.students - seats > most_standing:
                continue
            yield Ground(
                key=f"{course}@{room}",
                pitch=HOUSE,
                venue=HOUSE,
                name=f"{course} in {room}",
                cells=cells[room] | own,
                share=None,
                cut="drawn",
                area_m2=100.0,
                share_of_pitch=1 / len(instance.rooms),
                surface="floor",
                is_indoor=True,
                formats=frozenset({course}),
            )


def _asks(instance: Instance, course: str) -> Iterator[Ask]:
    facts = instance.courses[course]
    free = tuple(
        Window(day, _minute(period), _minute(period + 1))
        for day in range(instance.days)
        for period in range(instance.periods)
        if (course, day, period) not in instance.unavailable
    )
    rest, most = facts.lectures - facts.days, len({window.day for window in free})
    parts = [min(most, rest - done) for done in range(0, rest, most)]
    for n, sessions in enumerate((facts.days, *parts)):
        yield Ask(
            key=f"{course}/{n}",
            squad=course,
            squad_name=course,
            coach=facts.teacher,
            sessions=sessions,
            minutes=PERIOD_MINUTES,
            possible=free,
            least_format=course,
        )


def _prices(instance: Instance, grounds: Iterable[Ground]) -> Iterator[Price]:
    for ground in grounds:
        course, _, room = ground.key.partition("@")
        without = instance.courses[course].students - instance.rooms[room]
        if without > 0:
            yield Price(HOUSE, HOUSE, without, ground=ground.key)
