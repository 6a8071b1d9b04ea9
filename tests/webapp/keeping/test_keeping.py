"""What is kept of people, by pages: told to everybody, shown to each, erased by the secretary."""

from __future__ import annotations

import gzip
import json
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.addresses.links import create_squad_link
from clubplanner.services.journal.changes import list_changes, undo_change
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.webapp import create_app
from tests.builders import A_WEDNESDAY, NOW
from tests.outputs.tables.tables import csv_rows
from tests.services.keeping.planted import where_found
from tests.small_club import KESTRELS, book
from tests.stores import booking_row
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


@pytest.fixture
def app(small: Store) -> Flask:
    """Make the small club's app."""
    return create_app(small, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, small: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, small)


def test_everybody_reads_what_is_kept_and_for_how_long(app: Flask, desk: FlaskClient) -> None:
    """Without signing in, with the club's own periods, whom to ask, and the law's place."""
    saved = send(
        desk,
        "/desk/kept",
        "/desk/kept",
        ask="The office, 01632 960100",
        mails_days="90",
        seen=seen(desk),
    )
    assert "The periods are saved." in saved
    page = app.test_client().get("/privacy").text
    assert "The office, 01632 960100" in page
    assert "90 days after it went out." in page
    assert "1095 days, and as long as anything of a change is still to come." in page
    for words in ("article 13", "article 15", "article 17", "no legal advice", "comes first"):
        assert words in page


def seen(desk: FlaskClient) -> str:
    """Return what the form of the periods sends back."""
    return desk.get("/desk/kept").text.partition('name="seen" value="')[2][:16]


def test_each_page_leads_there_from_its_foot(app: Flask, small: Store, desk: FlaskClient) -> None:
    """The front door, a squad's page by its address, a coach's, the secretary's, a refused one."""
    secret = create_squad_link(small, KESTRELS, "a test", NOW)
    coach = sign_in(app, small, Role.COACH, KESTRELS)
    stranger = app.test_client()
    for client, path in (
        (stranger, "/"),
        (stranger, "/sign-in"),
        (stranger, f"/ground/{secret}"),
        (stranger, f"/ground/{secret}/fits"),
        (stranger, "/no-such-page"),
        (coach, "/coach"),
        (coach, "/me"),
        (desk, "/desk/evening"),
        (desk, "/privacy"),
    ):
        foot = client.get(path).text.partition('<footer class="foot">')[2]
        assert '<a href="/privacy"' in foot, path


def test_before_there_is_a_club_it_can_be_read(empty_store: Store) -> None:
    """Whoever sets a club up knows what will be kept."""
    app = create_app(empty_store, Config("", ADDRESS), lambda: NOW)
    assert "A club shares out its pitches here." in app.test_client().get("/privacy").text


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("journal_days", "31", "400 to 3650"),
        ("mails_days", "soon", "will not do"),
        ("ask", "x" * 201, "at most 200 letters"),
    ],
)
def test_a_period_that_will_not_do_is_told_and_kept(
    desk: FlaskClient, field: str, typed: str, said: str
) -> None:
    """Nothing typed is lost, and nothing is saved."""
    page = send(desk, "/desk/kept", "/desk/kept", seen=seen(desk), **{field: typed})
    assert said in page
    assert f'value="{typed}"' in page
    assert f'value="{typed}"' not in desk.get("/desk/kept").text


def test_the_later_of_two_changes_is_told(desk: FlaskClient) -> None:
    """A form shown before somebody else saved changes nothing."""
    earlier = seen(desk)
    send(desk, "/desk/kept", "/desk/kept", seen=earlier, mails_days="90")
    fields = {"seen": earlier, "mails_days": "100", "csrf_token": token(desk, "/desk/kept")}
    answer = desk.post("/desk/kept", data=fields)
    assert answer.status_code == 409
    assert "Somebody has changed these periods in the meantime" in answer.text


def test_periods_are_taken_back_like_any_change(desk: FlaskClient, small: Store) -> None:
    """The list of changes names them."""
    send(desk, "/desk/kept", "/desk/kept", seen=seen(desk), mails_days="90")
    change = list_changes(small, NOW)[0]
    assert change.words == "changed for how long things are kept"
    undo_change(small, change.number, NOW)
    assert 'name="mails_days" type="text" value="180"' in desk.get("/desk/kept").text


def test_who_is_signed_in_sees_what_is_kept_of_them(app: Flask, small: Store) -> None:
    """On a page and as a file, with nothing of others and no secret."""
    coach = sign_in(app, small, Role.COACH, KESTRELS, name="Jo Vale")
    book(small, note="Jo Vale has the key; Sam Reed does not")
    page = coach.get("/me/kept").text
    assert "Found by: Jo Vale." in page
    assert "Jo Vale has the key" in page
    answer = coach.get("/me/kept.json")
    assert answer.content_type == "application/json"
    body = json.loads(answer.data)
    kept = {part["kind"]: part["entries"] for part in body["kept"]}
    assert body["looked_for"]["names"] == ["Jo Vale"]
    assert kept["Who coaches and who signs in"]
    (browser,) = kept["Signing in"]
    assert browser["about"] == "A browser"
    assert browser["secret_hash"] == "kept as a secret that nobody can read"
    assert "Robin Hale" not in answer.text
    packed = coach.get("/me/kept.json", headers={"Accept-Encoding": "gzip"})
    assert packed.headers["Content-Encoding"] == "gzip"
    assert gzip.decompress(packed.data) == answer.data
    assert packed.headers["Content-Disposition"] == "attachment; filename=kept.json"
    assert 'href="/me/kept?as=csv"' in page
    rows = csv_rows(coach.get("/me/kept?as=csv&table=2").data)
    assert rows[0] == ["What", "Entry", "Date", "Words"]
    assert len(rows) == 1 + sum(map(len, kept.values()))
    assert any("Jo Vale has the key" in row[3] for row in rows)
    assert "Robin Hale" not in str(rows)


