"""The page that says what it means that the records were brought back."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.services.restoring.restored_page import tell_about_people, tell_about_sessions
from clubplanner.services.restoring.restoring import Wish, restore_backup
from clubplanner.services.restoring.settled import Found
from clubplanner.services.restoring.ways_in import WaysIn
from clubplanner.store.upkeep.backups import make_backup
from tests.builders import NOW, make_range
from tests.stores import make_wish, put_booking
from tests.webapp.conftest import send

if TYPE_CHECKING:
    from pathlib import Path

    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

FIRST, PAGE = "/desk/evening", "/desk/season/restored"


def test_the_first_page_says_it_until_it_is_seen_to(
    desk: FlaskClient, club_store: Store, tmp_path: Path
) -> None:
    """What became of sessions, who knows, and a button that ends it."""
    assert PAGE not in desk.get(FIRST).text
    assert "never brought back" in desk.get(PAGE).text
    make_backup(club_store, tmp_path / "club.backup", NOW)
    soon = make_range(NOW.date() + timedelta(days=1))
    put_booking(club_store, make_wish(club_store, during=soon), NOW)
    wish = Wish(tmp_path / "club.backup", tmp_path / "replaced", is_replacing=True, is_served=True)
    restore_backup(club_store, wish, NOW)
    assert PAGE in desk.get(FIRST).text
    text = desk.get(PAGE).text
    assert "as they were on Mon 16 Nov 2026, 12:00" in text
    assert "1 session to come had been made since and is called off" in text
    assert "Who knows" in text
    lines = text.partition("These sessions, one by one")[2].partition("</details>")[0]
    assert re.findall("<li>([^<]*)", lines) == [
        "U13 Kestrels withdrawn: Railway third, Top pitch, Tue 17 Nov 18:00–19:15"
    ]
    send(desk, f"{PAGE}/seen", PAGE, number="1")
    assert PAGE not in desk.get(FIRST).text
    assert "I have seen to it" not in desk.get(PAGE).text


@pytest.mark.parametrize("number", ["", "x", "77", "9" * 30])
def test_a_number_that_is_none_is_told(desk: FlaskClient, number: str) -> None:
    """A form of another time changes nothing."""
    token = {"csrf_token": _token(desk)}
    assert desk.post(f"{PAGE}/seen", data={"number": number, **token}).status_code == 404


def _token(desk: FlaskClient) -> str:
    text = desk.get(FIRST).text
    return text.partition('name="csrf_token" value="')[2].partition('"')[0]


def test_every_figure_is_told() -> None:
    """Whatever was lost stands on the page, and what was not does not."""
    lost = Found(untold=2, lost=3, ended=4, gone=5, unsure=6, withdrawn=7)
    for ways_in, told in (
        (WaysIn.NOW, "3 addresses, access of 4, 5 people, 6 mails, as they were last"),
        (WaysIn.BACKUP, "3 addresses, 5 people, 6 mails, as they were then"),
        (WaysIn.CLOSED, "3 addresses, 5 people, 6 mails, withdrawn (7)"),
    ):
        found = replace(lost, ways_in=ways_in.value)
        words = " ".join((*tell_about_sessions(found), *tell_about_people(found)))
        assert [part for part in told.split(", ") if part not in words] == []
    calm = Found(ways_in=WaysIn.NOW.value, is_known=True)
    assert len(list(tell_about_people(calm))) == 1
    assert next(iter(tell_about_sessions(calm))) == "No session to come has changed by it."
