"""Errors told on pages."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner import errors
from clubplanner.config import Config
from clubplanner.errors import BusyError, PlannerError
from clubplanner.webapp import create_app
from clubplanner.webapp.base.faults import STATUSES
from tests.builders import NOW
from tests.webapp.conftest import ADDRESS, sign_in

if TYPE_CHECKING:
    import pytest
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


def test_every_error_has_a_status() -> None:
    """Each error of the tree is in the table."""
    leaves = {
        e for e in vars(errors).values() if isinstance(e, type) and issubclass(e, PlannerError)
    }
    assert leaves - {PlannerError} == set(STATUSES)


def test_a_failure_of_ours_shows_no_detail(
    app: Flask, desk: FlaskClient, monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    """An unforeseen error is a page with a number; the log has the rest."""

    def broken(*_: object) -> None:
        raise RuntimeError("the password is swordfish")

    monkeypatch.setattr("clubplanner.webapp.setup.squads.see_squads", broken)
    answer = desk.get("/desk/squads")
    assert answer.status_code == 500
    assert "swordfish" not in answer.text
    number = re.search(r"this number: (\w+)", answer.text)
    assert number is not None
    assert number[1] in caplog.text


def test_an_error_page_that_fails_still_says_something(
    desk: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When even the frame of the page cannot be made, the words are sent bare."""

    def broken(*_: object, **__: object) -> str:
        raise RuntimeError

    monkeypatch.setattr("clubplanner.webapp.base.faults.render_template", broken)
    answer = desk.get("/desk/share-outs/77")
    assert answer.status_code == 404
    assert "There is no share-out 77" in answer.text


def test_a_database_held_by_another_program_is_told_on_a_page_of_its_own(
    club_store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not even the frame of the page can be made then: the words come alone."""
    desk = sign_in(create_app(club_store, Config("", ADDRESS), lambda: NOW), club_store)

    def held(*_: object) -> None:
        raise BusyError()

    monkeypatch.setattr("clubplanner.webapp.base.security.find_signed_in", held)
    answer = desk.get("/desk/evening")
    assert answer.status_code == 503
    assert "records are busy with another change" in answer.text
    assert "Not available now" in answer.text
    assert "pages.css" in answer.text
