"""Closing ground from the pages."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.small_club import book, load_small_club
from tests.stores import area_number, booking_row, make_wish, put_booking
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/closures"


def fields(store: Store, **changes: str) -> dict[str, str]:
    """Return the closing form, filled in: the top pitch on the Wednesday from 17:40."""
    return {
        "area": str(area_number(store, "whole")),
        "date": str(A_WEDNESDAY),
        "from": "17:40",
        "until_date": str(A_WEDNESDAY),
        "until": "24:00",
        "condition": "closed",
        "reason": "waterlogged",
        "words": "",
        **changes,
    }


def test_look_decide_close_and_open_again(desk: FlaskClient, club_store: Store) -> None:
    """The page says who has to go and where to, closes, lists the closure and opens it again."""
    number = put_booking(club_store, make_wish(club_store), NOW)
    look = desk.get(f"{PAGE}/look", query_string=fields(club_store))
    assert "2 sessions have to go" in look.text
    assert "U13 Kestrels" in look.text
    assert "Tarnholt Evening Runners" in look.text
    assert not booking_row(club_store, number).is_withdrawn, "looking changes nothing"
    names = re.findall(r'name="(place-\d+)"', look.text)
    assert f"place-{number}" in names
    sent = {**fields(club_store), **dict.fromkeys(names, "withdraw")}
    answer = desk.post(PAGE, data={**sent, "csrf_token": token(desk, PAGE)}, follow_redirects=True)
    assert "is closed. 0 sessions moved, 2 withdrawn." in answer.text
    assert booking_row(club_store, number).is_withdrawn
    assert "Wed 25 Nov, 17:40–24:00" in answer.text
    assert "Closed: waterlogged" in desk.get(f"/desk/evening?date={A_WEDNESDAY}&at=18:00").text
    text = send(desk, f"{PAGE}/1/open", PAGE)
    assert "is open again." in text
    assert "is closed: waterlogged" not in text
    assert "is closed: Frost on the brook side" in text, "closed by the settings, opened by hand"


def test_faults_are_told_at_once_and_nothing_typed_is_lost(
    desk: FlaskClient, club_store: Store
) -> None:
    """Each field says what is missing; what was typed comes back."""
    answer = desk.get(
        f"{PAGE}/look",
        query_string=fields(
            club_store, area="", reason="", until="17:00", condition="other", **{"from": "18:00"}
        ),
    )
    assert answer.status_code == 422
    for words in (
        "Choose the ground.",
        "Say why, so that people are told",
        "Say what is allowed",
        "The end must come after the start.",
    ):
        assert words in answer.text
    assert 'value="18:00"' in answer.text
    odd = desk.get(f"{PAGE}/look", query_string=fields(club_store, condition="on fire"))
    assert "Choose how far it is closed." in odd.text
    late = desk.get(
        f"{PAGE}/look", query_string=fields(club_store, date="2020-01-01", until_date="2020-01-01")
    )
    assert "This time has passed" in late.text


def test_a_decision_that_no_longer_holds_comes_back_with_the_reason(
    desk: FlaskClient, club_store: Store
) -> None:
    """A session booked after the look is not swept away."""
    put_booking(club_store, make_wish(club_store), NOW)
    text = send(
        desk,
        PAGE,
        PAGE,
        **{("from_" if k == "from" else k): v for k, v in fields(club_store).items()},
    )
    assert "U13 Kestrels have been booked there too" in text
    assert "waterlogged" in text


def test_the_coach_reads_the_condition(desk: FlaskClient, club_store: Store, secret: str) -> None:
    """“No studs” stands on the coach's page for that ground, and on no other day."""
    put_booking(club_store, make_wish(club_store), NOW)
    sent = fields(club_store, condition="no studs", reason="soft")
    desk.post(PAGE, data={**sent, "csrf_token": token(desk, PAGE)})
    assert "no studs (soft)" in desk.get(f"/ground/{secret}?date={A_WEDNESDAY}").text
    assert "no studs" not in desk.get(f"/ground/{secret}?date=2026-11-24").text


def test_the_evening_leads_to_closing_a_pitch(desk: FlaskClient, club_store: Store) -> None:
    """Each pitch has a link that fills the form: from now today, from midnight on another day."""
    evening = desk.get(f"/desk/evening?venue=osier-lane&date={A_WEDNESDAY}").text
    link = re.search(r'href="(/desk/season/closures\?[^"]+)">Close', evening)
    assert link is not None
    page = desk.get(link[1].replace("&amp;", "&")).text
    whole = area_number(club_store, "whole")
    assert f'value="{whole}" selected' in page
    assert f'value="{A_WEDNESDAY}"' in page
    assert 'value="00:00"' in page
    assert 'value="12:00"' in desk.get(PAGE).text, "today the form begins at the present time"


@pytest.mark.parametrize(
    ("now", "shown", "offered"),
    [
        (datetime(2026, 11, 25, 19, 30, tzinfo=UTC), "19:30", "19:30"),
        (datetime(2026, 11, 25, 19, 30, 59, 999_999, tzinfo=UTC), "19:30", "19:30"),
        (datetime(2026, 11, 25, 19, 33, 27, 654_321, tzinfo=UTC), "19:33", "19:30"),
    ],
)
def test_a_groundskeeper_sees_the_present(
    empty_store: Store, now: datetime, shown: str, offered: str
) -> None:
    """At half past seven neither page shows or offers the busiest moment, which is past."""
    load_small_club(empty_store)
    book(empty_store, start_min=18 * 60 + 20, end_min=19 * 60 + 15)
    app = create_app(empty_store, Config("", ADDRESS), lambda: now)
    keeper = sign_in(app, empty_store, Role.GROUNDSKEEPER)
    evening = keeper.get("/desk/evening").text
    assert f"On the ground at <strong>{shown}</strong>" in evening
    closures = keeper.get("/desk/season/closures").text
    assert re.search(rf'<input[^>]* name="from"[^>]* value="{offered}"', closures)


def test_a_groundskeeper_is_not_led_to_what_only_the_secretary_changes(
    app: Flask, club_store: Store, desk: FlaskClient
) -> None:
    """Ground that the settings close has a booking's page, which is the secretary's alone."""
    keeper = sign_in(app, club_store, Role.GROUNDSKEEPER)
    link = re.compile(r'href="(/desk/bookings/\d+)"')
    assert link.search(desk.get(PAGE).text) is not None
    page = keeper.get(PAGE).text
    assert "The secretary changes it" in page
    assert link.search(page) is None
