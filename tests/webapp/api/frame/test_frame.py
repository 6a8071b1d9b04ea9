"""What holds for every operation: who, once, faults, limits, what is described."""

from __future__ import annotations

import json
import threading
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest
from jsonschema import Draft202012Validator

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import end_access, list_people
from clubplanner.services.people.ways_in.tokens import list_tokens, withdraw_token
from clubplanner.services.rows.named import find_squad
from clubplanner.services.setup.clubs.club_squads import add_club
from clubplanner.services.setup.squads.whole import list_whole_squads
from clubplanner.store.tables.within_tables import SquadClubRow
from clubplanner.webapp import create_app
from clubplanner.webapp.api.frame import calls
from clubplanner.webapp.api.frame.operations import OPERATIONS
from clubplanner.webapp.base.problem_details import MEANINGS, TITLES
from tests.builders import NOW
from tests.small_club import HARRIERS, KESTRELS
from tests.stores import count_rows
from tests.webapp.api.programs import Program, is_problem, program_of
from tests.webapp.api.sessions.test_bookings import TRAINING
from tests.webapp.api.squads.test_squads import WREN
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    from typing import Any

    from flask import Flask

    from clubplanner.store.engine import Store


def test_without_a_token_nothing_is_told(app: Flask, small: Store) -> None:
    """Neither nobody, nor a wrong token, nor a signed-in browser's cookie opens anything."""
    for token in ("", "cp1_wrong", "wrong"):
        answer = Program(app, token).get("/squads")
        assert is_problem(answer, 401, "no-token")
        assert answer.headers["WWW-Authenticate"] == 'Bearer realm="clubplanner"'
    secretary = sign_in(app, small)
    assert secretary.get("/api/1/squads").status_code == 401
    posted = secretary.post("/api/1/squads", json=WREN, headers={"Idempotency-Key": "a"})
    assert posted.status_code == 401
    assert len(list_whole_squads(small)) == 2


def test_a_token_opens_no_page(desk: Program) -> None:
    """The pages know cookies alone."""
    client = desk.app.test_client()
    answer = client.get("/desk/squads", headers={"Authorization": f"Bearer {desk.token}"})
    assert (answer.status_code, "/sign-in" in answer.headers["Location"]) == (302, True)


def test_no_cookie_is_set(desk: Program) -> None:
    """Not even by a change that a page would offer to take back."""
    for answer in (desk.post("/squads", WREN), desk.get("/squads"), desk.get("/nothing")):
        assert "Set-Cookie" not in answer.headers
        assert "Cookie" not in answer.headers.get("Vary", "")


def test_a_token_says_whose_it_is(coach: Program) -> None:
    """Its person, what they do, and what it was made for."""
    told = coach.get("/me").json
    assert (told["name"], told["role"], told["squads"]) == ("A coach", "coach", [KESTRELS])
    assert (told["purpose"], told["may_change"]) == ("a test", True)


def test_a_token_for_reading_changes_nothing(app: Flask, small: Store) -> None:
    """It reads what its person may, and is refused anything else before it is looked at."""
    reader = program_of(app, small, may_change=False)
    path = f"/squads/{KESTRELS}"
    assert reader.get(path).status_code == 200
    assert is_problem(reader.post("/squads", WREN), 403, "not-yours")
    assert is_problem(reader.change("PUT", path, {**WREN, "asks": []}), 403, "not-yours")
    assert len(list_whole_squads(small)) == 2


def test_a_withdrawn_or_ended_token_opens_nothing(app: Flask, small: Store) -> None:
    """From the moment it is withdrawn, its time is up, or its person's access ends."""
    withdrawn, ended = program_of(app, small, name="One"), program_of(app, small, name="Two")
    number = next(one.number for one in list_tokens(small, NOW) if one.name == "One")
    withdraw_token(small, number, NOW)
    assert withdrawn.get("/me").status_code == 401
    assert ended.get("/me").status_code == 200
    keeper = program_of(app, small, Role.GROUNDSKEEPER, name="Three")
    person = next(one for one in list_people(small, NOW) if one.person.name == "Three")
    end_access(small, person.person.number, 0, NOW)
    assert keeper.get("/me").status_code == 401
    later = create_app(small, Config("", ADDRESS), lambda: NOW + timedelta(days=31))
    assert Program(later, ended.token).get("/me").status_code == 401


def test_rights_are_the_persons_own_of_today(app: Flask, small: Store) -> None:
    """A groundskeeper's token does not read squads' contacts, nor a coach's write them."""
    keeper = program_of(app, small, Role.GROUNDSKEEPER)
    assert is_problem(keeper.get("/squads"), 403, "not-yours")


