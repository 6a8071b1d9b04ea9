"""Signing in and out through the pages, and the people at the desk."""

from __future__ import annotations

import re
from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.domain.club.people import Role
from clubplanner.services.people.passwords import create_secretary_key
from clubplanner.services.people.people import PersonDraft, add_person, see_person
from clubplanner.services.people.sign_in_links import hand_over_link
from clubplanner.services.rows.club import club_name
from clubplanner.webapp import create_app
from clubplanner.webapp.serving import limits
from clubplanner.webapp.serving.browser_words import browser_in_words
from tests.builders import NOW
from tests.small_club import KESTRELS, load_small_club
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


@pytest.fixture
def store(empty_store: Store) -> Store:
    """Give the small club."""
    return load_small_club(empty_store)


@pytest.fixture
def app(store: Store) -> Flask:
    """Make the small club's app."""
    return create_app(store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, store: Store) -> FlaskClient:
    """Give the secretary's browser."""
    return sign_in(app, store)


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
    assert "short" not in re.findall(r'value="([^"]*)"', faulty), "no page repeats a password"
    assert "5 of 7 steps are done" in send(client, page, page, name="Kim Ashby", password=PASSWORD)
    other = app.test_client()
    wrong = send(other, "/sign-in", "/sign-in", login="Kim Ashby", password="wrong")
    assert "do not belong together" in wrong
    assert 'value="Kim Ashby"' in wrong
    page = send(other, "/sign-in", "/sign-in", login="Kim Ashby", password=PASSWORD)
    assert "5 of 7 steps are done" in page
    assert other.get(f"/secretary/{create_secretary_key(store, NOW)}").status_code == 302


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


def test_people_are_added_changed_and_ended(store: Store, desk: FlaskClient) -> None:
    """The whole life of a coach's account at the desk."""
    added = send(
        desk, "/desk/people", "/desk/people", name="Robin Hale", role="coach", squads=KESTRELS
    )
    assert "Robin Hale is added" in added
    assert re.search(rf'value="{KESTRELS}" checked', added)
    page = "/desk/people/2"
    changed = send(desk, page, page, name="Bobby Hale", role="groundskeeper", version="0")
    assert "Bobby Hale is changed" in changed
    assert see_person(store, 2).person.role is Role.GROUNDSKEEPER
    late = send(desk, page, page, name="Rob", role="coach", version="0")
    assert "what stands now is: Bobby Hale, groundskeeper" in late
    assert 'value="Rob"' in late, "nothing typed is lost"
    assert 'name="version" value="1"' in late, "sent again it is done"
    ended = send(desk, f"{page}/end", page, version="1")
    assert "Bobby Hale can no longer sign in" in ended
    assert desk.get(page).status_code == 404


def test_faulty_people_come_back_as_typed(desk: FlaskClient, store: Store) -> None:
    """Every fault at its field, and what was typed and ticked stays."""
    page = send(
        desk, "/desk/people", "/desk/people", name="", email="no at", role="king", squads=KESTRELS
    )
    for field in ("name", "email", "role"):
        assert f'href="#field-{field}"' in page
        assert f'id="field-{field}"' in page
    assert 'value="no at"' in page
    assert re.search(rf'value="{KESTRELS}" checked', page)
    page = send(desk, "/desk/people/1", "/desk/people/1", name="A secretary", role="coach")
    assert "Open the person again" in page
    page = send(
        desk, "/desk/people/1", "/desk/people/1", name="A secretary", role="coach", version="0"
    )
    assert "is the only secretary who can sign in" in page
    assert see_person(store, 1).person.role is Role.SECRETARY


def test_addresses_are_handed_over_by_kind(app: Flask, desk: FlaskClient, store: Store) -> None:
    """A coach's address lets in; a second secretary's sets a password."""
    coach = add_person(store, PersonDraft("Robin Hale", Role.COACH, ""), NOW)
    other = add_person(store, PersonDraft("Lee Park", Role.SECRETARY, ""), NOW)
    people = "/desk/people"
    path = address_on(send(desk, f"{people}/{coach}/link", f"{people}/{coach}"))
    assert "Robin Hale" in app.test_client().get(path).text
    path = address_on(send(desk, f"{people}/{other}/link", f"{people}/{other}"))
    assert 'value="Lee Park"' in app.test_client().get(path).text


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


