"""Signing in and out through the pages."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.people.people import PersonDraft, add_person
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.services.people.ways_in.sign_in_links import hand_over_link
from clubplanner.services.rows.club.club import club_name
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS
from tests.webapp.conftest import ADDRESS, send, sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient
    from werkzeug.test import TestResponse

    from clubplanner.store.engine import Store


PASSWORD = "four words make it long"
PHONE = {
    "User-Agent": "Mozilla/5.0 (Linux; Android 15) AppleWebKit/537.36 Chrome/131.0 Safari/537.36"
}


def address_on(page: str) -> str:
    """Return the path of the address a page shows to hand over."""
    found = re.search(r'class="address">([^<]+)<', page)
    assert found is not None
    return found[1].strip().removeprefix(ADDRESS)


def test_the_secretary_sets_a_password_and_uses_it(app: Flask, store: Store) -> None:
    """From the printed address to signing in with the password in another browser."""
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW)}"
    faulty = send(client, page, page, name="Kim Ashby", password="short")
    assert "Choose a password of 12 to 200 letters" in faulty
    assert 'value="Kim Ashby"' in faulty
    both = send(client, page, page, name="Kim Ashby", email="kim@", password="short")
    assert "Enter an e-mail address like" in both
    assert "Choose a password of 12 to 200 letters" in both
    assert 'value="kim@"' in both
    assert "short" not in re.findall(r'value="([^"]*)"', faulty), "no page repeats a password"
    assert "5 of 7 steps are done" in send(client, page, page, name="Kim Ashby", password=PASSWORD)
    other = app.test_client()
    wrong = send(other, "/sign-in", "/sign-in", login="Kim Ashby", password="wrong")
    assert "do not belong together" in wrong
    assert 'value="Kim Ashby"' in wrong
    page = send(other, "/sign-in", "/sign-in", login="Kim Ashby", password=PASSWORD)
    assert "5 of 7 steps are done" in page
    assert other.get(f"/secretary/{create_secretary_key(store, NOW)}").status_code == 302


def test_a_second_secretary_has_no_password_to_forget(app: Flask, store: Store) -> None:
    """The first time nothing is said of a new password and of other browsers; later both are."""
    first = f"/secretary/{create_secretary_key(store, NOW)}"
    assert "Set up the secretary" in app.test_client().get(first).text
    send(app.test_client(), first, first, name="Kim Ashby", password=PASSWORD)
    add_person(store, PersonDraft("Noa Berg", Role.SECRETARY, ""), NOW)
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW, 'Noa Berg')}"
    shown = client.get(page).text
    assert "<h1>Set your password</h1>" in shown
    assert "your other browsers" not in shown
    assert 'value="Noa Berg"' in shown
    send(client, page, page, name="Noa Berg", password=PASSWORD)
    again = f"/secretary/{create_secretary_key(store, NOW, 'Noa Berg')}"
    forgotten = app.test_client().get(again).text
    assert "<h1>A new password</h1>" in forgotten
    assert "your other browsers are signed out" in forgotten


def test_signing_in_leads_to_the_page_asked_for(app: Flask, store: Store) -> None:
    """Whoever was sent to sign in comes back; no address of another site is followed."""
    client = app.test_client()
    page = f"/secretary/{create_secretary_key(store, NOW)}"
    send(client, page, page, name="Kim", password=PASSWORD)
    for then, place in (
        ("/desk/people", "/desk/people"),
        ("//evil.example", "/"),
        ("https://evil.example", "/"),
        ("/\\evil.example", "/"),
        ("/a\r\nX-Y: z", "/"),
    ):
        other = app.test_client()
        data = {"login": "Kim", "password": PASSWORD, "then": then}
        data["csrf_token"] = token(other, "/sign-in")
        assert other.post("/sign-in", data=data).headers["Location"] == place
    led = app.test_client().get("/desk/people?x=1")
    assert led.headers["Location"] == "/sign-in?then=/desk/people?x%3D1"
    assert other.get("/sign-in?then=/me").headers["Location"] == "/me"


def test_blank_fields_of_the_front_door_are_told(app: Flask) -> None:
    """Each form says what is missing, at its field."""
    client = app.test_client()
    page = send(client, "/sign-in", "/sign-in")
    assert "Enter your name or e-mail address" in page
    assert "Enter your password" in page
    assert 'id="fault-who"' in send(client, "/sign-in/ask", "/sign-in")


def test_a_coach_asks_and_is_let_in_there_only(app: Flask, store: Store, desk: FlaskClient) -> None:
    """The request shows the same digits on both sides; the address works where it was asked."""
    add_person(store, PersonDraft("Robin Hale", Role.COACH, "", (KESTRELS,)), NOW)
    phone = app.test_client()
    data = {"who": "robin hale", "csrf_token": token(phone, "/sign-in")}
    waiting = phone.post("/sign-in/ask", data=data, headers=PHONE, follow_redirects=True).text
    code = re.search(r'class="code">(\d{4})<', waiting)
    assert code is not None
    listed = desk.get("/desk/people").text
    assert "Waiting to be let in" in listed
    assert code[1] in listed
    assert "Chrome on Android" in listed
    path = address_on(send(desk, "/desk/people/requests/1", "/desk/people"))
    stranger = app.test_client()
    answer = stranger.get(path)
    assert answer.status_code == 422
    assert "only in the browser in which it was asked for" in answer.text
    assert "Are you not Robin Hale?" in phone.get(path).text
    home = phone.post(
        path, data={"csrf_token": token(phone, path)}, headers=PHONE, follow_redirects=True
    )
    assert home.request.path == "/coach"
    assert phone.get(path).status_code == 302
    assert stranger.get(path).status_code == 404
    assert "Chrome on Android" in phone.get("/me").text


def test_waiting_without_having_asked_leads_to_asking(app: Flask) -> None:
    """The page with the digits is only for who asked."""
    assert app.test_client().get("/sign-in/waiting").headers["Location"] == "/sign-in"


def test_signing_out_ends_it_at_the_server_and_clears_the_browser(app: Flask, store: Store) -> None:
    """The old cookie is of no use, and the browser is told to drop what it has kept."""
    client = sign_in(app, store)
    cookie = client.get_cookie("person")
    assert cookie is not None
    answer = client.post("/sign-out", data={"csrf_token": token(client, "/me")})
    assert answer.headers["Clear-Site-Data"] == '"storage"'
    assert client.get_cookie("person") is None
    client.set_cookie("person", cookie.value)
    assert client.get("/me").status_code == 302


def test_cookies_are_for_https_alone_where_the_address_is(store: Store) -> None:
    """Behind https the cookies are bound to host and https, and hidden from scripts."""
    app = create_app(store, Config("", "https://pitches.example.org"), lambda: NOW)
    client = app.test_client()
    number = add_person(store, PersonDraft("Robin Hale", Role.COACH, ""), NOW)
    page = f"https://pitches.example.org/let-in/{hand_over_link(store, number, NOW)}"
    answer = client.post(page, data={"csrf_token": token(client, page)})
    (cookie,) = (c for c in answer.headers.getlist("Set-Cookie") if c.startswith("__Host-person="))
    for attribute in ("Secure", "HttpOnly", "SameSite=Lax", "Path=/"):
        assert attribute in cookie
    assert "Domain" not in cookie


def test_signing_in_begins_with_new_form_tokens(app: Flask, store: Store) -> None:
    """A form token from before signing in is of no use after it."""
    number = add_person(store, PersonDraft("Robin Hale", Role.COACH, ""), NOW)
    client, page = app.test_client(), f"/let-in/{hand_over_link(store, number, NOW)}"
    before = token(client, page)
    assert client.post(page, data={"csrf_token": before}).status_code == 302
    assert client.post("/sign-out", data={"csrf_token": before}).status_code == 400


def test_too_many_wrong_passwords_wait(app: Flask) -> None:
    """The answer says how long, in words and in its header (RFC 6585, section 4)."""
    client = app.test_client()
    csrf = token(client, "/sign-in")
    data = {"login": "Kim", "password": "wrong", "csrf_token": csrf}
    codes = [client.post("/sign-in", data=data).status_code for _ in range(6)]
    assert codes == [422] * 5 + [429]
    answer = client.post("/sign-in", data=data)
    assert answer.headers["Retry-After"] == "60"
    assert "wait a minute" in answer.text
    assert "is not held up by what others try" in answer.text
    assert 'value="Kim"' in answer.text, "what was typed is kept"


def test_strangers_hold_no_browser_up_that_was_used_before(app: Flask, store: Store) -> None:
    """After signing out the secretary comes back in, from the very machine that was misused."""
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW)}"
    send(client, page, page, name="Kim", password=PASSWORD)
    client.post("/sign-out", data={"csrf_token": token(client, "/me")})
    stranger = app.test_client()
    data = {"login": "Kim", "password": "wrong", "csrf_token": token(stranger, "/sign-in")}
    while stranger.post("/sign-in", data=data).status_code != 429:
        pass
    cookie = client.get_cookie("known")
    assert cookie is not None
    assert cookie.http_only
    assert "5 of 7 steps" in send(client, "/sign-in", "/sign-in", login="Kim", password=PASSWORD)


def test_a_password_of_own_names_is_refused_with_advice(app: Flask, store: Store) -> None:
    """The club's name with a year is the first thing a neighbour would try."""
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW)}"
    faulty = send(client, page, page, name="Kim", password=f"{club_name(store)} 2026!")
    assert "made of your name or the club" in faulty


