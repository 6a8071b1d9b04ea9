"""A disk that is full, or a file that may not be written: said plainly, and nothing changed."""

from __future__ import annotations

import errno
import logging
import os
import sys
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import event

from clubplanner.config import Config
from clubplanner.errors import NoRoomError, StoreError
from clubplanner.store.engine import open_store
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import TOP, find_area_id, kept_bookings
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    import sqlite3

    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.fixture
def store(small: Store) -> Store:
    """Give the small club."""
    return small


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


def fill(store: Store) -> None:
    """Let the database grow no further, as on a full disk: SQLite then says SQLITE_FULL."""
    with store.read() as session:
        connection = session.connection()
        pages = connection.exec_driver_sql("PRAGMA page_count").scalar()
    store.close()

    @event.listens_for(store.engine, "connect")
    def hold(connection: sqlite3.Connection, _record: Any) -> None:
        connection.execute(f"PRAGMA max_page_count = {pages}")


def hire(store: Store, who: str) -> dict[str, str]:
    """Return the fields of a booking for a hirer."""
    return {
        "area": str(find_area_id(store, TOP, "whole")),
        "date": "2026-11-25",
        "from": "17:00",
        "to": "17:45",
        "purpose": "hire",
        "who": who,
        "note": "x" * 400,
    }


def test_a_full_disk_is_told_and_nothing_changes(desk: FlaskClient, store: Store) -> None:
    """A booking that finds no room is a page with what to do, 507 (RFC 4918, 11.5)."""
    data = {**hire(store, "Runners"), "csrf_token": token(desk, "/desk/files")}
    fill(store)
    for days in range(400):
        before = kept_bookings(store)
        data["date"] = (date(2026, 11, 25) + timedelta(days)).isoformat()
        answer = desk.post("/desk/bookings", data=data)
        if answer.status_code != 302:
            break
    assert answer.status_code == 507
    assert "The disk is full" in answer.text
    assert "nothing was changed" in answer.text
    assert kept_bookings(store) == before
    assert desk.get("/desk/evening").status_code == 200, "what is there can still be read"


def test_a_full_database_is_an_error_of_its_own(store: Store) -> None:
    """Services hear of it as NoRoomError, and the transaction leaves nothing behind."""
    with store.write() as session:
        session.connection().exec_driver_sql("CREATE TABLE filler (x)")
    fill(store)
    with pytest.raises(NoRoomError, match=r"disk .* is full"), store.write() as session:
        session.connection().exec_driver_sql("INSERT INTO filler VALUES (randomblob(100000))")
    with store.read() as session:
        assert session.connection().exec_driver_sql("SELECT count(*) FROM filler").scalar() == 0


def test_records_that_may_not_be_written_are_told(store: Store) -> None:
    """A file opened for reading only is a page that says so, 503, and is read all the same."""
    writable = sign_in(create_app(store, Config("", ADDRESS), lambda: NOW), store)
    cookie = writable.get_cookie("person")
    assert cookie is not None
    readable = open_store(f"sqlite:///file:{store.engine.url.database}?mode=ro&uri=true")
    app = create_app(readable, Config("", ADDRESS), lambda: NOW)
    desk = app.test_client()
    desk.set_cookie("person", cookie.value)
    data = {**hire(store, "Hill Runners"), "csrf_token": token(desk, "/desk/files")}
    answer = desk.post("/desk/bookings", data=data)
    assert answer.status_code == 503
    assert "cannot be written, so nothing was changed" in answer.text
    assert kept_bookings(store) == []
    readable.close()


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EDQUOT])
def test_no_room_for_a_file_is_told_too(
    desk: FlaskClient, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """Whatever else had to be written to the full disk, the page is the same."""

    def full(*_: object) -> None:
        raise OSError(number, os.strerror(number), "/secret/place")

    monkeypatch.setattr("clubplanner.webapp.setup.squads.see_squads", full)
    answer = desk.get("/desk/squads")
    assert answer.status_code == 507
    assert "The disk is full" in answer.text
    assert "/secret/place" not in answer.text


def test_a_log_without_room_costs_no_page(
    desk: FlaskClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    """When neither the log nor the console can be written, the page still comes."""

    class Full:
        def write(self, _text: str) -> int:
            raise OSError(errno.ENOSPC, "No space left on device")

        def flush(self) -> None:
            raise OSError(errno.ENOSPC, "No space left on device")

    def broken(*_: object) -> None:
        raise faults.pop()

    faults = [RuntimeError("broken"), StoreError("gone")]
    logger, handler = logging.getLogger("clubplanner"), logging.StreamHandler(Full())
    monkeypatch.setattr("clubplanner.webapp.setup.squads.see_squads", broken)
    logger.addHandler(handler)
    try:
        for status in (503, 500):
            with monkeypatch.context() as patch:
                patch.setattr(sys, "stderr", Full())
                answer = desk.get("/desk/squads")
            assert answer.status_code == status
    finally:
        logger.removeHandler(handler)
