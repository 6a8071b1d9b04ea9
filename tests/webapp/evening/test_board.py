"""The notice board: off until turned on, then for everybody, on a screen and on paper."""

from __future__ import annotations

import html
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.booked.bookings import Purpose
from clubplanner.services.evening.notice_board import is_board_on, see_board
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.outputs.tables.tables import csv_rows
from tests.small_club import HARRIERS, LOW, book, load_small_club
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

BOARD = f"/board/marsh-lane?date={A_WEDNESDAY}"
SHEET = f"/board/marsh-lane/sheet.pdf?date={A_WEDNESDAY}"


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club with two sessions and a closure on Wednesday."""
    load_small_club(empty_store)
    book(empty_store)
    book(empty_store, HARRIERS, "half-1", pitch_key=LOW, start_min=19 * 60, end_min=20 * 60)
    book(empty_store, "Frost", "half-2", pitch_key=LOW, purpose=Purpose.CLOSED, note="Ask Kim")
    return empty_store


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


def test_it_is_off_until_turned_on_and_can_be_turned_off(
    app: Flask, desk: FlaskClient, store: Store
) -> None:
    """A passer-by sees nothing, then everything, then nothing again."""
    passer = app.test_client()
    assert passer.get(BOARD).status_code == passer.get(SHEET).status_code == 404
    assert "The notice board is on" in send(desk, "/desk/board", "/desk/board", turn="on")
    assert is_board_on(store)
    page = passer.get(BOARD).text
    for words in ("U12 Kestrels", "U14 Harriers", "18:00–19:15", "closed: Road half, Low pitch"):
        assert words in page
    assert passer.get(SHEET).data.startswith(b"%PDF-")
    assert "nobody sees it" in send(desk, "/desk/board", "/desk/board", turn="off")
    assert passer.get(BOARD).status_code == passer.get(SHEET).status_code == 404


def test_it_names_no_people(desk: FlaskClient, app: Flask) -> None:
    """Neither coaches nor notes stand on it."""
    send(desk, "/desk/board", "/desk/board", turn="on")
    page = app.test_client().get(BOARD).text
    for words in ("Robin Hale", "Sam Reed", "Ask Kim"):
        assert words not in page


def test_the_secretary_prints_a_sheet_while_it_is_off(desk: FlaskClient) -> None:
    """The sheet then has no code, since its address leads nowhere."""
    page = desk.get(f"/desk/board?date={A_WEDNESDAY}").text
    assert "It is off" in page
    path = f"/desk/board/marsh-lane/sheet.pdf?date={A_WEDNESDAY}"
    without = desk.get(path)
    assert without.headers["Content-Type"] == "application/pdf"
    assert f"board-{A_WEDNESDAY}.pdf" in without.headers["Content-Disposition"]
    send(desk, "/desk/board", "/desk/board", turn="on")
    assert len(desk.get(path).data) > len(without.data)


def test_odd_venues_and_days(desk: FlaskClient, app: Flask) -> None:
    """A venue that is not there leads nowhere; an odd day is today."""
    send(desk, "/desk/board", "/desk/board", turn="on")
    passer = app.test_client()
    assert passer.get("/board/nowhere").status_code == 404
    for day in ("x", "9999-12-31", "1066-10-14", ""):
        assert "Monday 16 November 2026" in passer.get(f"/board/marsh-lane?date={day}").text
    assert "Nothing is booked here" in passer.get("/board/marsh-lane").text


def test_what_runs_now_and_what_is_over_is_told(store: Store) -> None:
    """By the minute: over from its end, now from its start."""
    at = NOW.replace(day=25, hour=19, minute=15)
    rows = see_board(store, None, A_WEDNESDAY, at).rows
    assert [(row.who, row.is_over, row.is_now) for row in rows] == [
        ("U12 Kestrels", True, False),
        ("Frost", True, False),
        ("U14 Harriers", False, True),
    ]


def test_the_evening_is_taken_away_as_it_stands(app: Flask, desk: FlaskClient) -> None:
    """True dates and times; a passer-by has it where the board is on, and not before."""
    there = f"/desk/board?date={A_WEDNESDAY}"
    assert html.escape(f"{there}&as=xlsx") in desk.get(there).text
    rows = csv_rows(desk.get(f"{there}&as=csv").data)
    assert rows == [
        ["Date", "From", "Until", "Who", "Where", "To know"],
        ["2026-11-25", "18:00", "19:15", "U12 Kestrels", "Clubhouse third, Top pitch", ""],
        ["2026-11-25", "18:00", "19:15", "Frost", "Road half, Low pitch", "closed"],
        ["2026-11-25", "19:00", "20:00", "U14 Harriers", "Clubhouse half, Low pitch", ""],
    ]
    passer = app.test_client()
    assert passer.get(f"{BOARD}&as=csv").status_code == 404
    send(desk, "/desk/board", "/desk/board", turn="on")
    assert csv_rows(passer.get(f"{BOARD}&as=csv").data) == rows
