"""People added, changed, let in and ended by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.small_club import HARRIERS, KESTRELS
from tests.webapp.api.programs import is_problem, program_of
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

LARK = {"name": "Jo Lark", "email": "jo@example.org", "squads": [KESTRELS]}


def test_a_person_is_added_changed_and_ended(desk: Program) -> None:
    """With what they coach and do; an ended one is no more in the list."""
    made = desk.post("/people", LARK)
    assert (made.status_code, made.json["role"]) == (201, "coach"), made.json
    assert (made.json["squads"], made.json["assists"]) == ([KESTRELS], ["U12 Kestrels"])
    path = f"/people/{made.json['number']}"
    seen = desk.get(path).headers["ETag"]
    change = {**LARK, "role": "groundskeeper", "squads": [HARRIERS], "phone": "01234 567"}
    changed = desk.change("PUT", path, change).json
    assert (changed["role"], changed["squads"]) == ("groundskeeper", [HARRIERS])
    assert is_problem(desk.ask("PUT", path, LARK, If_Match=seen), 412, "changed-meanwhile")
    alone = desk.change("PUT", path, {**change, "squads": []}).json
    assert alone["squads"] == []
    desk.change("PUT", path, {**change, "role": "coach", "squads": [HARRIERS]})
    desk.change("POST", f"{path}/end", of=path)
    gone = desk.change("PUT", path, {**change, "role": "coach", "squads": []})
    assert is_problem(gone, 404, "not-there"), gone.json
    assert "so they are listed no more" in gone.json["detail"]
    left = desk.ask("GET", "/people").json["items"]
    assert made.json["number"] not in [one["number"] for one in left]
    assert is_problem(desk.get(path), 404, "not-there")


def test_faults_of_a_person_have_their_places(desk: Program) -> None:
    """A name that is taken, a squad that is not there, an address that is none."""
    taken = desk.post("/people", LARK).json["name"]
    for body, place in (
        ({"name": taken, "role": "groundskeeper"}, "/name"),
        ({"name": "Kim Wren", "squads": ["moon"]}, "/squads"),
        ({"name": "Kim; Wren"}, "/name"),
        ({"name": "Kim Wren", "email": "kim"}, "/email"),
        ({"name": "Kim Wren", "role": "king"}, "/role"),
    ):
        answer = desk.post("/people", body)
        assert [one["at"] for one in answer.json["errors"]] == [place], answer.json


def test_somebody_is_let_in_by_an_address_that_is_shown_once(
    app: Flask, desk: Program, small: Store
) -> None:
    """It opens, is kept by nobody on the way, and a token for reading makes none."""
    path = f"/people/{desk.post('/people', LARK).json['number']}"
    way = desk.change("POST", f"{path}/let-in", of=path)
    assert (way.status_code, way.json["sets_password"]) == (200, False), way.json
    assert way.headers["Cache-Control"] == "no-store"
    page = app.test_client().get(way.json["address"].removeprefix(ADDRESS))
    assert (page.status_code, "Jo Lark" in page.text) == (200, True)
    reader = program_of(app, small, may_change=False, name="A reader")
    refused = reader.change("POST", f"{path}/let-in", of=path)
    assert is_problem(refused, 403, "not-yours")
    assert is_problem(desk.post(f"{path}/let-in"), 428, "no-condition")


def test_the_only_secretary_is_not_ended(desk: Program) -> None:
    """One that can sign in has to be left."""
    (me,) = [one for one in desk.get("/people").json["items"] if one["role"] == "secretary"]
    path = f"/people/{me['number']}"
    assert is_problem(desk.change("POST", f"{path}/end", of=path), 422, "refused")


def test_a_program_makes_changes_and_lets_in_no_secretary(desk: Program) -> None:
    """Else a token that is lost would open more than it is for, and longer."""
    (me,) = [one for one in desk.get("/people").json["items"] if one["role"] == "secretary"]
    own, lark = (
        f"/people/{number}" for number in (me["number"], desk.post("/people", LARK).json["number"])
    )
    for answer in (
        desk.change("POST", f"{own}/let-in", of=own),
        desk.change(
            "PUT", own, {"name": me["name"], "role": "secretary", "email": "x@example.org"}
        ),
        desk.change("PUT", own, {"name": me["name"], "role": "coach"}),
        desk.change("PUT", lark, {**LARK, "role": "secretary"}),
        desk.post("/people", {"name": "Kim Wren", "role": "secretary"}),
    ):
        assert is_problem(answer, 422, "refused"), answer.json
        assert "page “People”" in answer.json["detail"]
    assert desk.get(own).json == me