def test_a_person_is_looked_at_and_erased(desk: FlaskClient, small: Store) -> None:
    """What goes and what stays is told, then one press does it, and it cannot be taken back."""
    number = add_person(small, PersonDraft("Jo Vale", Role.COACH, "jo@vale.example"), NOW)
    booked = book(small, note="Jo Vale has the key")
    there = f"/desk/people/{number}"
    assert f"{there}/kept" in desk.get(there).text
    page = desk.get(f"{there}/kept").text
    assert "Found by: Jo Vale, jo@vale.example." in page
    assert "This cannot be taken back." in page
    kinds = csv_rows(desk.get(f"{there}/kept?as=csv").data)
    assert kinds[0] == ["What", "Entries", "Why", "How long", "Who sees it"]
    assert len(kinds) > 1
    coach = sign_in(desk.application, small, Role.COACH, KESTRELS)
    assert coach.get(f"{there}/kept?as=csv").status_code == 403
    mark = page.partition('name="mark" value="')[2][:16]
    said = send(desk, f"{there}/erase", f"{there}/kept", mark=mark)
    assert "That cannot be taken back." in said
    assert "Take it back" not in said
    assert desk.get(there).status_code == 404
    assert desk.get(f"{there}/kept").status_code == 404
    assert booking_row(small, booked).note == "somebody erased has the key"


def test_what_came_meanwhile_is_looked_at_again(desk: FlaskClient, small: Store) -> None:
    """Nothing is erased that nobody has looked at."""
    number = add_person(small, PersonDraft("Jo Vale", Role.COACH, ""), NOW)
    there = f"/desk/people/{number}"
    mark = desk.get(f"{there}/kept").text.partition('name="mark" value="')[2][:16]
    book(small, note="Jo Vale has the key")
    fields = {"mark": mark, "csrf_token": token(desk, f"{there}/kept")}
    answer = desk.post(f"{there}/erase", data=fields)
    assert answer.status_code == 409
    assert "has changed in the meantime; look at it again" in answer.text
    assert desk.get(there).status_code == 200


def test_what_stands_in_the_way_is_told_in_place_of_the_button(
    app: Flask, desk: FlaskClient, small: Store
) -> None:
    """A coach who still coaches, and the secretary's own self."""
    own = sign_in(app, small, name="Kim Ashby")
    people = {line: n for n, line in enumerate(["Robin Hale", "Sam Reed"], 1)}
    page = desk.get(f"/desk/people/{people['Robin Hale']}/kept").text
    assert "still coaches" in page
    assert "for good</button>" not in page
    me = json.loads(own.get("/me/kept.json").data)
    number = me["kept"][0]["entries"][0]["id"]
    assert (
        "That is you. Another secretary has to do it."
        in own.get(f"/desk/people/{number}/kept").text
    )


def test_somebody_without_a_number_is_looked_for_by_what_is_typed(
    desk: FlaskClient, small: Store
) -> None:
    """Never in an address, which servers write down; what was typed goes on to the button."""
    booked = book(small, note="Lee Orr has the key")
    page = send(desk, "/desk/kept/look", "/desk/kept", who="Lee Orr")
    assert "Lee Orr has the key" in page
    assert '<input type="hidden" name="who" value="Lee Orr">' in page
    mark = page.partition('name="mark" value="')[2][:16]
    fields = {"who": "Lee Orr", "act": "file", "csrf_token": token(desk, "/desk/kept")}
    assert json.loads(desk.post("/desk/kept/look", data=fields).data)["kept"]
    send(desk, "/desk/kept/erase", "/desk/kept", who="Lee Orr", mark=mark)
    assert booking_row(small, booked).note == "somebody erased has the key"
    assert where_found(small) == []


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"who": " -"}, "Enter a name, a mail address or a telephone number."),
        ({"phone": "none"}, "Enter the digits of the telephone number"),
        ({"who": "x" * 255}, "Use at most 254 characters here."),
    ],
)
def test_what_finds_nobody_is_told(desk: FlaskClient, typed: dict[str, str], said: str) -> None:
    """A sign alone would be everybody."""
    assert said in send(desk, "/desk/kept/look", "/desk/kept", **typed)


@pytest.mark.parametrize(
    ("known", "is_told"), [("2020-01-01T12:00", True), ("2026-11-01T12:00", False)]
)
def test_an_evening_of_before_changes_were_kept_says_so(
    desk: FlaskClient, known: str, is_told: bool
) -> None:
    """What has been pruned cannot tell how the evening stood then."""
    page = desk.get(f"/desk/evening?date={A_WEDNESDAY}&known={known}").text
    assert ("Changes are not kept that far back" in page) is is_told
