"""Squads by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from clubplanner.services.setup.squads.whole import see_whole_squad
from tests.small_club import HARRIERS, KESTRELS
from tests.webapp.api.programs import is_problem

if TYPE_CHECKING:
    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

WREN: dict[str, Any] = {
    "name": "U10 Wrens",
    "age_group": "U10",
    "players": 12,
    "coaches": [{"name": "Jo Lark", "email": "jo@example.org"}],
    "asks": [
        {
            "sessions": 1,
            "minutes": 60,
            "possible": [{"weekday": "tue", "starts": "17:30", "ends": "19:00"}],
            "least_ground": {"share": 0.5},
            "partners": [{"relation": "same evening", "squad": KESTRELS, "grade": 2}],
        }
    ],
}


def test_squads_are_listed_leaf_by_leaf_in_the_clubs_order(desk: Program) -> None:
    """A leaf names the next one until there is none."""
    first = desk.get("/squads?limit=1")
    assert [one["key"] for one in first.json["items"]] == [KESTRELS]
    assert first.headers["Link"] == (
        f'</api/1/squads?limit=1&cursor={first.json["next"]}>; rel="next"'
    )
    second = desk.get(f"/squads?limit=1&cursor={first.json['next']}").json
    assert [one["key"] for one in second["items"]] == [HARRIERS]
    assert second["next"] is None


def test_a_squad_is_added_and_stands_where_the_answer_says(desk: Program, small: Store) -> None:
    """What was sent comes back as it stands, and the records have it."""
    made = desk.post("/squads", WREN)
    assert (made.status_code, made.headers["Location"]) == (201, "/api/1/squads/u10-wrens")
    ask = made.json["asks"][0]
    assert ask["possible"] == WREN["asks"][0]["possible"]
    assert ask["partners"] == [{"relation": "same evening", "squad": KESTRELS, "grade": 2}]
    assert see_whole_squad(small, "u10-wrens").squad.coach == "Jo Lark"
    assert desk.get("/squads/u10-wrens").json == made.json


def test_a_squad_is_changed_as_it_was_read(desk: Program, small: Store) -> None:
    """With another name its key changes, and the answer says where it is now."""
    body = {"name": "U12 Falcons", "players": 15, "asks": []}
    changed = desk.change("PUT", f"/squads/{KESTRELS}", body)
    assert changed.status_code == 200
    assert changed.headers["Content-Location"] == "/api/1/squads/u12-falcons"
    assert (changed.json["players"], changed.json["asks"]) == (15, [])
    assert see_whole_squad(small, "u12-falcons").asks == ()


def test_whoever_was_not_first_changes_nothing(desk: Program, small: Store) -> None:
    """The state that was read has to be the one that stands; without saying which, nothing goes."""
    body = {"name": "U12 Kestrels", "players": 15, "asks": []}
    path = f"/squads/{KESTRELS}"
    seen = desk.get(path).headers["ETag"]
    assert is_problem(desk.ask("PUT", path, body), 428, "no-condition")
    assert desk.ask("PUT", path, body, If_Match=seen).status_code == 200
    body["players"] = 20
    late = desk.ask("PUT", path, body, If_Match=seen)
    assert is_problem(late, 412, "changed-meanwhile")
    assert see_whole_squad(small, KESTRELS).squad.players == 15


def test_every_fault_of_a_squad_has_its_place(desk: Program) -> None:
    """Faults that the squads file's own reader finds point at the members that are meant."""
    ask = {**WREN["asks"][0], "sessions": 3}
    answer = desk.post("/squads", {**WREN, "goalkeepers": 13, "asks": [ask]})
    assert is_problem(answer, 422, "faulty")
    assert {one["at"] for one in answer.json["errors"]} == {"/goalkeepers", "/asks/0/sessions"}
    strict = desk.post("/squads", {**WREN, "players": "12", "colour": "red"})
    found = {one["at"]: one["code"] for one in strict.json["errors"]}
    assert found == {"/players": "int_type", "/colour": "extra_forbidden"}


def test_people_are_the_secretarys_to_read(desk: Program, coach: Program) -> None:
    """Who coaches and who may sign in, with the squads they look after."""
    listed = desk.get("/people?limit=1").json
    (first,) = listed["items"]
    assert (first["name"], first["answers_for"]) == ("Robin Hale", ["U12 Kestrels"])
    assert desk.get(f"/people/{first['number']}").json == first
    assert listed["next"]
    assert is_problem(desk.get("/people/999"), 404, "not-there")
    assert is_problem(coach.get("/people"), 403, "not-yours")


def test_a_coach_reads_their_own_squads_without_others_contacts(
    coach: Program, desk: Program
) -> None:
    """Another squad looks as one that is not there; addresses and numbers are the secretary's."""
    desk.change("PUT", f"/squads/{KESTRELS}", {**WREN, "name": "U12 Kestrels", "asks": []})
    listed = coach.get("/squads").json["items"]
    assert [one["key"] for one in listed] == [KESTRELS]
    assert {one["email"] for one in listed[0]["coaches"]} == {""}
    assert is_problem(coach.get(f"/squads/{HARRIERS}"), 404, "not-there")
    assert is_problem(coach.post("/squads", WREN), 403, "not-yours")