def test_the_form_that_changes_the_password_waits_too(app: Flask, store: Store) -> None:
    """After some wrong old passwords it says how long, at its field."""
    client, page = app.test_client(), f"/secretary/{create_secretary_key(store, NOW)}"
    send(client, page, page, name="Kim", password=PASSWORD)
    data = {"old": "wrong", "new": "another four long words", "csrf_token": token(client, "/me")}
    answers = [client.post("/me/password", data=data) for _ in range(6)]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429]
    assert answers[-1].headers["Retry-After"] == "60"
    assert 'id="fault-old"' in answers[-1].text


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


def test_a_machine_that_guesses_addresses_is_held_back(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """After many pages that are not there it waits; other machines do not, nor does it for ever."""
    monkeypatch.setattr(limits, "MOST_MISSES", 5)
    times = [NOW]
    app = create_app(store, Config("", ADDRESS), lambda: times[0])
    client = app.test_client()
    codes = [client.get(f"/ground/guess-{n}").status_code for n in range(7)]
    assert codes == [404] * 5 + [429] * 2
    with client.get("/static/icon.svg") as picture:
        assert picture.status_code == 200
    known = sign_in(app, store)
    assert known.get("/me").status_code == 200
    elsewhere = {"REMOTE_ADDR": "192.0.2.9"}
    assert client.get("/sign-in", environ_overrides=elsewhere).status_code == 200
    times[0] = NOW.replace(minute=limits.WINDOW_SECONDS // 60)
    assert client.get("/sign-in").status_code == 200


def test_a_machine_that_changes_too_much_is_held_back(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Forms are counted; looking stays free."""
    monkeypatch.setattr(limits, "MOST_CHANGES", 3)
    app = create_app(store, Config("", ADDRESS), lambda: NOW)
    client = sign_in(app, store)
    data = {"csrf_token": token(client, "/me")}
    codes = [client.post("/me/browsers/end-others", data=data).status_code for _ in range(5)]
    assert codes == [302] * 3 + [429] * 2
    assert client.get("/me").status_code == 200


def test_counters_forget_the_oldest_machine(monkeypatch: pytest.MonkeyPatch) -> None:
    """Memory stays bounded whatever addresses requests come from."""
    monkeypatch.setattr(limits, "MOST_MACHINES", 2)
    counter = limits.Counter(1)
    for machine in ("a", "b", "c"):
        counter.count(machine, 0.0)
    assert [counter.wait_s(machine, 10.0) for machine in "abc"] == [0, 290, 290]


@pytest.mark.parametrize(("proxies", "counted"), [(0, "127.0.0.1"), (1, "203.0.113.5")])
def test_the_machine_behind_a_proxy_is_believed_only_when_set(
    store: Store, proxies: int, counted: str
) -> None:
    """A made-up X-Forwarded-For moves nobody, unless the club says that a proxy stands there."""
    app = create_app(store, Config("", ADDRESS, proxies), lambda: NOW)
    seen: list[str] = []
    app.before_request(lambda: seen.append(limits.machine_address()))
    app.test_client().get("/", headers={"X-Forwarded-For": "198.51.100.9, 203.0.113.5"})
    assert seen == [counted]


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        ("", "A browser"),
        ("curl/8.5", "A browser"),
        (PHONE["User-Agent"], "Chrome on Android"),
        (
            "Mozilla/5.0 (X11; Linux x86_64; rv:132.0) Gecko/20100101 Firefox/132.0",
            "Firefox on Linux",
        ),
        (
            "Mozilla/5.0 (iPhone; CPU iPhone OS 18_1 like Mac OS X) Version/18.1 Safari/604.1",
            "Safari on an iPhone",
        ),
        (
            "Mozilla/5.0 (Windows NT 10.0) AppleWebKit/537.36 Chrome/131 Safari/537.36 Edg/131",
            "Edge on Windows",
        ),
        ("<script>alert(1)</script>", "A browser"),
    ],
)
def test_browsers_are_named_in_words(agent: str, words: str) -> None:
    """From the common forms of the header; from memory."""
    assert browser_in_words(agent) == words
