"""The page of the next season: corrected in place, kept as it is typed, made by one press."""

from __future__ import annotations

import re
from datetime import UTC, datetime
from functools import partial
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.language import without_isolates
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.browsers import open_browser
from clubplanner.services.rows.snapshot import load_squads
from clubplanner.webapp import create_app
from tests.small_club import KESTRELS, find_squad_id, load_small_club
from tests.webapp.conftest import ADDRESS, token

if TYPE_CHECKING:
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store
    from tests.stores import Filled

PAGE = "/desk/season/next"
JULY = datetime(2027, 7, 1, 9, 0, 3, tzinfo=UTC)


@pytest.fixture
def july(small: Store) -> FlaskClient:
    """Give the secretary's browser in the summer after the season."""
    return signed_in(small)


HEAD = "squad,age group,players,goalkeepers,coach,sessions a week,minutes,possible,least ground"


def signed_in(small: Store) -> FlaskClient:
    """Return a secretary's browser of a club in July."""
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
    table = july.get(f"{PAGE}?as=csv").data.decode("utf-8-sig").splitlines()
    assert table[1].startswith("U12 Kestrels,U12,a year older,U13 Falcons,U13,,"), "as typed so far"
    stretches = july.get(f"{PAGE}?as=csv&table=2").data.decode("utf-8-sig").splitlines()
    assert stretches[1].endswith(",2027-10-11,2028-04-07"), stretches[1]
    text = press(july, "make", fields_of(text), {f"squad-{number}-group": "U13B"}, 422)
    assert "then press once more" in text
    text = press(july, "make", fields_of(text))
    assert "Made: the season from Mon 11 Oct 2027, 2 squads, 1 stretch." in text
    assert "is made already" in text
    with small.read() as session:
        assert [s.name for s in load_squads(session)] == ["U13 Falcons", "U15 Harriers"]
    again = {"csrf_token": token(july, "/desk/season/year")}
    assert "is made already" in press(july, "make", again, {}, 422)


def test_what_somebody_else_changed_is_told_and_what_was_typed_stays(
    july: FlaskClient, small: Store
) -> None:
    """The later of two sees both, and keeps theirs by saving once more."""
    number = find_squad_id(small, KESTRELS)
    early = fields_of(july.get(PAGE).text)
    press(july, "save", early, {f"squad-{number}-name": "U13 Kites"})
    early["once"] = fields_of(july.get(PAGE).text)["once"]
    text = press(july, "save", early, {f"squad-{number}-name": "U13 Hawks"}, 422)
    assert "Kim has changed" in without_isolates(text)
    assert 'value="U13 Hawks"' in text
    text = press(july, "save", fields_of(text))
    assert 'value="U13 Hawks"' in text


def test_faults_are_told_at_their_fields_and_lose_nothing(july: FlaskClient, small: Store) -> None:
    """A date that is none, a squad to merge into that is not there, a new squad without players."""
    number = find_squad_id(small, KESTRELS)
    text = july.get(PAGE).text
    (first,) = re.findall(r'name="(stretch-\d+-first)"', text)
    typed = {
        first: "soon",
        f"squad-{number}-fate": "merges",
        f"squad-{number}-into": "Nobody",
        "new-1-name": "U7 Larks",
        "new-1-like": "nobody",
    }
    text = without_isolates(press(july, "make", fields_of(text), typed, 422))
    assert "Nothing was made" in text
    for words in (
        "enter the date as year-month-day",
        "write which other squad they merge into",
        "There is no squad “nobody” whose asks U7 Larks could take",
        "U7 Larks: enter how many players come",
        'value="soon"',
        'value="Nobody"',
    ):
        assert words in text
    text = press(july, "forget", fields_of(text))
    assert "it is proposed anew" in text
    assert 'value="soon"' not in text


def test_a_large_club_comes_a_leaf_at_a_time(filled: Filled) -> None:
    """Whoever is asked about stands first; a leaf is kept without the others."""
    names = [f"U{8 + n % 9} Squad {chr(65 + n // 26)}{chr(65 + n % 26)}" for n in range(69)]
    rows = [f"{n},{n.split()[0]},12,1,,1,60,Mon 18:00-20:00," for n in (*names, "U18 Last")]
    store = filled(partial(load_small_club, squads="\n".join((HEAD, *rows, ""))))
    client = signed_in(store)
    text = client.get(PAGE).text
    assert len(re.findall(r'name="squad-\d+-name"', text)) == 30
    assert text.index('"row">U18 Last') < text.index('"row">U8 Squad AA')
    second = client.get(f"{PAGE}?from=31").text
    (name, *_others) = re.findall(r'name="(squad-\d+-name)"', second)
    fields = fields_of(second) | {name: "Kites", "act": "save"}
    answer = client.post(f"{PAGE}?from=31", data=fields, follow_redirects=True)
    assert answer.request.args["from"] == "31"
    assert 'value="Kites"' in answer.text
    assert len(text) < 150_000
