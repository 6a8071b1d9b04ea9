"""Bookings by the API: put, moved, given back, and who knows of it."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING, Any

from clubplanner.domain.club.people import Role
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import HARRIERS, KESTRELS, TOP, book
from tests.stores import booking_row
from tests.webapp.api.programs import is_problem, program_of

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

WEDNESDAY = {"starts_at": "2026-11-25T18:00:00Z", "ends_at": "2026-11-25T19:15:00Z"}
TRAINING: dict[str, Any] = {
    "place": {"pitch": TOP, "area": "third-1"},
    **WEDNESDAY,
    "purpose": "training",
    "squad": KESTRELS,
}


def test_ground_is_booked_and_stands_where_the_answer_says(desk: Program, small: Store) -> None:
    """What was sent comes back with number and state, and the change says who knows of it."""
    made = desk.post("/bookings", TRAINING)
    assert made.status_code == 201, made.json
    number = made.json["number"]
    assert made.headers["Location"] == f"/api/1/bookings/{number}"
    assert {**made.json, **TRAINING} == made.json
    assert (made.json["holder"], made.json["outcome"]) == ("U12 Kestrels", "on")
    assert booking_row(small, number).is_fixed
    change = made.headers["Link"].partition(">")[0].removeprefix("</api/1")
    told = desk.get(change).json
    assert told["by"] == "A secretary"
    assert [one["name"] for one in told["not_reached"]] == ["Robin Hale"]
    back = desk.post(f"{change}/take-back")
    assert back.status_code == 201
    assert booking_row(small, number).is_withdrawn
    assert desk.get(change).json["undone_by"] == back.json["number"]


def test_held_ground_says_who_holds_it_and_what_is_free(desk: Program) -> None:
    """A clash is told as such; nothing is changed."""
    desk.post("/bookings", TRAINING)
    clash = desk.post("/bookings", {**TRAINING, "squad": HARRIERS})
    assert is_problem(clash, 409, "clash")
    assert "U12 Kestrels" in clash.json["clashes"][0]
    assert clash.json["free"]


def test_rules_in_the_way_are_named_and_can_be_overruled(desk: Program, small: Store) -> None:
    """Those that were read are overruled with a reason, which is kept."""
    late = {
        **TRAINING,
        "starts_at": "2026-11-25T20:00:00+00:00",
        "ends_at": "2026-11-25T21:15:00+00:00",
    }
    hindered = desk.post("/bookings", late)
    assert is_problem(hindered, 422, "hindered")
    told = [one["detail"] for one in hindered.json["hindrances"]]
    half = {**late, "although": {"because": "An evening of its own.", "told": []}}
    assert is_problem(desk.post("/bookings", half), 422, "hindered")
    whole = {**late, "although": {"because": "An evening of its own.", "told": told}}
    made = desk.post("/bookings", whole)
    assert made.json["overruled"] == "An evening of its own."
    assert booking_row(small, made.json["number"]).overruled == "An evening of its own."


def test_a_booking_is_moved_as_it_was_read(desk: Program, small: Store) -> None:
    """What is left out stays; whoever read an older state is told."""
    number = desk.post("/bookings", TRAINING).json["number"]
    path = f"/bookings/{number}"
    seen = desk.get(path).headers["ETag"]
    later = {"starts_at": "2026-11-25T17:45:00Z", "although": {"because": "They asked."}}
    moved = desk.change("PATCH", path, later)
    assert moved.status_code == 200, moved.json
    assert moved.json["ends_at"] == "2026-11-25T19:00:00Z"
    assert (moved.json["sequence"], moved.json["place"]) == (1, TRAINING["place"])
    late = desk.ask("PATCH", path, {"place": {"pitch": TOP, "area": "third-2"}}, If_Match=seen)
    assert is_problem(late, 412, "changed-meanwhile")
    assert booking_row(small, number).sequence == 1


def test_a_booking_is_given_back(desk: Program, small: Store) -> None:
    """It is told as off, with the reason, and holds no ground any more."""
    number = desk.post("/bookings", TRAINING).json["number"]
    gone = desk.change("DELETE", f"/bookings/{number}?why=waterlogged")
    assert (gone.status_code, gone.json["is_withdrawn"], gone.json["outcome"]) == (200, True, "off")
    assert "waterlogged" in gone.json["state"]
    assert booking_row(small, number).is_withdrawn
    assert is_problem(desk.change("DELETE", f"/bookings/{number}"), 404, "not-there")


def test_bookings_are_listed_by_start_leaf_by_leaf(desk: Program, small: Store) -> None:
    """By range, squad, pitch and purpose; one that is added before the cursor moves nothing."""
    for days in (0, 7, 14):
        book(small, day=A_WEDNESDAY + timedelta(days=days))
    path = "/bookings?since=2026-11-01T00:00:00Z&until=2027-01-01T00:00:00Z&limit=2"
    first = desk.get(path).json
    assert len(first["items"]) == 2
    book(small, day=A_WEDNESDAY - timedelta(days=7))
    second = desk.get(f"{path}&cursor={first['next']}").json
    starts = [one["starts_at"] for one in (*first["items"], *second["items"])]
    assert starts == sorted(starts)
    assert (len(starts), second["next"]) == (3, None)
    assert desk.get(f"{path}&squad={HARRIERS}").json["items"] == []
    assert desk.get(f"{path}&pitch={TOP}&purpose=match").json["items"] == []
    assert is_problem(
        desk.get("/bookings?since=2026-01-01T00:00:00Z&until=2029-01-01T00:00:00Z"), 422, "faulty"
    )


def test_a_coach_hands_back_their_own_session_and_no_other(
    app: Flask, coach: Program, desk: Program, small: Store
) -> None:
    """Another squad's is not there for them; they book and move nothing."""
    own = desk.post("/bookings", TRAINING).json["number"]
    area = {"pitch": TOP, "area": "third-2"}
    other = desk.post(
        "/bookings",
        {**TRAINING, "squad": HARRIERS, "place": area, "although": {"because": "So be it."}},
    ).json["number"]
    period = "since=2026-11-25T00:00:00Z"
    assert [one["number"] for one in coach.get(f"/bookings?{period}").json["items"]] == [own]
    assert is_problem(coach.get(f"/bookings/{other}"), 404, "not-there")
    assert is_problem(coach.post("/bookings", TRAINING), 403, "not-yours")
    counted = coach.post(f"/bookings/{own}/head-count", {"players": 9, "goalkeepers": 1})
    assert counted.status_code == 200
    gone = coach.change("DELETE", f"/bookings/{own}")
    assert (gone.status_code, gone.json["outcome"]) == (200, "off")
    assert "Link" not in gone.headers
    keeper = program_of(app, small, Role.GROUNDSKEEPER)
    assert len(keeper.get(f"/bookings?{period}").json["items"]) == 1