def test_a_clubs_secretarys_token_is_held_to_the_club(app: Flask, small: Store) -> None:
    """It reads and changes the club's squads alone, whatever it names; others are not there."""
    with small.write() as session:
        club = add_club(session, "Brook").id
        session.add(SquadClubRow(squad_id=find_squad(session, KESTRELS).id, club_id=club))
    key, other = KESTRELS, HARRIERS
    held = program_of(app, small, Role.CLUB_SECRETARY, club=club)
    assert [one["key"] for one in held.get("/squads").json["items"]] == [key]
    assert is_problem(held.get(f"/squads/{other}"), 404, "not-there")
    body = {"name": other, "players": 9, "asks": []}
    assert held.ask("PUT", f"/squads/{other}", body, If_Match="*").status_code == 404
    booked = held.post("/bookings", {**TRAINING, "squad": other})
    assert booked.status_code == 422, booked.json
    assert is_problem(held.get("/closures"), 403, "not-yours")
    assert count_rows(small)["booking"] == 0


def test_what_is_posted_again_is_done_once(desk: Program, small: Store) -> None:
    """A repeat gets the same status and place; another request with the key is refused."""
    first = desk.post("/squads", WREN, Idempotency_Key="one")
    again = desk.post("/squads", WREN, Idempotency_Key="one")
    assert (again.status_code, again.json) == (201, first.json)
    assert again.headers["Location"] == first.headers["Location"]
    assert again.headers["Link"] == first.headers["Link"]
    assert again.headers["Idempotent-Replayed"] == "true"
    other = desk.post("/squads", {**WREN, "name": "U11 Wrens"}, Idempotency_Key="one")
    assert is_problem(other, 422, "key-used")
    assert len(list_whole_squads(small)) == 3


def test_what_was_refused_may_be_sent_again_with_its_key(desk: Program) -> None:
    """Nothing was done, so nothing is kept of it."""
    faulty = {**WREN, "players": 0}
    assert desk.post("/squads", faulty, Idempotency_Key="one").status_code == 422
    assert desk.post("/squads", WREN, Idempotency_Key="one").status_code == 201


def test_a_key_is_a_tokens_own_and_has_to_be_there(app: Flask, desk: Program, small: Store) -> None:
    """Two programs may choose the same key; none at all is refused."""
    other = program_of(app, small, name="Another")
    assert desk.post("/squads", WREN, Idempotency_Key="one").status_code == 201
    assert other.post("/squads", {**WREN, "name": "U9"}, Idempotency_Key="one").status_code == 201
    assert is_problem(desk.post("/squads", WREN, Idempotency_Key=""), 400, "unreadable")


def test_two_servers_do_a_posted_request_once(desk: Program, small: Store) -> None:
    """Sent at one time to two of them, it is done by one, and both say so."""
    servers = [create_app(small, Config("", ADDRESS), lambda: NOW) for _unused in range(2)]
    answers: list[Any] = []

    def send(app: Flask) -> None:
        answers.append(Program(app, desk.token).post("/squads", WREN, Idempotency_Key="one"))

    threads = [threading.Thread(target=send, args=[app]) for app in servers]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [answer.status_code for answer in answers] == [201, 201]
    assert sum("Idempotent-Replayed" in answer.headers for answer in answers) == 1
    assert len(list_whole_squads(small)) == 3


def test_an_unchanged_state_is_not_sent_again(desk: Program) -> None:
    """A program that has it is told so, packed or not."""
    for headers in ({}, {"Accept_Encoding": "gzip"}):
        tag = desk.get("/squads", **headers).headers["ETag"]
        again = desk.get("/squads", If_None_Match=tag, **headers)
        assert (again.status_code, again.data) == (304, b"")
    assert tag.endswith('-gz"')
    first = desk.get(f"/squads/{KESTRELS}", Accept_Encoding="gzip").headers["ETag"]
    body = {"name": "U12 Kestrels", "players": 15, "asks": []}
    assert desk.ask("PUT", f"/squads/{KESTRELS}", body, If_Match=first).status_code == 200


