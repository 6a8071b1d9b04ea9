"""Dates of a hire by the API."""

from __future__ import annotations

from datetime import date
from typing import TYPE_CHECKING

from tests.small_club import HARRIERS, book
from tests.webapp.api.programs import is_problem
from tests.webapp.api.sessions.test_asked import HIRE

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

NINTH = date(2026, 12, 9)


def test_a_date_is_left_out_and_had_again_with_further_ones(desk: Program) -> None:
    """Its booking given back leaves it out; it is booked again up to a later end."""
    made = desk.post("/hires", HIRE).json
    path = f"/hires/{made['number']}"
    desk.change("DELETE", f"/bookings/{made['dates'][1]['booking']}")
    assert [one["booking"] is None for one in desk.get(path).json["dates"]] == [False, True, False]
    more = {"until": "2026-12-22"}
    foreseen = desk.post(f"{path}/dates/look", more, Idempotency_Key="").json["dates"]
    assert [one["day"] for one in foreseen] == ["2026-12-08", "2026-12-22"]
    out = {"day": "2026-12-22", "value": "out"}
    booked = desk.change("POST", f"{path}/dates", {**more, "decisions": [out]}, of=path)
    assert booked.status_code == 200, booked.json
    taken = {one["day"]: one["booking"] is not None for one in booked.json["dates"]}
    assert taken == {
        "2026-12-01": True,
        "2026-12-08": True,
        "2026-12-15": True,
        "2026-12-22": False,
    }
    assert is_problem(desk.post(f"{path}/dates", more), 428, "no-condition")


def test_a_move_is_foreseen_with_what_stays(desk: Program, small: Store) -> None:
    """A date where ground is held stays where it is; nothing is moved by looking."""
    path = f"/hires/{desk.post('/hires', HIRE).json['number']}"
    book(small, HARRIERS, "third-3", day=NINTH, start_min=20 * 60, end_min=21 * 60)
    before = desk.get(path).json
    move = {
        "from_on": "2026-12-01",
        "place": HIRE["place"],
        "weekday": "wed",
        "starts": "20:00",
        "ends": "21:00",
    }
    told = desk.post(f"{path}/move/look", move, Idempotency_Key="").json
    assert (told["count"], len(told["stays"]), told["overrulable"]) == (2, 1, 0), told
    assert "U14 Harriers" in told["stays"][0]["why"]
    assert desk.get(path).json == before
