"""The waiting list, matches and hires by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from tests.small_club import HARRIERS, KESTRELS, LOW, TOP, book
from tests.stores import booking_row
from tests.webapp.api.programs import is_problem

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

ASK: dict[str, Any] = {
    "squad": KESTRELS,
    "day": "2026-11-25",
    "earliest": "18:00",
    "latest": "20:00",
    "minutes": 60,
}
MATCH: dict[str, Any] = {
    "squad": KESTRELS,
    "day": "2026-11-28",
    "kick_off": "10:00",
    "latest_kick_off": "12:00",
    "opponent": "Brook Town",
}
HIRE: dict[str, Any] = {
    "name": "Choir of St Anne",
    "place": {"pitch": TOP, "area": "third-3"},
    "first_on": "2026-12-01",
    "last_on": "2026-12-15",
    "starts": "20:00",
    "ends": "21:00",
}


def test_a_coach_asks_and_is_booked_where_ground_is_free(coach: Program, small: Store) -> None:
    """The ask says by which booking; another squad's is refused."""
    made = coach.post("/asks", ASK)
    assert (made.status_code, made.json["state"]) == (201, "granted"), made.json
    assert booking_row(small, made.json["booking"]).squad_id is not None
    assert is_problem(coach.post("/asks", {**ASK, "squad": HARRIERS}), 404, "not-there")
    backwards = coach.post("/asks", {**ASK, "latest": "17:00"})
    assert [one["at"] for one in backwards.json["errors"]] == ["/latest"]


def test_who_waits_is_granted_refused_or_takes_it_back(
    coach: Program, desk: Program, small: Store
) -> None:
    """Waiting asks are listed with the ground that is free, for who may grant it."""
    for pitch in (TOP, LOW, "marsh-lane-hall"):
        book(small, HARRIERS, "whole", pitch_key=pitch, start_min=17 * 60, end_min=22 * 60)
    waiting = [coach.post("/asks", {**ASK, "note": note}).json for note in ("one", "two")]
    assert {one["state"] for one in waiting} == {"waiting"}
    path = f"/asks/{waiting[0]['number']}"
    refused = desk.post(f"{path}/refuse", {"answer": "All is full."})
    assert (refused.json["state"], refused.json["answer"]) == ("refused", "All is full.")
    second = f"/asks/{waiting[1]['number']}"
    assert coach.change("DELETE", second).json["state"] == "taken back"
    third = coach.post("/asks", ASK).json["number"]
    number = desk.get("/bookings?since=2026-11-25T00:00:00Z").json["items"][0]["number"]
    desk.change("DELETE", f"/bookings/{number}")
    (place, *_rest) = desk.get(f"/asks/{third}").json["places"]
    assert coach.get(f"/asks/{third}").json["places"] == []
    granted = desk.post(f"/asks/{third}/grant", {"value": place["value"]})
    assert granted.json["state"] == "granted"
    assert desk.post("/asks/serve").status_code == 200
    assert [one["number"] for one in coach.get("/asks?limit=2").json["items"]]


def test_a_match_is_arranged_given_ground_and_called_off(desk: Program, small: Store) -> None:
    """Form and length follow from the squad's age; whoever is in the way is told first."""
    whole = {**MATCH, "squad": HARRIERS, "format": "11v11-u16", "minutes": 80}
    made = desk.post("/matches", whole)
    assert (made.status_code, made.json["place"]) == (201, None), made.json
    path = f"/matches/{made.json['number']}"
    option = desk.get(f"{path}/ground").json["options"][0]
    choice = {"place": option["place"], "kick_off": option["kick_off"]}
    assert desk.post(f"{path}/look", choice, Idempotency_Key="").json == {"displaced": []}
    placed = desk.change("POST", f"{path}/ground", choice, of=path)
    assert placed.json["place"] == option["place"], placed.json
    assert not booking_row(small, placed.json["booking"]).is_withdrawn
    assert [one["number"] for one in desk.get("/matches").json["items"]] == [made.json["number"]]
    gone = desk.change("POST", f"{path}/call-off", of=path)
    assert gone.json["items"] == []
    assert booking_row(small, placed.json["booking"]).is_withdrawn
    assert is_problem(desk.get(path), 404, "not-there")


