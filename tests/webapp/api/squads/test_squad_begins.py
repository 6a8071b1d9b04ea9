"""A squad begins and ends by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.small_club import KESTRELS, book
from tests.stores import booking_row
from tests.webapp.api.programs import is_problem
from tests.webapp.api.squads.test_squads import WREN
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

FROM = {"from_day": "2026-12-01"}


def test_a_squad_begins_where_ground_is_free(app: Flask, desk: Program) -> None:
    """It is looked first; the address is shown once, and a repeat books nothing."""
    path = f"/squads/{desk.post('/squads', WREN).json['key']}"
    told = desk.post(f"{path}/begin/look", FROM, Idempotency_Key="").json
    assert (told["has"], told["makes_address"]) == (0, True)
    (wanted,) = told["sought"]
    best = wanted["options"][0]
    choice = {**FROM, "choices": [best["value"]]}
    assert is_problem(desk.post(f"{path}/begin", choice), 428, "no-condition")
    seen = desk.get(path).headers["ETag"]
    began = desk.ask("POST", f"{path}/begin", choice, If_Match=seen)
    assert (began.status_code, began.headers["Cache-Control"]) == (200, "no-store"), began.json
    page = app.test_client().get(began.json["address"].removeprefix(ADDRESS))
    assert page.status_code == 200
    again = desk.ask("POST", f"{path}/begin", choice, If_Match=seen)
    assert is_problem(again, 412, "changed-meanwhile")
    assert desk.post(f"{path}/begin/look", FROM).json["sought"] == []


def test_a_squad_ends_as_it_was_foreseen(desk: Program, small: Store) -> None:
    """Its sessions from then on go, if they are those that were looked at."""
    path = f"/squads/{KESTRELS}"
    number = book(small)
    late = {"from_day": "2026-11-25"}
    foreseen = desk.post(f"{path}/end/look", late, Idempotency_Key="").json
    assert (foreseen["sessions"], len(foreseen["habits"])) == (1, 1)
    moon = desk.post(f"{path}/end", {**late, "seen": "x", "goes_on_in": "moon"})
    assert [one["at"] for one in moon.json["errors"]] == ["/goes_on_in"]
    stale = desk.post(f"{path}/end", {**late, "seen": "x"})
    assert stale.status_code == 409, stale.json
    assert not booking_row(small, number).is_withdrawn
    ended = desk.post(f"{path}/end", {**late, "seen": foreseen["seen"]})
    assert (ended.status_code, ended.json["key"]) == (200, KESTRELS), ended.json
    assert booking_row(small, number).is_withdrawn
    assert is_problem(desk.post(f"{path}/end/look", late), 422, "refused")


def test_dates_that_have_passed_are_refused(desk: Program, coach: Program) -> None:
    """Of the beginning and the end; and a coach does neither."""
    for what in ("begin", "end"):
        past = {"from_day": "2026-01-01"}
        assert is_problem(desk.post(f"/squads/{KESTRELS}/{what}/look", past), 422, "refused")
        assert is_problem(desk.post(f"/squads/moon/{what}/look", FROM), 404, "not-there")
        assert is_problem(coach.post(f"/squads/{KESTRELS}/{what}/look", FROM), 403, "not-yours")
