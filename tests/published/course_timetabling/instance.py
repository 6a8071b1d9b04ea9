"""Instances of curriculum-based course timetabling as their own file format has them."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent


@dataclass(frozen=True)
class Course:
    """A course.

    Attributes:
        teacher: Who gives it.
        lectures: How many a week.
        days: On at least so many days they should lie.
        students: How many attend.
    """

    teacher: str
    lectures: int
    days: int
    students: int


@dataclass(frozen=True)
class Instance:
    """An instance.

    Attributes:
        name: As the file calls it.
        days: Days of the week, counted from 0.
        periods: Periods of a day, counted from 0.
        courses: By their names.
        rooms: Seats by names.
        curricula: Names of courses by names.
        unavailable: Courses with the day and period at which they cannot be.
    """

    name: str
    days: int
    periods: int
    courses: dict[str, Course]
    rooms: dict[str, int]
    curricula: dict[str, tuple[str, ...]]
    unavailable: frozenset[tuple[str, int, int]]


def read_instance(name: str) -> Instance:
    """Read an instance that lies beside this module, and hold its counts to its head."""
    head, sections = _parts((HERE / f"{name}.ctt").read_text(encoding="utf-8"))
    found = Instance(
        name=head["Name"],
        days=int(head["Days"]),
        periods=int(head["Periods_per_day"]),
        courses={
            key: Course(teacher, int(lectures), int(days), int(students))
            for key, teacher, lectures, days, students in sections["COURSES"]
        },
        rooms={key: int(seats) for key, seats in sections["ROOMS"]},
        curricula={key: tuple(members) for key, _count, *members in sections["CURRICULA"]},
        unavailable=frozenset(
            (key, int(day), int(period))
            for key, day, period in sections["UNAVAILABILITY_CONSTRAINTS"]
        ),
    )
    counted = {
        "Courses": len(found.courses),
        "Rooms": len(found.rooms),
        "Curricula": len(found.curricula),
        "Constraints": len(found.unavailable),
    }
    assert {key: int(head[key]) for key in counted} == counted
    assert all(int(row[1]) == len(row[2:]) for row in sections["CURRICULA"])
    return found


def _parts(text: str) -> tuple[dict[str, str], dict[str, list[list[str]]]]:
    head: dict[str, str] = {}
    sections: dict[str, list[list[str]]] = {}
    rows: list[list[str]] | None = None
    for line in text.splitlines():
        words = line.split()
        if words == ["END."]:
            return head, sections
        if len(words) == 1 and words[0].endswith(":"):
            rows = sections.setdefault(words[0][:-1], [])
        elif words and rows is None:
            head[words[0][:-1]] = words[1]
        elif words and rows is not None:
            rows.append(words)
    raise ValueError("the file has no end")
