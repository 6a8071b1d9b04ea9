"""The page of the next season: corrected in place, kept as it is typed, made by one press."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.people.browsers import open_browser
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.webapp import create_app
from tests.small_club import KESTRELS, find_squad_id
from tests.webapp.conftest import ADDRESS, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

PAGE = "/desk/season/next"
JULY = datetime(2027, 7, 1, 9, 0, 3, tzinfo=UTC)


@pytest.fixture
def july(small: Store) -> FlaskClient:
    """Give the secretary's browser in the summer after the season."""
    app = create_app(small, Config("", ADDRESS), lambda: JULY)
    number = add_person(small, PersonDraft("Kim", Role.SECRETARY, "", ()), JULY)
    with small.write() as session:
        secret = open_browser(session, number, "A browser", JULY)
    client = app.test_client()
    client.set_cookie("person", secret)
    return client


def fields_of(text: str) -> dict[str, str]:
    """Return what a browser would send of the page as it stands."""
    found = dict(re.findall(r'<input [^>]*?name="([^"]+)" (?:type="\w+" )?value="([^"]*)"', text))
    boxes = re.findall(r'name="(\S+-drop)" value="yes">', text)
    for box in boxes:
        found.pop(box, None)
    for name, inner in re.findall(r'<select [^>]*name="([^"]+)"[^>]*>(.*?)</select>', text, re.S):
        chosen = re.search(r'value="([^"]*)" selected', inner) or re.search(
            r'value="([^"]*)"', inner
        )
        found[name] = chosen[1] if chosen else ""
    return found


def press(
    client: FlaskClient,
    act: str,
    fields: dict[str, str],
    typed: dict[str, str] | None = None,
    status: int = 200,
) -> str:
    """Send the form with what is typed over what it shows; return the page that follows."""
    values = {**fields, **(typed or {}), "act": act}
    answer = client.post(PAGE, data=values, follow_redirects=True)
    assert answer.status_code == status, answer.text
    return answer.text


def test_it_is_looked_through_corrected_and_made(july: FlaskClient, small: Store) -> None:
    """What is typed is kept; it is made once what it does was seen; then it says what is next."""
    number = find_squad_id(small, KESTRELS)
    text = july.get(PAGE).text
    assert 'value="U13 Kestrels"' in text
    assert 'value="Winter 2027/28"' in text
    assert 'value="2027-10-11"' in text
    text = press(july, "save", fields_of(text), {f"squad-{number}-name": "U13 Falcons"})
    assert "Kept." in text
    assert 'value="U13 Falcons"' in text
    text = press(july, "make", fields_of(text), {f"squad-{number}-group": "U13B"}, 422)
    assert "then press once more" in text
    text = press(july, "make", fields_of(text))
    assert "Made: the season from Mon 11 Oct 2027, 2 squads, 1 stretch." in text
    assert "is made already" in text
    with small.read() as session:
        assert [s.name for s in load_squads(session)] == ["U13 Falcons", "U15 Harriers"]
    again = {"csrf_token": token(july, "/desk/season/year")}
    assert "is made already" in press(july, "make", again, {}, 422)
