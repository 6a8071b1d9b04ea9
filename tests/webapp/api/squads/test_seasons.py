"""The season in figures and the club's settings, by the API."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

import pytest

from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS, LOW, TOP, book
from tests.webapp.api.programs import is_problem

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program


def test_settings_are_told(coach: Program) -> None:
    """As the club's file says them."""
    told = coach.get("/settings").json
    assert (told["name"], told["time_zone"], told["step_minutes"]) == (
        *("Alderby Rovers", "Europe/London"),
        15,
    )
    assert told["stretches"] == [
        {"key": "winter", "name": "Winter", "first_day": "2026-10-12", "last_day": "2027-04-09"}
    ]
    assert [one["name"] for one in told["breaks"]] == ["Christmas"]


def test_fairness_is_what_the_page_says(desk: Program, small: Store, coach: Program) -> None:
    """Hours had and asked for, the worst served first."""
    book(small, day=(NOW - timedelta(days=7)).date())
    told = desk.get("/fairness").json
    hours = {one["squad"]: one["hours"] for one in told["squads"]}
    assert hours == {KESTRELS: 1.25, HARRIERS: 0.0}
    assert told["squads"][0]["squad"] == HARRIERS
    assert told["first_day"] == "2026-10-12"
    assert is_problem(coach.get("/fairness"), 403, "not-yours")


def test_loads_are_by_week_and_of_grass_alone(desk: Program, small: Store) -> None:
    """Hours of the whole pitch; artificial ground bears no wear."""
    book(small, "Hill Runners", "whole", pitch_key=LOW, start_min=10 * 60, end_min=12 * 60)
    told = desk.get("/loads?day=2026-11-25&weeks=2").json
    (low,) = told["pitches"]
    assert (low["pitch"], low["limit_hours"]) == (LOW, None)
    assert [(week["monday"], week["hours"]) for week in low["weeks"]] == [
        ("2026-11-23", 2.0),
        ("2026-11-30", 0.0),
    ]
    assert is_problem(desk.get("/loads?weeks=61"), 422, "faulty")


def test_light_is_by_date_and_counts_lamps(coach: Program, small: Store) -> None:
    """Sunset at 52.9° N on 25 November is about 15:57 (the program's own, see tests/published)."""
    book(small, pitch_key=TOP)
    query = "venue=marsh-lane&first_day=2026-11-25&last_day=2026-11-26"
    wednesday, thursday = coach.get(f"/light?{query}").json["evenings"]
    sunset = datetime.fromisoformat(wednesday["sunset_at"])
    assert (sunset.hour, wednesday["kind"]) == (15, "sets")
    until = datetime.fromisoformat(wednesday["usable_until"])
    assert timedelta(minutes=9) < until - sunset <= timedelta(minutes=10)
    assert wednesday["lamp_minutes"] == 75
    assert thursday["lamp_minutes"] == 0


@pytest.mark.parametrize(
    ("query", "status"),
    [
        ("venue=moon&first_day=2026-11-25&last_day=2026-11-26", 404),
        ("venue=marsh-lane&first_day=2026-11-25&last_day=2026-11-24", 422),
        ("venue=marsh-lane&first_day=2026-01-01&last_day=2028-01-01", 422),
        ("venue=marsh-lane&first_day=2026-11-25", 422),
    ],
)
def test_light_that_cannot_be_told_is_refused(coach: Program, query: str, status: int) -> None:
    """No such venue, the wrong way round, too long, not whole."""
    assert coach.get(f"/light?{query}").status_code == status
