"""The share-out against a published timetabling instance, by a documented mapping.

The instance is the example of the input format in the report that defines track 3 of the second
international timetabling competition (Di Gaspero, McCollum and Schaerf, *The Second International
Timetabling Competition (ITC-2007): Curriculum-based Course Timetabling*, 2007); its data here are
from memory and agree with two public programs that carry it. Its optimum is 0: every lecture has a
room, and no soft rule is broken.

The mapping:

- a course is an ask, a lecture a session, a room a pitch that cannot be cut;
- four periods a day are four hours from 08:00; unavailable periods are left out of the possible
  times;
- a room's seats are its size, a course's students its least size: what costs points there is
  forbidden here;
- the working days a course wants at least: here every session has its own day, which is more;
- courses of a curriculum do not meet: the first curriculum is the squad, the second the coach (a
  teacher has one course each, so nothing is lost);
- lectures of a curriculum that stand alone cost points there; here adjacent hours in one building
  are wishes about two asks, so this part is only measured, as is the number of rooms a course uses.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from clubplanner.sharing import Ask, Effort, Kind, Outcome, Problem, Window, check
from clubplanner.sharing.solving.solve import solve
from clubplanner.sharing.values.problem import Opening
from tests.sharing.builders import make_ask, make_days, make_pitch, make_problem

DAYS, PERIODS = 5, 4
COURSES = {  # lectures, working days, students, curricula
    "SceCosC": (3, 3, 30, {"Cur1"}),
    "ArcTec": (3, 2, 42, {"Cur1"}),
    "TecCos": (5, 4, 40, {"Cur1", "Cur2"}),
    "Geotec": (5, 4, 18, {"Cur2"}),
}
ROOMS = {"A": 32, "B": 50}
UNAVAILABLE = {
    "TecCos": {(2, 0), (2, 1), (3, 2), (3, 3)},
    "ArcTec": {(4, 0), (4, 1), (4, 2), (4, 3)},
}


def _ask(name: str) -> Ask:
    lectures, _, students, curricula = COURSES[name]
    free = [
        (day, period)
        for day in range(DAYS)
        for period in range(PERIODS)
        if (day, period) not in UNAVAILABLE.get(name, set())
    ]
    return make_ask(
        name,
        squad="Cur1" if "Cur1" in curricula else name,
        coach="Cur2" if "Cur2" in curricula else None,
        sessions=lectures,
        possible=tuple(Window(day, _minute(period), _minute(period + 1)) for day, period in free),
        least_m2=float(students),
    )


def _minute(period: int) -> int:
    return 60 * (8 + period)


def _problem(courses: tuple[str, ...] = tuple(COURSES)) -> Problem:
    grounds = tuple(
        ground
        for room, seats in ROOMS.items()
        for ground in make_pitch(room, area_m2=float(seats), goals=False)
    )
    days = make_days(DAYS)
    openings = tuple(Opening("park", day.index, _minute(0), _minute(PERIODS)) for day in days)
    problem = make_problem(grounds, *(_ask(name) for name in courses), days=days, step_minutes=60)
    return replace(problem, openings=openings)


@pytest.fixture(scope="module")
def outcome() -> Outcome:
    """Solve the instance once."""
    return solve(_problem(), Effort(seconds=20))


def test_every_lecture_has_a_room_and_it_is_proved(outcome: Outcome) -> None:
    """Sixteen lectures of sixteen, each in a room with seats enough: the hard part of optimum 0."""
    assert outcome.placed == outcome.asked == sum(course[0] for course in COURSES.values()) == 16
    assert outcome.levels[0].is_proved
    assert outcome.kind is not Kind.IMPOSSIBLE
    assert check(_problem(), outcome.placements) == ()


def test_the_instance_s_own_rules_hold(outcome: Outcome) -> None:
    """Measured by the competition's words: rooms, curricula, times, seats and working days."""
    at = [
        (item.ask, item.ground.partition("-")[0], item.day, item.start_min // 60 - 8)
        for item in outcome.placements
    ]
    assert len({(room, day, period) for _, room, day, period in at}) == len(at)
    for curriculum in ("Cur1", "Cur2"):
        when = [(day, period) for name, _, day, period in at if curriculum in COURSES[name][3]]
        assert len(set(when)) == len(when)
    for name, room, day, period in at:
        assert (day, period) not in UNAVAILABLE.get(name, set())
        assert COURSES[name][2] <= ROOMS[room]
    for name, (_, least, _, _) in COURSES.items():
        assert len({day for other, _, day, _ in at if other == name}) >= least


def test_one_room_is_not_enough() -> None:
    """Room A alone holds every lecture of the two courses that it has seats for, and no other."""
    problem = _problem()
    only = replace(problem, grounds=tuple(g for g in problem.grounds if g.pitch == "A"))
    placed = solve(only, Effort(seconds=20))
    fitting = sum(COURSES[name][0] for name in COURSES if COURSES[name][2] <= ROOMS["A"])
    assert placed.placed == fitting == 8