def test_a_sign_in_slides_in_the_browser_too(store: Store) -> None:
    """Once a day of use a page brings the cookie anew; other pages write nothing."""
    now = [NOW]
    app = create_app(store, Config("", ADDRESS), lambda: now[0])
    phone = sign_in(app, store, Role.COACH)
    assert _renewals(phone.get("/me")) == []
    for _ in range(5):
        now[0] += timedelta(days=80)
        (renewal,) = _renewals(phone.get("/me"))
        assert "Max-Age=7776000" in renewal, "90 days"
        assert "HttpOnly" in renewal
        assert _renewals(phone.get("/me")) == []
    now[0] += timedelta(days=90)
    assert phone.get("/me").status_code == 302


def test_signing_out_is_not_undone_by_a_renewal(store: Store) -> None:
    """The last press of a day-old sign-in ends it."""
    now = [NOW]
    app = create_app(store, Config("", ADDRESS), lambda: now[0])
    phone = sign_in(app, store, Role.COACH)
    csrf = token(phone, "/me")
    now[0] += timedelta(days=2)
    phone.post("/sign-out", data={"csrf_token": csrf})
    assert phone.get_cookie("person") is None
    assert phone.get("/me").status_code == 302


def _renewals(answer: TestResponse) -> list[str]:
    return [line for line in answer.headers.getlist("Set-Cookie") if line.startswith("person=")]
