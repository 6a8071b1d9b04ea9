"""A person's own page: browsers and password."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link
from tests.builders import NOW
from tests.webapp.conftest import send, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store


PASSWORD = "four words make it long"


def test_browsers_are_ended_by_their_owner_and_the_secretary(
    app: Flask, desk: FlaskClient, store: Store
) -> None:
    """One by one, all others, or all of somebody else's."""
    number = add_person(store, PersonDraft("Robin Hale", Role.COACH, ""), NOW)

    def let_in() -> FlaskClient:
        client, page = app.test_client(), f"/let-in/{hand_over_link(store, number, NOW)}"
        client.post(page, data={"csrf_token": token(client, page)})
        return client

    first, second, third = let_in(), let_in(), let_in()
    listed = first.get("/me").text
    (one, two) = re.findall(r"/me/browsers/(\d+)/end", listed)
    assert listed.count("this one") == 1
    send(first, f"/me/browsers/{one}/end", "/me")
    assert third.get("/me").status_code == 302
    assert "1 other browser signed out" in send(first, "/me/browsers/end-others", "/me")
    assert second.get("/me").status_code == 302
    person = f"/desk/people/{number}"
    (own,) = re.findall(rf"{person}/browsers/(\d+)/end", desk.get(person).text)
    assert own not in (one, two)
    assert "Signed out there" in send(desk, f"{person}/browsers/{own}/end", person)
    assert first.get("/me").status_code == 302
    let_in()
    assert "1 browser signed out" in send(desk, f"{person}/browsers/end", person)


def test_the_secretary_changes_the_password(app: Flask, store: Store) -> None:
    """The old one has to be right; other browsers are signed out."""
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW)}"
    send(client, page, page, name="Kim", password=PASSWORD)
    other = app.test_client()
    send(other, "/sign-in", "/sign-in", login="Kim", password=PASSWORD)
    wrong = send(client, "/me/password", "/me", old="wrong", new="another four long words")
    assert "not your present password" in wrong
    done = send(client, "/me/password", "/me", old=PASSWORD, new="another four long words")
    assert "Password changed" in done
    assert other.get("/me").status_code == 302


def test_the_form_that_changes_the_password_waits_too(app: Flask, store: Store) -> None:
    """After some wrong old passwords it says how long, at its field."""
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW)}"
    send(client, page, page, name="Kim", password=PASSWORD)
    data = {"old": "wrong", "new": "another four long words", "csrf_token": token(client, "/me")}
    answers = [client.post("/me/password", data=data) for _ in range(6)]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429]
    assert answers[-1].headers["Retry-After"] == "60"
    assert 'id="fault-old"' in answers[-1].text