def test_a_match_is_moved_and_who_made_way_comes_back(desk: Program, small: Store) -> None:
    """As a whole, by what was seen; its squad stays."""
    number = book(small, KESTRELS, "third-1")
    whole = {**MATCH, "squad": HARRIERS, "format": "11v11-u16", "minutes": 80}
    whole |= {"day": "2026-11-25", "kick_off": "18:30", "latest_kick_off": "18:30"}
    path = f"/matches/{desk.post('/matches', whole).json['number']}"
    option = desk.get(f"{path}/ground").json["options"][0]
    choice = {"place": option["place"], "kick_off": option["kick_off"]}
    gone = {"decisions": [{"booking": number, "value": "withdraw"}]}
    placed = desk.change("POST", f"{path}/ground", {**choice, **gone}, of=path)
    assert placed.status_code == 200, placed.json
    moved = {**whole, "day": "2026-11-26"}
    other = desk.change("PUT", path, {**moved, "squad": KESTRELS})
    assert [one["at"] for one in other.json["errors"]] == ["/squad"]
    answer = desk.change("PUT", path, moved)
    assert (answer.json["day"], answer.json["booking"]) == ("2026-11-26", placed.json["booking"])
    (one,) = desk.get(f"{path}/returns").json["returns"]
    assert (one["booking"], one["can"]) == (number, True)
    back = desk.change("POST", f"{path}/returns", {"bookings": [number]}, of=f"{path}/returns")
    assert back.json == {"is_called_off": False, "returns": []}
    assert not booking_row(small, number).is_withdrawn


def test_faults_of_a_match_have_their_places(desk: Program) -> None:
    """A squad and a form that are not there, and a kick-off before the first one."""
    for change, place in (
        ({"squad": "nobody"}, "/squad"),
        ({"format": "13v13"}, "/format"),
        ({"latest_kick_off": "09:00"}, "/latest_kick_off"),
        ({"kick_off": "25:00"}, "/kick_off"),
        ({"day": "28.11.2026"}, "/day"),
    ):
        answer = desk.post("/matches", {**MATCH, **change})
        assert [one["at"] for one in answer.json["errors"]] == [place], answer.json


def test_a_hire_is_looked_at_booked_moved_and_ended(desk: Program, small: Store) -> None:
    """Date by date, as one change each."""
    dates = desk.post("/hires/look", HIRE, Idempotency_Key="").json["dates"]
    assert [one["day"] for one in dates] == ["2026-12-01", "2026-12-08", "2026-12-15"]
    out = [{"day": "2026-12-08", "value": "out"}]
    made = desk.post("/hires", {**HIRE, "decisions": out})
    assert made.status_code == 201, made.json
    assert [one["booking"] is None for one in made.json["dates"]] == [False, True, False]
    path = f"/hires/{made.json['number']}"
    renamed = desk.change("PATCH", path, {"contact": "Kim Moss"})
    assert (renamed.json["contact"], renamed.json["name"]) == ("Kim Moss", HIRE["name"])
    seen = desk.get(path).headers["ETag"]
    move = {
        "from_on": "2026-12-01",
        "place": HIRE["place"],
        "weekday": "wed",
        "starts": "20:00",
        "ends": "21:00",
    }
    moved = desk.ask("POST", f"{path}/move", move, If_Match=seen)
    assert moved.json["dates"][0]["day"] == "2026-12-02", moved.json
    late = desk.ask("POST", f"{path}/end", {"last_on": "2026-12-10"}, If_Match=seen)
    assert is_problem(late, 412, "changed-meanwhile")
    booking = moved.json["dates"][-1]["booking"]
    ended = desk.change("POST", f"{path}/end", {"last_on": "2026-12-10"}, of=path)
    assert ended.status_code == 200
    assert booking_row(small, booking).is_withdrawn