def test_faults_of_a_booking_have_their_places(desk: Program) -> None:
    """Ground and squads that are not there, times that run backwards, seconds."""
    for change, place in (
        ({"place": {"pitch": "nowhere"}}, "/place"),
        ({"squad": "nobody"}, "/squad"),
        ({"squad": None}, "/holder"),
        ({"ends_at": TRAINING["starts_at"]}, "/ends_at"),
        ({"ends_at": "2026-11-25T19:15:30Z"}, "/ends_at"),
        ({"ends_at": "2026-11-25T19:15:00"}, "/ends_at"),
        ({"ends_at": "2026-11-25 19:15:00Z"}, "/ends_at"),
        ({"ends_at": 1_790_000_000}, "/ends_at"),
        ({"purpose": "party"}, "/purpose"),
    ):
        answer = desk.post("/bookings", {**TRAINING, **change})
        assert is_problem(answer, 422, "faulty"), (change, answer.json)
        assert [one["at"] for one in answer.json["errors"]] == [place]
    past = {"starts_at": f"{NOW - timedelta(days=9):%Y-%m-%d}T18:00:00Z"}
    past["ends_at"] = past["starts_at"].replace("18:", "19:")
    assert is_problem(desk.post("/bookings", {**TRAINING, **past}), 422, "refused")


def test_a_session_is_fixed_and_let_go(desk: Program) -> None:
    """Share-outs leave it alone, or move it again."""
    number = desk.post("/bookings", TRAINING).json["number"]
    path = f"/bookings/{number}"
    freed = desk.change("POST", f"{path}/fix", {"is_fixed": False}, of=path)
    assert (freed.status_code, freed.json["is_fixed"]) == (200, False)
