"""OWASP ASVS 5.0, level 2 (`ASVS.md`, from memory): the tests it names are there, and some more."""

from __future__ import annotations

import re
from http.cookies import SimpleCookie
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from clubplanner.config import Config
from clubplanner.services.addresses.links import SECRET_BYTES, create_squad_link
from clubplanner.services.people.ways_in.passwords import create_secretary_key
from clubplanner.webapp import create_app
from tests.builders import NOW
from tests.small_club import KESTRELS, book
from tests.webapp.conftest import ADDRESS, sign_in, token

if TYPE_CHECKING:
    from flask import Flask

    from clubplanner.store.engine import Store

ROOT = Path(__file__).resolve().parents[2]
PAPER = Path(__file__).with_name("ASVS.md").read_text(encoding="utf-8")
ROWS = re.findall(r"^\| (\d[^|]*) \| ([^|]*) \| ([^|]*) \|$", PAPER, re.MULTILINE)
NAMED = sorted(set(re.findall(r"`(tests/[\w/]+\.py)(?:::(\w+))?`", PAPER)))


@pytest.fixture
def app(small: Store) -> Flask:
    """Make the small club's app, with one booking."""
    book(small)
    return create_app(small, Config("", ADDRESS), lambda: NOW)


@pytest.mark.parametrize(("path", "name"), NAMED)
def test_each_test_that_is_named_is_there(path: str, name: str) -> None:
    """What is said to be held by a test is held by one."""
    source = (ROOT / path).read_text(encoding="utf-8")
    assert not name or f"def {name}(" in source


def test_each_point_says_what_holds_it() -> None:
    """Every chapter is there, its points rise, and each has a test, a reason, or is left."""
    assert len(ROWS) > 100
    chapters = {int(found) for found in re.findall(r"\bV(\d+)\b", PAPER)}
    assert chapters == set(range(1, 18))
    firsts = [[int(n) for n in re.match(r"[\d.]+", row[0])[0].split(".")] for row in ROWS]  # type: ignore[index]
    assert firsts == sorted(firsts)
    assert all(len(held.strip()) > 10 for _point, _asks, held in ROWS)


def test_every_kind_of_answer_has_the_headers(app: Flask, small: Store) -> None:
    """Pages, pictures, calendars, files, errors and redirects alike (V3.4)."""
    desk = sign_in(app, small)
    secret = create_squad_link(small, KESTRELS, "a test", NOW)
    for path in (
        *("/", "/me", "/nothing", "/desk/squads.csv", "/static/css/pages.css", "/health"),
        *(f"/ground/{secret}", f"/ground/{secret}/sessions.ics", f"/ground/{secret}/map/1.png"),
    ):
        headers = desk.get(path).headers
        assert headers["X-Content-Type-Options"] == "nosniff", path
        assert headers["Referrer-Policy"] == "no-referrer", path
        assert "frame-ancestors 'none'" in headers["Content-Security-Policy"], path
        assert "unsafe" not in headers["Content-Security-Policy"], path


def test_no_other_site_may_read_an_answer(app: Flask, small: Store) -> None:
    """No answer names another origin, whatever it says of itself (V3.4.2)."""
    desk = sign_in(app, small)
    for path in ("/me", "/sign-in", "/health", "/nothing"):
        for method in ("GET", "OPTIONS"):
            headers = desk.open(path, method=method, headers={"Origin": "https://evil.example"})
            assert not [name for name, _ in headers.headers if name.startswith("Access-Control")]


def test_no_cookie_is_for_scripts_or_other_sites(small: Store) -> None:
    """Each cookie that lets in is HttpOnly, SameSite and, by https, Secure and `__Host-` (V3.3)."""
    app = create_app(small, Config("", "https://pitches.example.org"), lambda: NOW)
    client = app.test_client()
    page = f"https://pitches.example.org/secretary/{create_secretary_key(small, NOW)}"
    fields = {"name": "Kim Ashby", "password": "four words make it long"}
    first = client.get(page)
    found = re.search(r'name="csrf_token" value="([^"]+)"', first.text)
    assert found is not None
    answer = client.post(page, data={**fields, "csrf_token": found[1]})
    cookies = first.headers.getlist("Set-Cookie") + answer.headers.getlist("Set-Cookie")
    assert len(cookies) >= 3
    for line in cookies:
        for name, one in SimpleCookie(line).items():
            assert name.startswith("__Host-"), line
            assert one["httponly"], line
            assert one["secure"], line
            assert one["samesite"] in ("Lax", "Strict"), line
            assert one["path"] == "/", line
            assert not one["domain"], line


def test_text_says_how_it_is_written(app: Flask, small: Store) -> None:
    """Every answer of text names its letters, and one with a body its kind (V4.1.1)."""
    desk = sign_in(app, small)
    secret = create_squad_link(small, KESTRELS, "a test", NOW)
    for path in ("/me", "/desk/squads.csv", f"/ground/{secret}/sessions.ics", "/health", "/none"):
        assert "charset=utf-8" in desk.get(path).headers["Content-Type"].lower(), path


def test_passwords_are_hidden_and_may_be_filled_in(app: Flask, small: Store) -> None:
    """Fields for passwords tell browsers' keepers what they are for (V6.2.6, V6.2.7)."""
    client = app.test_client()
    pages = ("/sign-in", f"/secretary/{create_secretary_key(small, NOW)}")
    for page, word in zip(pages, ("current-password", "new-password"), strict=True):
        field = re.search(r'<input[^>]*name="password"[^>]*>', client.get(page).text)
        assert field is not None, page
        assert 'type="password"' in field[0]
        assert f'autocomplete="{word}"' in field[0]


def test_secrets_have_128_bits() -> None:
    """Secrets of addresses and browsers are random bytes, 16 or more (V7.2.3)."""
    assert SECRET_BYTES * 8 >= 128


def test_trace_is_not_answered(app: Flask, small: Store) -> None:
    """No request is sent back as it came, with its cookies (V13.4.4)."""
    desk = sign_in(app, small)
    answer = desk.open("/me", method="TRACE", headers={"X-Odd": "echo-4711"})
    assert answer.status_code == 405
    assert "echo-4711" not in answer.text
    assert token(desk, "/me")
