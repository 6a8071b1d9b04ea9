"""What concerns who may come in is written down, without a name or a secret."""

from __future__ import annotations

import logging
from typing import TYPE_CHECKING, Any

import pytest

from clubplanner.domain.club.people import Role
from clubplanner.logs import FIELDS
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.webapp.serving.noted import DONE, FAILED
from tests.builders import NOW
from tests.webapp.conftest import sign_in, token

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store

PASSWORD = "four words make it long"
NAME = "Kim Ashby"


def told(caplog: pytest.LogCaptureFixture) -> list[dict[str, Any]]:
    """Return the values of the entries so far, and forget them."""
    found = [getattr(one, FIELDS) for one in caplog.records if one.name == "clubplanner.security"]
    caplog.clear()
    return found


@pytest.fixture(autouse=True)
def _everything_is_heard(caplog: pytest.LogCaptureFixture) -> None:
    caplog.set_level("INFO", "clubplanner.security")


def test_who_comes_in_and_who_does_not_is_written_down(
    app: Flask, club_store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """A key that is used, a wrong password, a right one, and signing out; each with its machine."""
    key = create_secretary_key(club_store, NOW)
    page, client = f"/secretary/{key}", app.test_client()
    fields = {"name": NAME, "password": PASSWORD, "csrf_token": token(client, page)}
    client.post(page, data=fields)
    other = app.test_client()
    for word in ("not it, but as long", PASSWORD):
        sent = {"login": NAME, "password": word, "csrf_token": token(other, "/sign-in")}
        other.post("/sign-in", data=sent)
    other.post("/sign-out", data={"csrf_token": token(other, "/me")})
    text = caplog.text
    entries = told(caplog)
    assert [one["event"] for one in entries] == [
        "password set by an address",
        "sign-in failed",
        "signed in by password",
        "signed out",
    ]
    number = entries[0]["person"]
    assert [one["person"] for one in entries] == [number, None, number, number]
    assert {one["machine"] for one in entries} == {"127.0.0.1"}
    for secret in (key, PASSWORD, "not it", NAME):
        assert secret not in text


def test_what_is_refused_is_a_warning(
    app: Flask, club_store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """A page that is not theirs, and a form that no page of ours sent."""
    coach = sign_in(app, club_store, Role.COACH)
    assert coach.get("/desk/people").status_code == 403
    assert coach.post("/desk/people").status_code == 400
    levels = {one.levelno for one in caplog.records if one.name == "clubplanner.security"}
    assert levels == {logging.WARNING}
    events = [(one["event"], one["route"], one["status"]) for one in told(caplog)]
    assert events == [
        ("page refused", "/desk/people", 403),
        ("form without its token", "/desk/people", 400),
    ]


def test_every_view_that_is_noted_is_there(app: Flask) -> None:
    """No entry stands for a view that was renamed."""
    assert (set(DONE) | set(FAILED)) <= set(app.view_functions)


def test_looking_is_not_noted(
    app: Flask, club_store: Store, caplog: pytest.LogCaptureFixture
) -> None:
    """Pages that are had are no event here."""
    desk = sign_in(app, club_store)
    desk.get("/me")
    desk.get("/desk/people")
    assert told(caplog) == []
