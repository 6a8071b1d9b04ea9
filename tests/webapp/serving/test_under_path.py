"""Pages below a path of a host that serves other things, too."""

from __future__ import annotations

import json
import re
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.webapp.conftest import sign_in, token

if TYPE_CHECKING:
    from flask import Flask
    from flask.testing import FlaskClient

    from clubplanner.store.engine import Store

UNDER = "/sport/pitches"
ADDRESS = f"https://town.example.org{UNDER}"
PAGES = (
    "/desk/evening",
    "/desk/week",
    "/desk/squads",
    "/desk/people",
    "/desk/addresses",
    "/desk/season/light",
    "/desk/season/closures",
    "/find?q=kestrels",
    "/coach",
    "/me",
    "/no-signal",
    "/thunder",
    "/ground/SECRET",
    "/ground/SECRET/fits",
)
_LEADS = re.compile(r'\s(?:href|src|action|formaction|data-[a-z-]+)="(/[^"]*)"')


@pytest.fixture
def app(club_store: Store) -> Flask:
    """Make the app of a club whose pages begin below a path."""
    return create_app(club_store, Config("", ADDRESS), lambda: NOW)


@pytest.fixture
def desk(app: Flask, club_store: Store) -> FlaskClient:
    """Give the secretary's browser, which speaks https with the server in front."""
    client = sign_in(app, club_store)
    person = client.get_cookie("person")
    assert person is not None
    client.set_cookie("__Secure-person", person.value, domain="town.example.org", path=UNDER)
    return client


def get(client: FlaskClient, path: str) -> str:
    """Return a page asked for as the server in front hands it on: by its whole path."""
    answer = client.get(UNDER + path, base_url="https://town.example.org")
    assert answer.status_code == 200, path
    return answer.text


def leads_of(text: str) -> list[str]:
    """Return every address of this host that a page names, for people and for scripts."""
    return _LEADS.findall(text.replace(f' data-base="{UNDER}"', ""))


@pytest.mark.parametrize("path", PAGES)
def test_no_page_leads_out_of_the_path(desk: FlaskClient, secret: str, path: str) -> None:
    """Links, forms, styles and scripts of a page stay below the path."""
    text = get(desk, path.replace("SECRET", secret))
    leads = leads_of(text)
    assert leads
    assert [lead for lead in leads if not lead.startswith(f"{UNDER}/")] == []


def test_no_answer_leads_out_of_the_path(app: Flask, secret: str) -> None:
    """Somebody who has to sign in first is led to the form, and back to what they asked for."""
    stranger = app.test_client()
    answer = stranger.get(f"{UNDER}/desk/squads?page=2", base_url="https://town.example.org")
    assert answer.location == f"{UNDER}/sign-in?then={UNDER}/desk/squads?page%3D2"
    form = stranger.get(answer.location, base_url="https://town.example.org").text
    assert f'value="{UNDER}/desk/squads?page=2"' in form
    home = stranger.get(UNDER, base_url="https://town.example.org")
    assert home.status_code == 200
    assert UNDER in get(stranger, f"/ground/{secret}")


@pytest.mark.parametrize("path", ["/desk/squads", "/static/css/pages.css", "/"])
def test_a_server_in_front_may_cut_the_path_off(desk: FlaskClient, path: str) -> None:
    """A path that was cut off on the way here is still written into what leads on."""
    answer = desk.get(path, base_url="https://town.example.org")
    assert answer.status_code in (200, 302)
    leads = [*leads_of(answer.text), *filter(None, [answer.location])]
    assert all(lead.startswith(f"{UNDER}/") for lead in leads)


def test_neighbours_on_the_host_keep_their_cookies(app: Flask, club_store: Store) -> None:
    """Cookies are for this path alone: another club on the same host has its own."""
    desk = sign_in(app, club_store)
    answer = desk.get(f"{UNDER}/sign-in", base_url="https://town.example.org")
    kept = answer.headers.getlist("Set-Cookie")
    assert kept
    assert "Strict-Transport-Security" not in answer.headers
    for cookie in kept:
        assert cookie.startswith("__Secure-")
        assert f"Path={UNDER}" in cookie
        assert "Secure" in cookie


def test_what_is_handed_out_begins_with_the_path_once(desk: FlaskClient, club_store: Store) -> None:
    """An address that is handed out holds the path, and holds it once."""
    page = f"{UNDER}/desk/squads"
    fields = {"csrf_token": token(_Https(desk), page)}  # type: ignore[arg-type]
    answer = desk.post(
        f"{UNDER}/desk/squads/u13-kestrels/link",
        data=fields,
        base_url="https://town.example.org",
        headers={"Referer": ADDRESS},
        follow_redirects=True,
    )
    assert answer.status_code == 200
    assert re.search(rf"{ADDRESS}/ground/[\w-]+", answer.text)
    assert f"{ADDRESS}{UNDER}" not in answer.text


def test_kept_pages_know_the_path(desk: FlaskClient, secret: str) -> None:
    """The script that keeps pages, and what puts a page on a home screen, stay below the path."""
    worker = get(desk, "/service-worker.js")
    assert f'"{UNDER}/static/' in worker
    assert f'data-base="{UNDER}"' in get(desk, "/coach")
    found = re.search(r'rel="manifest" href="([^"]+)"', get(desk, f"/ground/{secret}"))
    assert found is not None
    manifest = json.loads(desk.get(found[1], base_url="https://town.example.org").text)
    assert not manifest["start_url"].startswith("/") or manifest["start_url"].startswith(UNDER)


class _Https:
    """A browser that speaks https, for `token`."""

    def __init__(self, client: FlaskClient) -> None:
        self._client = client

    def get(self, path: str) -> object:
        return self._client.get(path, base_url="https://town.example.org")