@pytest.mark.parametrize(
    ("path", "place"),
    [
        ("/squads?limit=0", "limit"),
        ("/squads?limit=many", "limit"),
        ("/squads?colour=red", "colour"),
        ("/squads?cursor=%00", "cursor"),
        ("/squads?cursor=WzFd", "cursor"),
        ("/squads?limit=1&limit=2", "limit"),
        ("/me?verbose=1", ""),
    ],
)
def test_a_query_that_cannot_be_meant_is_refused(desk: Program, path: str, place: str) -> None:
    """Each fault names its parameter."""
    answer = desk.get(path)
    assert is_problem(answer, 422, "faulty")
    assert [one["at"] for one in answer.json["errors"]] == [place]


def test_a_body_has_to_be_json_of_some_size(desk: Program) -> None:
    """Of the type that says so, whole, and not endless."""
    client = desk.app.test_client()
    headers = {"Authorization": f"Bearer {desk.token}", "Idempotency-Key": "k"}
    for data, kind, status, problem in (
        (b"{}", "text/plain", 415, "not-json"),
        (b"{", "application/json", 400, "unreadable"),
        (b'{"name": "\\ud800"}', "application/json", 400, "unreadable"),
        (b"[]", "application/json", 422, "faulty"),
        (b"", "application/json", 400, "unreadable"),
        (b" " * 1_000_001, "application/json", 413, "too-large"),
    ):
        answer = client.post("/api/1/squads", data=data, content_type=kind, headers=headers)
        assert is_problem(answer, status, problem), (data[:20], answer.data)


def test_wrong_addresses_and_methods_are_problems_too(desk: Program) -> None:
    """Nothing under the API answers with a page."""
    assert is_problem(desk.get("/nothing"), 404, "not-there")
    assert is_problem(desk.ask("PATCH", "/squads", {}), 405, "not-that-way")
    assert "GET" in desk.ask("PATCH", "/squads", {}).headers["Allow"]
    assert is_problem(Program(desk.app, "").get("/nothing"), 404, "not-there")


def test_problems_are_told_in_the_language_asked_for(desk: Program) -> None:
    """Their kind stays the same word for programs."""
    answer = desk.get(f"/squads/{KESTRELS}x", Accept_Language="de")
    assert is_problem(answer, 404, "not-there")
    assert answer.json["title"] == "Hier ist nichts"


def test_every_kind_of_problem_says_what_it_means(desk: Program) -> None:
    """To anybody, at the address that its `type` names."""
    assert set(TITLES) == set(MEANINGS)
    for kind in TITLES:
        told = Program(desk.app, "").get(f"/problems/{kind}")
        assert told.json["type"] == f"{ADDRESS}/api/1/problems/{kind}"
        assert told.json["meaning"] == MEANINGS[kind]


def test_a_token_that_asks_too_often_waits(
    app: Flask, small: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is told for how long; another token goes on."""
    monkeypatch.setattr(calls, "MOST_CALLS", 3)
    busy = create_app(small, Config("", ADDRESS), lambda: NOW)
    one, two = program_of(busy, small, name="One"), program_of(busy, small, name="Two")
    assert [one.get("/me").status_code for _unused in range(4)] == [200, 200, 200, 429]
    held = one.get("/me")
    assert is_problem(held, 429, "too-often")
    assert int(held.headers["Retry-After"]) > 0
    assert two.get("/me").status_code == 200


def test_every_route_is_described_and_nothing_else(app: Flask) -> None:
    """The description has each address with its methods, the description's own aside."""
    told = Program(app, "").get("/openapi.json").json
    described = {
        (method.upper(), path) for path, methods in told["paths"].items() for method in methods
    }
    routes = {
        (method, rule.rule.removeprefix("/api/1").replace("<int:", "<"))
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
        if rule.rule.startswith("/api/1/") and rule.rule != "/api/1/openapi.json"
    }
    assert described == {(m, p.replace("<", "{").replace(">", "}")) for m, p in routes}
    assert told["servers"] == [{"url": f"{ADDRESS}/api/1"}]
    names = [o["operationId"] for methods in told["paths"].values() for o in methods.values()]
    assert len(names) == len(set(names)) == len(OPERATIONS)


def test_every_value_has_an_example_and_each_is_valid(app: Flask) -> None:
    """Whoever copies an example from the description sends what is taken."""
    told = Program(app, "").get("/openapi.json").json
    schemas = told["components"]["schemas"]
    assert len(schemas) > 5
    for name, schema in schemas.items():
        examples = schema.get("examples", [])
        if schema["type"] == "object" and name not in ("ErrorPlace", "Hindering"):
            assert examples, name
        whole = {**schema, "components": told["components"]}
        validator = Draft202012Validator(json.loads(json.dumps(whole)))
        for example in examples:
            assert not list(validator.iter_errors(example)), (name, example)
