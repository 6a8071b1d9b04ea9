"""The page of a week: leafed through, chosen from, by who may do what."""

from __future__ import annotations

import re
from io import BytesIO
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.evening.bookings import move_booking
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW, make_range
from tests.outputs.tables.tables import csv_rows
from tests.small_club import HARRIERS, TOP, book, find_area_id, load_small_club
from tests.webapp.conftest import ADDRESS, send, sign_in

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

WEEK = "/desk/week?venue=marsh-lane&week=2026-11-25"


@pytest.fixture
def small_app(empty_store: Store) -> Flask:
    """Make an app of the small club with two sessions on a Wednesday."""
    load_small_club(empty_store)
    book(empty_store, is_fixed=False)
    book(empty_store, HARRIERS, "third-2", start_min=19 * 60, end_min=20 * 60)
    return create_app(empty_store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def secretary(small_app: Flask, empty_store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(small_app, empty_store)


def test_a_date_shows_its_week(secretary: FlaskClient) -> None:
    """Any date leads to its Monday, and weeks are leafed through by links that keep the venue."""
    page = secretary.get(WEEK).text
    assert "23 Nov to 29 Nov 2026" in page
    assert re.search(r'rel="prev" href="/desk/week\?[^"]*week=2026-11-16[^"]*"', page)
    after = re.search(r'rel="next" href="([^"]*)"', page)
    assert after is not None
    assert "30 Nov to 6 Dec 2026" in secretary.get(after[1].replace("&amp;", "&")).text


@pytest.mark.parametrize(
    "query",
    ["week=", "week=nonsense", "week=0001-01-01", "day=9999-12-31", "pitch=-1", "pitch=x&chosen=y"],
)
def test_nonsense_shows_the_present_week(secretary: FlaskClient, query: str) -> None:
    """What cannot be read is passed over."""
    answer = secretary.get(f"/desk/week?{query}")
    assert answer.status_code == 200
    assert "16 Nov to 22 Nov 2026" in answer.text


def test_a_block_is_chosen_and_its_session_put_elsewhere(secretary: FlaskClient) -> None:
    """From the block to where it could go, and from there to the page that puts it there."""
    page = secretary.get(WEEK).text
    blocks = re.findall(r'<a href="(/desk/week\?chosen=\d+#chosen)"><title>U14', page)
    assert blocks
    chosen = secretary.get(blocks[0].replace("&amp;", "&").partition("#")[0]).text
    assert "U14 Harriers" in chosen
    assert "See every place it could go" in chosen
    offers = re.findall(r'<a href="(/desk/bookings/\d+/places/look[^"]*)"><title>', chosen)
    assert offers
    look = secretary.get(offers[0].replace("&amp;", "&"))
    assert look.status_code == 200
    assert "Move it" in look.text


def test_a_session_is_fixed_from_the_week(secretary: FlaskClient) -> None:
    """The panel of a chosen session fixes it where it is."""
    page = secretary.get(WEEK).text
    found = re.search(r'chosen=(\d+)#chosen"><title>U12', page)
    assert found is not None
    chosen = f"{WEEK}&chosen={found[1]}"
    text = send(secretary, f"/desk/bookings/{found[1]}/fix", chosen, sequence="0", fixed="1")
    assert "Let share-outs move it again" in secretary.get(chosen).text
    assert text


def test_a_groundskeeper_sees_the_week_and_chooses_nothing(
    small_app: Flask, empty_store: Store
) -> None:
    """Blocks lead to the evening; a number in the query opens no panel."""
    client = sign_in(small_app, empty_store, Role.GROUNDSKEEPER)
    page = client.get(f"{WEEK}&chosen=1").text
    assert "week-chosen" not in page
    assert '<a href="/desk/evening?' in page
    assert "/desk/bookings/" not in page


def test_every_booking_is_in_the_table_too(secretary: FlaskClient) -> None:
    """Whoever cannot see the drawing reads the same, with links, in tables by day."""
    page = secretary.get(WEEK).text
    table = page[page.index("week-table") :]
    assert "Wednesday 25 November 2026" in table
    assert table.count('href="/desk/bookings/') == 2


@pytest.mark.parametrize("paper", ["a4", "a3"])
def test_a_week_is_sent_as_a_sheet(secretary: FlaskClient, paper: str) -> None:
    """The page leads to both papers; another paper or venue is a page that says so."""
    page = secretary.get(WEEK).text
    found = re.search(rf'href="(/desk/week/marsh-lane/{paper}\.pdf[^"]*)"', page)
    assert found is not None
    answer = secretary.get(found[1])
    assert answer.headers["Content-Type"] == "application/pdf"
    assert "Kestrels" in PdfReader(BytesIO(answer.data)).pages[0].extract_text()
    assert secretary.get("/desk/week/marsh-lane/a5.pdf").status_code == 404
    assert secretary.get("/desk/week/nowhere/a4.pdf").status_code == 404


def test_files_of_week_and_evening_mark_what_was_moved(
    secretary: FlaskClient, empty_store: Store
) -> None:
    """As their pages do; a list of bookings and what was known before have no such column."""
    area = find_area_id(empty_store, TOP, "third-3")
    during = make_range(A_WEDNESDAY)
    move_booking(empty_store, 1, 0, area, during, NOW, why="lights")
    day = "/desk/evening?venue=marsh-lane&date=2026-11-25"
    for page in (WEEK, day):
        first, *others = csv_rows(secretary.get(f"{page}&as=csv").data)
        told = {row[first.index("Who")]: row[first.index("What became of it")] for row in others}
        assert told.pop("U12 Kestrels").startswith("Moved")
        assert set(told.values()) == {""}
    listed = "/desk/bookings?from=2026-11-25&until=2026-11-25"
    for page in (listed, f"{day}&known=2026-11-16T12:00"):
        first = csv_rows(secretary.get(f"{page}&as=csv").data)[0]
        assert "What became of it" not in first
