"""The page of changes, and the evening as it stood."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.services.journal.changes import list_changes
from tests.builders import A_WEDNESDAY, NOW
from tests.stores import booking_row, make_wish, put_booking
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/changes"


def test_a_change_is_listed_with_its_maker_and_taken_back(
    desk: FlaskClient, club_store: Store
) -> None:
    """A booking made at the desk is the secretary's; a button takes it back."""
    number = put_booking(club_store, make_wish(club_store), NOW)
    send(
        desk,
        f"/desk/bookings/{number}/withdraw",
        f"/desk/bookings/{number}",
        sequence="0",
    )
    text = desk.get(PAGE).text
    assert "1 booking withdrawn" in text
    assert "by A secretary" in text
    change = list_changes(club_store, NOW)[0].number
    text = send(desk, f"{PAGE}/{change}/undo", PAGE)
    assert "Taken back: 1 booking withdrawn." in text
    assert not booking_row(club_store, number).is_withdrawn


def test_what_prevents_it_is_told(desk: FlaskClient, club_store: Store) -> None:
    """Where a change cannot be taken back there is a reason in place of the button."""
    number = put_booking(club_store, make_wish(club_store), NOW)
    add = list_changes(club_store, NOW)[0].number
    page = f"/desk/bookings/{number}"
    send(desk, f"{page}/withdraw", page, sequence="0")
    assert "changed again since" in desk.get(PAGE).text
    answer = desk.post(f"{PAGE}/{add}/undo", data={"csrf_token": token(desk, PAGE)})
    assert answer.status_code == 422
    assert "take that back first" in answer.text


def test_a_past_evening_is_shown_and_cannot_be_changed(
    desk: FlaskClient, club_store: Store
) -> None:
    """“What did we publish back then?”: the table as it stood, without links to change it."""
    put_booking(club_store, make_wish(club_store), NOW)
    before = f"{NOW - timedelta(hours=1):%Y-%m-%dT%H:%M}"
    after = f"{NOW + timedelta(hours=1):%Y-%m-%dT%H:%M}"
    path = f"/desk/evening?date={A_WEDNESDAY}&known="
    text = desk.get(path + before).text
    assert "This is the past" in text
    assert "U13 Kestrels</b>" not in text
    text = desk.get(path + after).text
    assert "U13 Kestrels</b>" in text
    assert not re.search(r'href="/desk/bookings/\d', text)
    assert "This is the past" not in desk.get(path + "yesterday").text
