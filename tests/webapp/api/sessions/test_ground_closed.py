"""Closures by the API."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.club.people import Role
from tests.small_club import TOP, book
from tests.stores import booking_row
from tests.webapp.api.programs import is_problem, program_of

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store
    from tests.webapp.api.programs import Program

SHUT: dict[str, Any] = {
    "place": {"pitch": TOP, "area": "whole"},
    "starts_at": "2026-11-25T17:00:00Z",
    "ends_at": "2026-11-25T22:00:00Z",
    "condition": "closed",
    "reason": "waterlogged",
}


@pytest.fixture
def keeper(app: Flask, small: Store) -> Program:
    """Give the groundskeeper's program."""
    return program_of(app, small, Role.GROUNDSKEEPER)


def test_ground_is_looked_at_closed_changed_and_opened(keeper: Program, small: Store) -> None:
    """Whoever is on it goes as was decided, and comes back where that is asked for."""
    number = book(small)
    foreseen = keeper.post("/closures/look", SHUT, Idempotency_Key="").json
    (one,) = foreseen["displaced"]
    assert (one["booking"], booking_row(small, number).is_withdrawn) == (number, False)
    decided = [{"booking": number, "value": "withdraw"}]
    made = keeper.post("/closures", {**SHUT, "decisions": decided})
    assert made.status_code == 201, made.json
    assert booking_row(small, number).is_withdrawn
    path = made.headers["Location"].removeprefix("/api/1")
    assert [one["number"] for one in keeper.get("/closures").json["items"]] == [made.json["number"]]
    changed = keeper.change("PATCH", path, {"reason": "frozen"})
    assert (changed.json["reason"], changed.json["ends_at"]) == ("frozen", SHUT["ends_at"])
    (back,) = changed.json["returns"]
    assert back["can"]
    opened = keeper.change("DELETE", f"{path}?bring_back=true")
    assert (opened.status_code, opened.json["is_in_force"]) == (200, False)
    assert not booking_row(small, number).is_withdrawn


def test_a_condition_displaces_nobody_and_says_what_is_allowed(keeper: Program) -> None:
    """One of another kind needs words."""
    other = {**SHUT, "condition": "other"}
    answer = keeper.post("/closures", other)
    assert is_problem(answer, 422, "faulty")
    assert [one["at"] for one in answer.json["errors"]] == ["/words"]
    made = keeper.post("/closures", {**other, "words": "walking football only"})
    assert (made.json["condition"], made.json["words"]) == ("other", "walking football only")


def test_whoever_saw_an_older_closure_changes_nothing(keeper: Program) -> None:
    """The later of two is told."""
    path = keeper.post("/closures", SHUT).headers["Location"].removeprefix("/api/1")
    seen = keeper.get(path).headers["ETag"]
    assert keeper.ask("PATCH", path, {"reason": "frozen"}, If_Match=seen).status_code == 200
    late = keeper.ask("PATCH", path, {"reason": "wet"}, If_Match=seen)
    assert is_problem(late, 412, "changed-meanwhile")


def test_a_coach_closes_nothing(coach: Program) -> None:
    """Nor lists what is closed: their own page says what of it is theirs."""
    assert is_problem(coach.get("/closures"), 403, "not-yours")
    assert is_problem(coach.post("/closures", SHUT), 403, "not-yours")
