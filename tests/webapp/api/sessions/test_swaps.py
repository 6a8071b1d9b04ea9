"""Squads that change places, by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from clubplanner.domain.club.people import Role
from tests.small_club import HARRIERS, KESTRELS, SQUADS, book, kept_bookings, load_small_club
from tests.webapp.api.programs import Program, is_problem, program_of

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.stores import Filled

OFFER = {"own": 1, "other": 2, "note": "Exams"}


def load_two_sessions(store: Store) -> None:
    """Book the Kestrels at six as 1, the Harriers at eight as 2; both can come at either time."""
    squads = SQUADS.replace("18:00-19:15", "18:00-21:00").replace("18:00-20:00", "18:00-21:00")
    load_small_club(store, squads=squads)
    book(store, KESTRELS, "third-1")
    book(store, HARRIERS, "third-2", start_min=20 * 60, end_min=21 * 60)


@pytest.fixture
def small(filled: Filled) -> Store:
    """Give the small club with the two sessions."""
    return filled(load_two_sessions)


@pytest.fixture
def other(app: Flask, small: Store) -> Program:
    """Give the program of the Harriers' coach."""
    return program_of(app, small, Role.COACH, HARRIERS, name="Sam Reed the younger")


def test_an_offer_is_made_and_accepted(coach: Program, other: Program, small: Store) -> None:
    """Each takes the other's ground; who offered cannot accept it, and it stands no more then."""
    (partner,) = coach.get("/bookings/1/swaps").json["others"]
    assert partner["booking"] == 2
    made = coach.post("/swaps", OFFER)
    assert (made.status_code, made.json["note"], made.json["is_mine"]) == (201, "Exams", True)
    path = f"/swaps/{made.json['number']}"
    assert is_problem(coach.post("/swaps", OFFER), 422, "refused")
    early = coach.change("POST", f"{path}/accept", {}, of=path)
    assert is_problem(early, 404, "not-there")
    assert other.get(path).json["may_accept"]
    taken = other.change("POST", f"{path}/accept", {}, of=path)
    assert (taken.status_code, taken.json["items"]) == (200, []), taken.json
    areas = {kept.holder: kept.area for kept in kept_bookings(small)}
    assert areas["U12 Kestrels"].endswith("/third-2")
    assert is_problem(other.get(path), 404, "not-there")


def test_an_offer_is_declined_or_taken_back(coach: Program, other: Program) -> None:
    """By whom it concerns, and nothing is moved."""
    for program in (other, coach):
        path = f"/swaps/{coach.post('/swaps', OFFER).json['number']}"
        assert [one["own_booking"] for one in program.get("/swaps").json["items"]] == [1]
        assert program.change("DELETE", path).json["items"] == []
    assert is_problem(other.post("/swaps", OFFER), 404, "not-there")
