"""Tariffs, reductions and statements by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.services.money.money_club import CHOIR, DECEMBER_3, book_november, load_tariffed_club
from tests.small_club import TOP
from tests.webapp.api.programs import Program, is_problem, program_of
from tests.webapp.conftest import ADDRESS

if TYPE_CHECKING:
    from tests.stores import Filled

TARIFF: dict[str, Any] = {
    "payer": "hirer",
    "spot": {"venue": "marsh-lane", "pitch": TOP, "area": "half-1"},
    "amount": "12.50",
    "per": "hour",
    "name": "Winter lamps",
    "adds": True,
    "light": "floodlight",
    "weekdays": ["mon", "fri"],
    "starts": "17:00",
    "ends": "22:00",
    "season_from": "10-01",
    "season_to": "03-31",
    "starts_on": "2026-09-01",
    "ends_on": None,
}


@pytest.fixture
def treasurer(filled: Filled) -> Program:
    """Give the secretary's program of the club with tariffs and a November, in December."""
    store = filled(load_tariffed_club)
    book_november(store)
    return program_of(create_app(store, Config("", ADDRESS), lambda: DECEMBER_3), store)


def test_a_tariff_is_added_changed_and_taken_out(treasurer: Program) -> None:
    """Every condition comes back as it was written."""
    made = treasurer.post("/tariffs", TARIFF)
    assert (made.status_code, made.json) == (201, {"number": made.json["number"], **TARIFF})
    path = f"/tariffs/{made.json['number']}"
    seen = treasurer.get(path).headers["ETag"]
    changed = treasurer.change("PUT", path, {**TARIFF, "amount": "13", "weekdays": []})
    assert (changed.json["amount"], changed.json["weekdays"]) == ("13.00", [])
    assert is_problem(treasurer.ask("DELETE", path, If_Match=seen), 412, "changed-meanwhile")
    gone = treasurer.change("DELETE", path)
    assert [one["amount"] for one in gone.json["items"]] == ["20.00", "9.00", "6.00", "30.00"]
    assert is_problem(treasurer.get(path), 404, "not-there")


def test_faults_of_a_tariff_have_their_places(treasurer: Program) -> None:
    """Those that the type does not show are the service's."""
    for change, place in (
        ({"ends": "16:00"}, "/ends"),
        ({"season_to": "02-31"}, "/season_to"),
        ({"amount": "12.505"}, "/amount"),
        ({"spot": {"venue": "moon"}}, "/spot"),
        ({"payer": "nobody"}, "/payer"),
    ):
        answer = treasurer.post("/tariffs", {**TARIFF, **change})
        assert [one["at"] for one in answer.json["errors"]] == [place], answer.json


def test_a_reduction_is_added_changed_and_taken_out(treasurer: Program) -> None:
    """For one hirer; one that takes nothing off is refused at its place."""
    hours = {"payer": "hirer", "who": CHOIR, "free_minutes": 30}
    made = treasurer.post("/reductions", hours)
    assert (made.status_code, made.json["who"]) == (201, CHOIR)
    path = f"/reductions/{made.json['number']}"
    (draft,) = _drafts(treasurer, "hirer")
    assert (draft["total"], draft["lines"][0]["free_minutes"]) == ("7.50", 30)
    none = treasurer.change("PUT", path, {"payer": "hirer"})
    assert [one["at"] for one in none.json["errors"]] == ["/percent"]
    assert treasurer.change("PUT", path, {"payer": "hirer", "percent": 10}).json["percent"] == 10
    gone = treasurer.change("DELETE", path)
    assert [one["name"] for one in gone.json["items"]] == ["Young"]
    assert is_problem(treasurer.get(path), 404, "not-there")


def test_terms_are_settled(treasurer: Program) -> None:
    """As a whole; a currency that nobody knows is refused at its place."""
    told = treasurer.get("/money-terms").json
    assert (told["currency"], told["notice_hours"], told["late_percent"]) == ("EUR", 24, 50)
    moon = treasurer.change("PUT", "/money-terms", {**told, "currency": "MOON"})
    assert [one["at"] for one in moon.json["errors"]] == ["/currency"]
    settled = treasurer.change("PUT", "/money-terms", {**told, "currency": "gbp", "note": "Ta."})
    assert (settled.json["currency"], settled.json["note"]) == ("GBP", "Ta.")


def test_statements_are_issued_read_and_taken_back(treasurer: Program) -> None:
    """Half a pitch for an hour at 30.00 is 15.00; one stands for a month, and its number stays."""
    wish = {"month": "2026-11", "payer": "hirer", "key": CHOIR}
    made = treasurer.post("/statements", wish)
    assert (made.status_code, made.json["number"], made.json["total"]) == (201, 1, "15.00")
    assert (made.json["lines"][0]["share"], made.json["lines"][0]["rate"]) == ("1/2", "30.00")
    assert [one["statement"] for one in _drafts(treasurer, "hirer")] == [1]
    assert is_problem(treasurer.post("/statements", wish), 422, "refused")
    early = {**wish, "month": "2026-12"}
    assert is_problem(treasurer.post("/statements", early), 422, "refused")
    back = treasurer.change(
        "POST", "/statements/1/take-back", {"why": "It rained."}, of="/statements/1"
    )
    assert (back.json["why"], back.json["taken_back_at"] is None) == ("It rained.", False)
    rest = treasurer.post("/statements/all", {"month": "2026-11"}).json["items"]
    assert [one["number"] for one in rest] == [5, 4, 3, 2, 1]
    assert treasurer.get("/statements?month=2026-10").json["items"] == []
    assert [one["number"] for one in treasurer.get("/statements?limit=1").json["items"]] == [5]


def _drafts(treasurer: Program, payer: str) -> list[dict[str, Any]]:
    told = treasurer.get("/statements/drafts?month=2026-11").json["items"]
    return [one for one in told if one["payer"] == payer]
